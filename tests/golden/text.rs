//! The text of the pages, line by line, against a reviewed copy.

use crate::made_up::{self, Recipe};
use crate::options;
use duskwright_report::{Frame, PaperSize, pages};
use std::fmt::Write as _;

/// Text runs from top to bottom, those of one baseline on one line.
fn text_of(frame: &Frame) -> String {
    let mut runs: Vec<_> = frame.texts().collect();
    runs.sort_by(|one, other| {
        one.at
            .y
            .total_cmp(&other.at.y)
            .then(one.at.x.total_cmp(&other.at.x))
    });
    let mut text = String::new();
    for line in runs.chunk_by(|one, other| one.at.y == other.at.y) {
        let y = line[0].at.y;
        write!(text, "{y:>6.1} ").unwrap();
        for run in line {
            write!(text, " | {:.0} {}", run.at.x, run.text).unwrap();
        }
        text.push('\n');
    }
    text
}

#[test]
fn the_pages_of_a_garden_read_as_reviewed() {
    let dossier = made_up::dossier(Recipe::GARDEN);
    let pages = pages(&dossier, &options(PaperSize::Letter)).unwrap();
    let mut text = String::new();
    for (number, frame) in pages.frames.iter().enumerate() {
        writeln!(
            text,
            "== page {} ({} x {} pt)",
            number + 1,
            frame.width,
            frame.height
        )
        .unwrap();
        text.push_str(&text_of(frame));
    }
    for mark in &pages.bookmarks {
        writeln!(text, "bookmark: {} -> page {}", mark.title, mark.page + 1).unwrap();
    }
    insta::assert_snapshot!("garden", text);
}
