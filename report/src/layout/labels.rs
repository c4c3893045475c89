//! Sheets of labels: a grid over the whole page, to be cut apart or printed on
//! label stock of three by eight (common practice, no source).

use super::frame::{Bookmark, Colour, Frame, Pages, Stroke};
use super::geometry::{Area, Place};
use super::page::{PaperSize, Stock, shortened};
use super::text::{Setter, Style};
use super::typeface::{ABOVE, Typeface, Weight};
use crate::content::{Label, Orientation};

/// Labels side by side.
const ACROSS: usize = 3;
/// Labels one below the other.
const DOWN: usize = 8;
/// Blank between the edge of a label and its text, pt: printers cannot print to the edge of the paper.
const PAD: f64 = 15.0;

const ID: Style = Style {
    size: 17.0,
    weight: Weight::Bold,
    colour: Colour::INK,
};
const GAUGE: Style = Style {
    size: 11.5,
    weight: Weight::Bold,
    colour: Colour::INK,
};
const LINE: Style = Style {
    size: 9.5,
    weight: Weight::Regular,
    colour: Colour::INK,
};

/// Lays out labels row by row.
#[must_use]
pub fn labels(typeface: &Typeface, paper: PaperSize, labels: &[Label]) -> Pages {
    let setter = Setter { typeface };
    let frames: Vec<Frame> = labels
        .chunks(ACROSS * DOWN)
        .map(|chunk| sheet(setter, paper, chunk))
        .collect();
    Pages {
        bookmarks: frames
            .first()
            .map(|_| Bookmark {
                title: "Piece labels".to_owned(),
                page: 0,
            })
            .into_iter()
            .collect(),
        frames,
    }
}

fn sheet(setter: Setter<'_>, paper: PaperSize, labels: &[Label]) -> Frame {
    let mut frame = Stock {
        pages: paper,
        sheets: paper,
    }
    .page(Orientation::Portrait);
    let (width, height) = (frame.width / ACROSS as f64, frame.height / DOWN as f64);
    let stroke = Stroke {
        colour: Colour::RULE,
        width: 0.4,
        dash: vec![3.0, 3.0],
    };
    let (right, bottom) = (frame.width, frame.height);
    for column in 1..ACROSS {
        let x = column as f64 * width;
        frame.line(
            vec![Place::new(x, 0.0), Place::new(x, bottom)],
            stroke.clone(),
        );
    }
    for row in 1..DOWN {
        let y = row as f64 * height;
        frame.line(
            vec![Place::new(0.0, y), Place::new(right, y)],
            stroke.clone(),
        );
    }
    for (position, label) in labels.iter().enumerate() {
        let (column, row) = (position % ACROSS, position / ACROSS);
        let cell = Area::new(column as f64 * width, row as f64 * height, width, height);
        put(setter, &mut frame, cell.grown(-PAD), label);
    }
    frame
}

/// One label: id and gauge on top, a line for each further fact.
fn put(setter: Setter<'_>, frame: &mut Frame, area: Area, label: &Label) {
    let clean = |text: &str| setter.typeface.clean(text);
    let gauge = shortened(setter, &clean(&label.gauge), GAUGE, 0.5 * area.width);
    let gauge_width = setter.width(&gauge, GAUGE);
    let mut y = area.y + ABOVE * ID.size - 4.0;
    let at = Place::new(area.right() - gauge_width, y);
    setter.put(frame, at, &gauge, GAUGE);
    let room = area.width - gauge_width - 8.0;
    let id = clean(&label.id);
    let fitting = (room / setter.width(&id, ID).max(1.0)).min(1.0);
    let style = Style {
        size: (ID.size * fitting).max(LINE.size),
        ..ID
    };
    let id = shortened(setter, &id, style, room);
    setter.put(frame, Place::new(area.x, y), &id, style);
    y += 4.0;
    for line in &label.lines {
        y += LINE.leading();
        let text = shortened(setter, &clean(line), LINE, area.width);
        setter.put(frame, Place::new(area.x, y), &text, LINE);
    }
}
