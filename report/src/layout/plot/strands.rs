//! Cables side by side: the circuits of one trench are offset from its middle
//! and joined again at its ends.

use super::super::geometry::{Area, Place};
use super::arrange::Sheet;
use crate::content::{Drawing, Mark};
use std::collections::VecDeque;

/// Distance between neighbouring cables, pt.
const APART: f64 = 2.3;
/// Widest bundle, pt; more cables move closer together.
const WIDEST: f64 = 30.0;

/// All that is drawn of one circuit.
pub struct Strand {
    /// The circuit.
    pub circuit: usize,
    /// Lines.
    pub parts: Vec<Vec<Place>>,
}

/// The cables of a drawing.
pub struct Bundles {
    /// By circuit, ascending.
    pub strands: Vec<Strand>,
}

/// Distance between the outermost of `count` cables, pt.
pub fn bundle_width(count: usize) -> f64 {
    let gaps = (count.max(1) - 1) as f64;
    gaps * APART.min(WIDEST / gaps.max(1.0))
}

impl Bundles {
    /// What of them lies in an area.
    pub fn within(mut self, area: &Area) -> Self {
        for strand in &mut self.strands {
            let strokes = strand
                .parts
                .iter()
                .flat_map(|part| part.windows(2).map(|ends| (ends[0], ends[1])));
            let clipped = strokes.filter_map(|(from, to)| area.clipped(from, to));
            strand.parts = clipped.map(|(from, to)| vec![from, to]).collect();
        }
        self.strands.retain(|strand| !strand.parts.is_empty());
        self
    }

    /// Every straight stroke.
    pub fn strokes(&self) -> Vec<(Place, Place)> {
        self.strands
            .iter()
            .flat_map(|strand| &strand.parts)
            .flat_map(|part| part.windows(2).map(|ends| (ends[0], ends[1])))
            .collect()
    }

    /// For each circuit the places where its name should stand: the middles of its
    /// two longest strokes.
    pub fn name_places(&self) -> Vec<(usize, Place)> {
        let mut places = Vec::new();
        for strand in &self.strands {
            let mut strokes: Vec<(f64, Place)> = strand
                .parts
                .iter()
                .flat_map(|part| part.windows(2))
                .map(|ends| {
                    let middle =
                        Place::new(0.5 * (ends[0].x + ends[1].x), 0.5 * (ends[0].y + ends[1].y));
                    (ends[0].distance(ends[1]), middle)
                })
                .collect();
            strokes.sort_by(|one, other| other.0.total_cmp(&one.0));
            let long = strokes.iter().enumerate();
            places.extend(
                long.filter(|(rank, stroke)| *rank == 0 || (*rank == 1 && stroke.0 > 60.0))
                    .map(|(_, stroke)| (strand.circuit, stroke.1)),
            );
        }
        places
    }
}

/// One end of a strand at a node.
struct End {
    node: usize,
    at: Place,
    /// The strand arrives here, seen from the transformer.
    arrives: bool,
}

/// Offsets the circuits of every opened trench.
pub fn bundles(drawing: &Drawing, sheet: &Sheet) -> Bundles {
    let depth = depths(drawing);
    let mut strands: Vec<Strand> = (0..drawing.circuits.len())
        .map(|circuit| Strand {
            circuit,
            parts: Vec::new(),
        })
        .collect();
    let mut ends: Vec<Vec<End>> = (0..drawing.circuits.len()).map(|_| Vec::new()).collect();
    for trench in drawing
        .trenches
        .iter()
        .filter(|one| !one.circuits.is_empty())
    {
        // Seen from the transformer outwards, so that neighbours stay neighbours from trench to trench.
        let (near, far) = if (depth[trench.b], trench.b) < (depth[trench.a], trench.a) {
            (trench.b, trench.a)
        } else {
            (trench.a, trench.b)
        };
        let (Some(start), Some(end)) = (sheet.places[near], sheet.places[far]) else {
            continue;
        };
        let count = trench.circuits.len();
        let apart = APART.min(WIDEST / (count.max(2) - 1) as f64);
        for (rank, &circuit) in trench.circuits.iter().enumerate() {
            let offset = (rank as f64 - 0.5 * (count as f64 - 1.0)) * apart;
            let (from, to) = beside(start, end, offset, 0.5 * apart * (count as f64 - 1.0));
            strands[circuit].parts.push(vec![from, to]);
            ends[circuit].push(End {
                node: near,
                at: from,
                arrives: false,
            });
            ends[circuit].push(End {
                node: far,
                at: to,
                arrives: true,
            });
        }
    }
    for (strand, ends) in strands.iter_mut().zip(ends) {
        join(strand, ends, sheet);
    }
    strands.retain(|strand| !strand.parts.is_empty());
    Bundles { strands }
}

/// A line beside another, `offset` to its right, shortened at both ends so that corners stay clear.
fn beside(start: Place, end: Place, offset: f64, half_bundle: f64) -> (Place, Place) {
    let length = start.distance(end).max(1e-9);
    let (along_x, along_y) = ((end.x - start.x) / length, (end.y - start.y) / length);
    let cut = half_bundle.min(0.25 * length);
    let (side_x, side_y) = (-along_y * offset, along_x * offset);
    (
        start.moved(side_x + along_x * cut, side_y + along_y * cut),
        end.moved(side_x - along_x * cut, side_y - along_y * cut),
    )
}

/// Joins the ends of one circuit at each node; where only one end is, it runs to the node itself.
fn join(strand: &mut Strand, mut ends: Vec<End>, sheet: &Sheet) {
    ends.sort_by_key(|end| (end.node, !end.arrives));
    for here in ends.chunk_by(|one, other| one.node == other.node) {
        let hub = match here {
            [single] => match sheet.places[single.node] {
                Some(place) => place,
                None => continue,
            },
            [first, ..] => first.at,
            [] => continue,
        };
        for end in here {
            if end.at.distance(hub) > 0.05 {
                strand.parts.push(vec![end.at, hub]);
            }
        }
    }
}

/// Steps from the nearest transformer over opened trenches.
fn depths(drawing: &Drawing) -> Vec<usize> {
    let mut neighbours = vec![Vec::new(); drawing.spots.len()];
    for trench in drawing
        .trenches
        .iter()
        .filter(|one| !one.circuits.is_empty())
    {
        neighbours[trench.a].push(trench.b);
        neighbours[trench.b].push(trench.a);
    }
    let mut depth = vec![usize::MAX; drawing.spots.len()];
    let mut queue = VecDeque::new();
    for (node, spot) in drawing.spots.iter().enumerate() {
        if spot.mark == Mark::Transformer {
            depth[node] = 0;
            queue.push_back(node);
        }
    }
    while let Some(node) = queue.pop_front() {
        for &next in &neighbours[node] {
            if depth[next] == usize::MAX {
                depth[next] = depth[node] + 1;
                queue.push_back(next);
            }
        }
    }
    depth
}
