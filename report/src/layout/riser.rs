//! The tree beside a riser's table: lines from joint to joint, one row at a time, so
//! that it goes on over page breaks.

use super::frame::{Colour, Frame, Stroke};
use super::geometry::Place;
use super::one_line::circle;
use super::plot::palette;
use crate::content::{Riser, Stem};

/// Distance between columns, pt.
const STEP: f64 = 13.0;
/// Blank at each side of the tree, pt.
const SIDE: f64 = 9.0;
/// Columns drawn apart; deeper branches share the last.
const MOST: usize = 9;
/// Radius of a joint's dot, pt.
const DOT: f64 = 2.2;
/// Reach of a hub's diamond, pt.
const HUB: f64 = 3.6;

fn x(column: usize) -> f64 {
    SIDE + STEP * column.min(MOST) as f64
}

/// Width of the tree, pt.
pub fn width(riser: &Riser) -> f64 {
    let deepest = riser.stems.iter().map(|stem| stem.column).max();
    x(deepest.unwrap_or(0)) + SIDE
}

/// Puts the tree's part in one row, `height` high, with its top left corner at `at`.
pub fn put_row(frame: &mut Frame, riser: &Riser, row: usize, at: Place, height: f64) {
    let stroke = palette::stroke(riser.circuit);
    let middle = at.y + 0.5 * height;
    let column = |row: usize| at.x + x(riser.stems[row].column);
    let mut line = |from: Place, to: Place| frame.line(vec![from, to], stroke.clone());
    // Lines that pass this row, or leave it downwards, each column once.
    let mut passing: Vec<(usize, usize)> = Vec::new();
    for (later, stem) in riser.stems.iter().enumerate().skip(row + 1) {
        if let Some(from) = stem.from.filter(|&from| from <= row) {
            let known = passing.iter().any(|&(one, _)| one == from);
            if !known {
                passing.push((from, later));
            }
        }
    }
    for (from, _) in passing {
        let top = if from == row { middle } else { at.y };
        line(
            Place::new(column(from), top),
            Place::new(column(from), at.y + height),
        );
    }
    let own = riser.stems[row];
    let source = own.from.map_or(at.x + x(own.column), column);
    let passes_anyway = own.from.is_some_and(|from| {
        let later = riser.stems.iter().skip(row + 1);
        later.clone().any(|stem| stem.from == Some(from))
    });
    if !passes_anyway {
        line(Place::new(source, at.y), Place::new(source, middle));
    }
    let end = column(row);
    if (end - source).abs() > 0.1 {
        line(Place::new(source, middle), Place::new(end, middle));
    }
    put_sign(frame, own, Place::new(end, middle));
}

fn put_sign(frame: &mut Frame, stem: Stem, at: Place) {
    let outline = Some(Stroke::solid(Colour::INK, 0.8));
    if stem.hub {
        let corners = [(0.0, -HUB), (HUB, 0.0), (0.0, HUB), (-HUB, 0.0)];
        let points = corners.iter().map(|(x, y)| at.moved(*x, *y)).collect();
        frame.shape(points, outline, Some(Colour::PAPER));
    } else {
        frame.shape(circle(at, DOT), outline, Some(Colour::INK));
    }
}

/// Puts the source above the tree: a bar from which the home run leaves.
pub fn put_source(frame: &mut Frame, riser: &Riser, at: Place, height: f64) {
    let left = at.x + x(0);
    let bar = at.y + 0.4 * height;
    frame.line(
        vec![Place::new(left - 6.0, bar), Place::new(left + 6.0, bar)],
        Stroke::solid(Colour::INK, 2.0),
    );
    frame.line(
        vec![Place::new(left, bar), Place::new(left, at.y + height)],
        palette::stroke(riser.circuit),
    );
}
