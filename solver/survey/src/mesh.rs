//! A constrained Delaunay triangulation of the plan: every triangle lies in one region.

use crate::edges::{Edge, Edges, Owner, distance};
use crate::overlay::{Overlay, Region};
use geo::Coord;
use rstar::RTree;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};
use std::collections::BTreeMap;

/// A triangle, corners counter-clockwise.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Triangle {
    /// Vertices.
    pub(crate) corners: [usize; 3],
    /// Sides; side `i` lies opposite corner `i`.
    pub(crate) sides: [usize; 3],
    /// What the ground is.
    pub(crate) region: Region,
}

/// An edge between two vertices.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Side {
    /// Vertices.
    pub(crate) ends: [usize; 2],
    /// Triangles on either side.
    pub(crate) faces: [Option<usize>; 2],
    /// Line that runs along it.
    pub(crate) line: Option<usize>,
}

/// The triangulation as plain tables.
#[derive(Debug)]
pub(crate) struct Mesh {
    /// Vertices, m.
    pub(crate) points: Vec<Coord<f64>>,
    /// Triangles.
    pub(crate) triangles: Vec<Triangle>,
    /// Edges.
    pub(crate) sides: Vec<Side>,
    /// Triangles round each vertex.
    pub(crate) faces_at: Vec<Vec<usize>>,
    /// Edges at each vertex.
    pub(crate) sides_at: Vec<Vec<usize>>,
    places: BTreeMap<[u64; 2], usize>,
}

fn key(at: Coord<f64>) -> [u64; 2] {
    // Adding zero turns -0 into 0, so that equal places have one key.
    [(at.x + 0.0).to_bits(), (at.y + 0.0).to_bits()]
}

impl Mesh {
    /// Triangulates the edges, with `points` as further vertices. Time about n log n.
    pub(crate) fn new(edges: &Edges, points: &[Coord<f64>], overlay: &Overlay<'_>) -> Self {
        let mut net = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
        let mut known = BTreeMap::new();
        let mut vertex = |net: &mut ConstrainedDelaunayTriangulation<Point2<f64>>,
                          at: Coord<f64>| {
            if let Some(&handle) = known.get(&key(at)) {
                return Some(handle);
            }
            let handle = net.insert(Point2::new(at.x, at.y)).ok()?;
            known.insert(key(at), handle);
            Some(handle)
        };
        for &at in points {
            vertex(&mut net, at);
        }
        for corner in frame(edges, points) {
            vertex(&mut net, corner);
        }
        let mut pairs = Vec::new();
        for edge in &edges.all {
            for pair in edges.chain(edge.number).windows(2) {
                let ends = (vertex(&mut net, pair[0]), vertex(&mut net, pair[1]));
                if let (Some(from), Some(to)) = ends
                    && from != to
                {
                    pairs.push((from, to));
                }
            }
        }
        for (from, to) in pairs {
            net.add_constraint_and_split(from, to, |at| at);
        }
        Self::tables(&net, edges, overlay)
    }

    fn tables(
        net: &ConstrainedDelaunayTriangulation<Point2<f64>>,
        edges: &Edges,
        overlay: &Overlay<'_>,
    ) -> Self {
        let points: Vec<Coord<f64>> = net
            .vertices()
            .map(|vertex| Coord {
                x: vertex.position().x,
                y: vertex.position().y,
            })
            .collect();
        let followed: Vec<Edge> = edges
            .all
            .iter()
            .filter(|edge| matches!(edge.owner, Owner::Line(_)))
            .copied()
            .collect();
        let followed = RTree::bulk_load(followed);
        let mut sides: Vec<Side> = net
            .undirected_edges()
            .map(|edge| {
                let ends = edge.vertices().map(|vertex| vertex.fix().index());
                let line = edge
                    .is_constraint_edge()
                    .then(|| line_along(points[ends[0]], points[ends[1]], &followed))
                    .flatten();
                Side {
                    ends,
                    faces: [None; 2],
                    line,
                }
            })
            .collect();
        let mut triangles = Vec::new();
        let mut faces_at = vec![Vec::new(); points.len()];
        for face in net.inner_faces() {
            let number = triangles.len();
            let corners = face.vertices().map(|vertex| vertex.fix().index());
            let mut own = [0; 3];
            for edge in face.adjacent_edges() {
                let side = edge.as_undirected().fix().index();
                let from = edge.from().fix().index();
                let to = edge.to().fix().index();
                for (place, corner) in corners.iter().enumerate() {
                    if *corner != from && *corner != to {
                        own[place] = side;
                    }
                }
                let free = usize::from(sides[side].faces[0].is_some());
                sides[side].faces[free] = Some(number);
            }
            let sum = corners
                .iter()
                .fold(Coord::zero(), |sum, &corner| sum + points[corner]);
            triangles.push(Triangle {
                corners,
                sides: own,
                region: overlay.at(sum / 3.0),
            });
            for corner in corners {
                faces_at[corner].push(number);
            }
        }
        let mut sides_at = vec![Vec::new(); points.len()];
        for (number, side) in sides.iter().enumerate() {
            for end in side.ends {
                sides_at[end].push(number);
            }
        }
        let places = points
            .iter()
            .enumerate()
            .map(|(number, &at)| (key(at), number))
            .collect();
        Self {
            points,
            triangles,
            sides,
            faces_at,
            sides_at,
            places,
        }
    }

    /// The vertex at exactly this place.
    pub(crate) fn vertex(&self, at: Coord<f64>) -> Option<usize> {
        self.places.get(&key(at)).copied()
    }
    /// Length of an edge, m.
    pub(crate) fn length(&self, side: usize) -> f64 {
        let [a, b] = self.sides[side].ends;
        distance(self.points[a], self.points[b])
    }
    /// Regions on either side of an edge.
    pub(crate) fn regions(&self, side: usize) -> impl Iterator<Item = Region> + '_ {
        self.sides[side]
            .faces
            .into_iter()
            .flatten()
            .map(|face| self.triangles[face].region)
    }
    /// Whether two different regions meet at an edge.
    pub(crate) fn is_border(&self, side: usize) -> bool {
        let mut regions = self.regions(side);
        let first = regions.next();
        regions.next() != first || self.sides[side].line.is_some()
    }
}

/// The line that an edge lies on.
fn line_along(a: Coord<f64>, b: Coord<f64>, followed: &RTree<Edge>) -> Option<usize> {
    let near = |at: Coord<f64>| {
        followed.locate_within_distance([at.x, at.y], 4.0 * super::edges::ON_EDGE_M.powi(2))
    };
    let middle = (a + b) / 2.0;
    let mut lines: Vec<usize> = near(middle)
        .filter(|edge| {
            let reach = 2.0 * super::edges::ON_EDGE_M;
            [a, b]
                .iter()
                .all(|&end| distance(end, edge.nearest(end).1) < reach)
        })
        .filter_map(|edge| match edge.owner {
            Owner::Line(line) => Some(line),
            Owner::Area(_) => None,
        })
        .collect();
    lines.sort_unstable();
    lines.first().copied()
}

/// Corners of a frame well round everything, so that paths may go round outside.
fn frame(edges: &Edges, points: &[Coord<f64>]) -> [Coord<f64>; 4] {
    let all = || {
        let ends = edges.all.iter().flat_map(|edge| [edge.a, edge.b]);
        ends.chain(points.iter().copied())
    };
    let low = |pick: fn(Coord<f64>) -> f64| all().map(pick).fold(f64::INFINITY, f64::min);
    let high = |pick: fn(Coord<f64>) -> f64| all().map(pick).fold(f64::NEG_INFINITY, f64::max);
    let (west, east) = (low(|at| at.x), high(|at| at.x));
    let (south, north) = (low(|at| at.y), high(|at| at.y));
    let margin = 2.0 + 0.1 * (east - west).max(north - south);
    let corner = |x: f64, y: f64| crate::edges::rounded(Coord { x, y });
    [
        corner(west - margin, south - margin),
        corner(east + margin, south - margin),
        corner(east + margin, north + margin),
        corner(west - margin, north + margin),
    ]
}
