//! Signs of what stands at a node. Our own plain shapes.

use super::super::frame::{Colour, Frame, Stroke};
use super::super::geometry::{Area, Place};
use crate::content::Mark;

/// Reach of a mark from its middle, pt.
pub const fn radius(mark: Mark) -> f64 {
    match mark {
        Mark::Bend => 0.0,
        Mark::Fixture => 2.6,
        Mark::Hub => 3.6,
        Mark::Transformer => 5.2,
    }
}

/// Area that a mark takes.
pub fn area(mark: Mark, at: Place) -> Area {
    let reach = radius(mark);
    Area::new(at.x - reach, at.y - reach, 2.0 * reach, 2.0 * reach)
}

/// Corners of a regular octagon of circumradius 1 (cosine and sine of 22.5°): a
/// small circle without curves.
const OCTAGON: [(f64, f64); 8] = [
    (0.924, 0.383),
    (0.383, 0.924),
    (-0.383, 0.924),
    (-0.924, 0.383),
    (-0.924, -0.383),
    (-0.383, -0.924),
    (0.383, -0.924),
    (0.924, -0.383),
];

/// Draws a mark: fixture a round, hub a diamond, transformer a crossed square.
pub fn put(frame: &mut Frame, mark: Mark, at: Place) {
    let reach = radius(mark);
    let outline = Some(Stroke::solid(Colour::INK, 0.8));
    match mark {
        Mark::Bend => {}
        Mark::Fixture => {
            let points = OCTAGON
                .iter()
                .map(|(x, y)| at.moved(x * reach, y * reach))
                .collect();
            frame.shape(points, outline, Some(Colour(255, 214, 102)));
        }
        Mark::Hub => {
            let points = vec![
                at.moved(0.0, -reach),
                at.moved(reach, 0.0),
                at.moved(0.0, reach),
                at.moved(-reach, 0.0),
            ];
            frame.shape(points, outline, Some(Colour::PAPER));
        }
        Mark::Transformer => {
            let square = area(mark, at);
            let [a, b, c, d] = square.corners();
            frame.rectangle(
                square,
                Some(Stroke::solid(Colour::INK, 1.1)),
                Some(Colour::PAPER),
            );
            frame.line(vec![a, c], Stroke::solid(Colour::INK, 0.6));
            frame.line(vec![b, d], Stroke::solid(Colour::INK, 0.6));
        }
    }
}
