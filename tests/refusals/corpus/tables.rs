//! Every table of the full job: every cell of its first row broken in five ways, its
//! headings misspelt, its rows torn.

use super::{Case, Corpus};
use duskwright_solver::job::JobText;
use duskwright_tests::full_job;

/// A cell's new text from the old.
type Spoil = fn(&str) -> String;

/// Ways to break a cell.
const CELLS: [(&str, Spoil); 5] = [
    ("blank", |_| String::new()),
    ("a strange word", |_| "qqq".to_owned()),
    ("below zero", |_| "-7".to_owned()),
    ("huge", |_| "1e300".to_owned()),
    ("one letter more", |old| format!("{old}x")),
];

fn cells(line: &str) -> Vec<String> {
    line.split(',').map(str::to_owned).collect()
}

/// The table with one line replaced.
fn with_line(lines: &[&str], at: usize, line: &str) -> String {
    let mut lines = lines.to_vec();
    lines[at] = line;
    lines.join("\n") + "\n"
}

/// Every breakage of one table, text and name.
fn breakages(text: &str) -> Vec<(String, Vec<u8>)> {
    let lines: Vec<&str> = text.lines().collect();
    let (heading, first) = (cells(lines[0]), cells(lines[1]));
    let mut all: Vec<(String, String)> = Vec::new();
    for (at, name) in heading.iter().enumerate() {
        for (way, breaks) in CELLS {
            let mut row = first.clone();
            row[at] = breaks(&first[at]);
            let broken = with_line(&lines, 1, &row.join(","));
            all.push((format!("{name}: {way}"), broken));
        }
        let mut misspelt = heading.clone();
        misspelt[at].pop();
        all.push((
            format!("heading {name}: last letter lost"),
            with_line(&lines, 0, &misspelt.join(",")),
        ));
    }
    let twice = format!("{},{}", lines[0], heading[0]);
    let double = |line: &str| format!("{line},{}", first[0]);
    let doubled: Vec<String> = lines[1..].iter().map(|line| double(line)).collect();
    all.extend([
        (
            "a row given twice".to_owned(),
            format!("{text}{}\n", lines[1]),
        ),
        (
            "a row with a cell too few".to_owned(),
            with_line(&lines, 1, &first[1..].join(",")),
        ),
        (
            "a row with a cell too many".to_owned(),
            with_line(&lines, 1, &format!("{},9,9", lines[1])),
        ),
        (
            "a quote left open".to_owned(),
            with_line(&lines, 1, &format!("\"{}", lines[1])),
        ),
        (
            "a column given twice".to_owned(),
            format!("{twice}\n{}\n", doubled.join("\n")),
        ),
        ("no heading line".to_owned(), lines[1..].join("\n")),
        (
            "a heading line and no row".to_owned(),
            format!("{}\n", lines[0]),
        ),
        ("an empty file".to_owned(), String::new()),
        (
            "cut in the middle".to_owned(),
            text[..text.len() / 2].to_owned(),
        ),
        (
            "another kind of file".to_owned(),
            "%PDF-1.7\n%\u{1}\u{2}\n".to_owned(),
        ),
    ]);
    let mut bytes: Vec<(String, Vec<u8>)> = all
        .into_iter()
        .map(|(name, text)| (name, text.into_bytes()))
        .collect();
    let mut latin = text.as_bytes().to_vec();
    latin.insert(lines[0].len() + 2, 0xe9);
    bytes.push(("not UTF-8".to_owned(), latin));
    bytes
}

fn tables(job: &JobText) -> Vec<(String, String)> {
    let tables = job.iter().filter(|(name, _)| name.ends_with(".csv"));
    tables
        .map(|(name, bytes)| (name.to_owned(), String::from_utf8_lossy(bytes).into_owned()))
        .collect()
}

#[test]
fn every_broken_table_is_refused_with_place_and_remedy() {
    let job = full_job();
    let mut refused = 0;
    for (name, text) in tables(&job) {
        let cases: Vec<Case> = breakages(&text)
            .into_iter()
            .map(|(case, bytes)| Case {
                name: case,
                job: job.clone().with(name.as_str(), bytes),
            })
            .collect();
        let corpus = Corpus::read(&name, &cases);
        refused += corpus.refused;
        let table = name.rsplit('/').next().unwrap_or(&name);
        insta::assert_snapshot!(
            format!("table_{}", table.trim_end_matches(".csv")),
            corpus.text()
        );
    }
    assert!(refused >= 300, "only {refused} broken tables were refused");
}
