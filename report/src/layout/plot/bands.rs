//! The ground that is opened: a band under the cables of each trench, its tint and
//! the pattern of its edges by surface, so that it reads without colour too.

use super::super::frame::{Colour, Frame, Stroke};
use super::super::geometry::{Area, Place};
use super::arrange::Sheet;
use super::strands;
use crate::content::Drawing;

/// Tints of our own, light enough that text and cables stay clear on them.
const TINTS: [Colour; 6] = [
    Colour(226, 239, 218),
    Colour(242, 229, 210),
    Colour(225, 229, 235),
    Colour(214, 234, 244),
    Colour(246, 224, 228),
    Colour(248, 243, 204),
];

/// Patterns of the edges (line types after ISO 128: continuous, dashed, dotted, chain), pt.
const EDGES: [&[f64]; 6] = [
    &[],
    &[4.0, 2.0],
    &[0.8, 1.4],
    &[6.0, 1.4, 0.8, 1.4],
    &[6.0, 1.4, 0.8, 1.4, 0.8, 1.4],
    &[2.0, 4.0],
];

/// Blank between the outermost cable and the edge of its band, pt.
const BESIDE: f64 = 2.6;

fn tint(surface: usize) -> Colour {
    TINTS[surface % TINTS.len()]
}

fn edge(surface: usize) -> Stroke {
    Stroke {
        colour: Colour(130, 132, 128),
        width: 0.45,
        dash: EDGES[surface % EDGES.len()].to_vec(),
    }
}

/// Puts the bands of all opened trenches; tints first, so that no band covers another's edge.
pub fn put(frame: &mut Frame, drawing: &Drawing, sheet: &Sheet, plot: &Area) {
    let bands: Vec<(usize, Place, Place, f64)> = drawing
        .trenches
        .iter()
        .filter(|trench| !trench.circuits.is_empty())
        .filter_map(|trench| {
            let (a, b) = (sheet.places[trench.a]?, sheet.places[trench.b]?);
            let (a, b) = plot.grown(-5.0).clipped(a, b)?;
            let half = 0.5 * strands::bundle_width(trench.circuits.len()) + BESIDE;
            Some((trench.surface, a, b, half))
        })
        .filter(|(_, a, b, _)| a.distance(*b) > 0.1)
        .collect();
    for &(surface, a, b, half) in &bands {
        let (first, second) = sides(a, b, half);
        let corners = vec![first.0, first.1, second.1, second.0];
        frame.shape(corners, None, Some(tint(surface)));
    }
    for &(surface, a, b, half) in &bands {
        let (first, second) = sides(a, b, half);
        frame.line(vec![first.0, first.1], edge(surface));
        frame.line(vec![second.0, second.1], edge(surface));
    }
}

/// Both edges of a band, `half` to each side of its middle.
fn sides(a: Place, b: Place, half: f64) -> ((Place, Place), (Place, Place)) {
    let length = a.distance(b).max(1e-9);
    let (x, y) = (-(b.y - a.y) / length * half, (b.x - a.x) / length * half);
    (
        (a.moved(x, y), b.moved(x, y)),
        (a.moved(-x, -y), b.moved(-x, -y)),
    )
}

/// A sample for the key, `length` long, its middle line starting at `at`.
pub fn put_sample(frame: &mut Frame, surface: usize, at: Place, length: f64) {
    let half = 3.2;
    frame.rectangle(
        Area::new(at.x, at.y - half, length, 2.0 * half),
        None,
        Some(tint(surface)),
    );
    for y in [-half, half] {
        let start = at.moved(0.0, y);
        frame.line(vec![start, start.moved(length, 0.0)], edge(surface));
    }
}
