//! The straight edges of a plan in a search tree, and their division at points on them.

use crate::plan::{Area, Line, LineKind};
use geo::{Coord, LineString};
use rstar::{AABB, PointDistance, RTree, RTreeObject};

/// Points nearer to an edge than this are on it: below what anybody measures on a site, m.
pub(crate) const ON_EDGE_M: f64 = 0.005;
/// Coordinates are rounded to this, so that edges drawn twice meet, m.
pub(crate) const GRID_M: f64 = 0.001;

/// Rounds to the grid.
pub(crate) fn rounded(at: Coord<f64>) -> Coord<f64> {
    let round = |value: f64| (value / GRID_M).round() * GRID_M;
    Coord {
        x: round(at.x),
        y: round(at.y),
    }
}

/// What an edge belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Owner {
    /// An area.
    Area(usize),
    /// A line that cables may follow.
    Line(usize),
}

/// A straight edge.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    /// One end.
    pub(crate) a: Coord<f64>,
    /// The other.
    pub(crate) b: Coord<f64>,
    /// What it belongs to.
    pub(crate) owner: Owner,
    /// Number in [`Edges::all`].
    pub(crate) number: usize,
}

impl Edge {
    /// The share of the edge, 0 to 1, at which it is nearest to a point, and that point.
    pub(crate) fn nearest(&self, at: Coord<f64>) -> (f64, Coord<f64>) {
        let along = self.b - self.a;
        let square = along.x * along.x + along.y * along.y;
        let offset = at - self.a;
        let share = if square > 0.0 {
            ((offset.x * along.x + offset.y * along.y) / square).clamp(0.0, 1.0)
        } else {
            0.0
        };
        (share, self.a + along * share)
    }
    /// Length, m.
    pub(crate) fn length(&self) -> f64 {
        distance(self.a, self.b)
    }
}

/// Straight distance, m.
pub(crate) fn distance(a: Coord<f64>, b: Coord<f64>) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}

impl RTreeObject for Edge {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners([self.a.x, self.a.y], [self.b.x, self.b.y])
    }
}

impl PointDistance for Edge {
    fn distance_2(&self, point: &[f64; 2]) -> f64 {
        let at = Coord {
            x: point[0],
            y: point[1],
        };
        distance(at, self.nearest(at).1).powi(2)
    }
}

/// All edges of a plan.
pub(crate) struct Edges {
    /// In the order of areas and lines.
    pub(crate) all: Vec<Edge>,
    /// The same, searchable.
    pub(crate) tree: RTree<Edge>,
    /// Points that divide each edge: share of it, and point.
    divided: Vec<Vec<(f64, Coord<f64>)>>,
}

impl Edges {
    /// Edges of all outlines and of the lines that cables follow, on the grid.
    pub(crate) fn of(areas: &[Area], lines: &[Line]) -> Self {
        let mut all = Vec::new();
        for (number, area) in areas.iter().enumerate() {
            push(&mut all, area.outline.exterior(), Owner::Area(number));
            for hole in area.outline.interiors() {
                push(&mut all, hole, Owner::Area(number));
            }
        }
        for (number, line) in lines.iter().enumerate() {
            if line.kind == LineKind::Follow {
                push(&mut all, &line.course, Owner::Line(number));
            }
        }
        let divided = vec![Vec::new(); all.len()];
        Self {
            tree: RTree::bulk_load(all.clone()),
            all,
            divided,
        }
    }

    /// Divides an edge at a point on it.
    pub(crate) fn divide(&mut self, edge: usize, at: Coord<f64>) {
        let (share, _) = self.all[edge].nearest(at);
        let ends = [self.all[edge].a, self.all[edge].b];
        if !ends.contains(&at) {
            self.divided[edge].push((share, at));
        }
    }

    /// Divides every edge that a point lies on.
    pub(crate) fn divide_all(&mut self, at: Coord<f64>) {
        let near: Vec<usize> = self
            .tree
            .locate_within_distance([at.x, at.y], ON_EDGE_M * ON_EDGE_M)
            .map(|edge| edge.number)
            .collect();
        for edge in near {
            self.divide(edge, at);
        }
    }

    /// Divides every edge that an end of another edge lies on.
    pub(crate) fn meet(&mut self) {
        let ends: Vec<Coord<f64>> = self.all.iter().flat_map(|edge| [edge.a, edge.b]).collect();
        for end in ends {
            self.divide_all(end);
        }
    }

    /// The points of an edge in order, its ends among them.
    pub(crate) fn chain(&self, edge: usize) -> Vec<Coord<f64>> {
        let mut points = self.divided[edge].clone();
        points.sort_by(|one, two| one.0.total_cmp(&two.0));
        let inner = points.into_iter().map(|(_, at)| at);
        let whole = std::iter::once(self.all[edge].a)
            .chain(inner)
            .chain([self.all[edge].b]);
        let mut chain: Vec<Coord<f64>> = whole.collect();
        chain.dedup();
        chain
    }
}

fn push(all: &mut Vec<Edge>, course: &LineString<f64>, owner: Owner) {
    for line in course.lines() {
        let (a, b) = (rounded(line.start), rounded(line.end));
        if a != b {
            let number = all.len();
            all.push(Edge {
                a,
                b,
                owner,
                number,
            });
        }
    }
}
