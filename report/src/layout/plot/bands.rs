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
            let half = 0.5 * strands::bundle_width(trench.circuits.len()) + BESIDE;
            Some((trench.surface, a, b, half))
        })
        .filter(|(_, a, b, _)| a.distance(*b) > 0.1)
        .collect();
    for &(surface, a, b, half) in &bands {
        let (first, second) = sides(a, b, half);
        let corners = [first.0, first.1, second.1, second.0];
        let seen = inside(plot, &corners);
        if seen.len() > 2 {
            frame.shape(seen, None, Some(tint(surface)));
        }
    }
    for &(surface, a, b, half) in &bands {
        let (first, second) = sides(a, b, half);
        for (from, to) in [first, second] {
            if let Some((from, to)) = plot.clipped(from, to) {
                frame.line(vec![from, to], edge(surface));
            }
        }
    }
}

/// The part of a convex shape that lies in an area (Sutherland and Hodgman 1974).
fn inside(area: &Area, corners: &[Place]) -> Vec<Place> {
    // Distance from each edge of the area, inwards.
    let edges: [&dyn Fn(Place) -> f64; 4] = [
        &|at| at.x - area.x,
        &|at| area.right() - at.x,
        &|at| at.y - area.y,
        &|at| area.bottom() - at.y,
    ];
    let mut shape = corners.to_vec();
    for depth in edges {
        let ring = shape.iter().zip(shape.iter().cycle().skip(1));
        let mut kept = Vec::with_capacity(shape.len() + 1);
        for (&from, &to) in ring {
            let (near, far) = (depth(from), depth(to));
            if near >= 0.0 {
                kept.push(from);
            }
            if (near < 0.0) != (far < 0.0) {
                let share = near / (near - far);
                kept.push(from.moved(share * (to.x - from.x), share * (to.y - from.y)));
            }
        }
        shape = kept;
    }
    shape
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shape_over_the_edge_is_cut_at_it() {
        let area = Area::new(0.0, 0.0, 10.0, 10.0);
        let band = [(2.0, 5.0), (3.0, 4.0), (15.0, 16.0), (14.0, 17.0)];
        let shape = inside(&area, &band.map(|(x, y)| Place::new(x, y)));
        // Cut at the bottom only: its lower sides reach it at x = 7 and x = 9.
        assert_eq!(shape.len(), 4, "{shape:?}");
        for place in &shape {
            assert!(area.contains(&Area::new(place.x, place.y, 0.0, 0.0), 1e-9));
        }
        let outside = band.map(|(x, y)| Place::new(x + 40.0, y));
        assert!(inside(&area, &outside).is_empty());
    }
}
