//! The dense net: mesh vertices and further points on mesh edges, joined across triangles,
//! along edges, through bores and sleeves. Its cheapest paths bound those of the plane from
//! above; [`crate::route`] then straightens them.

use crate::edges::distance;
use crate::mesh::Mesh;
use crate::overlay::Region;
use crate::search::cheapest;
use geo::Coord;

/// Spacing of points on a mesh edge inside one ground, m, and the most of them.
const INSIDE: (f64, usize) = (4.0, 2);
/// The same on an edge where two grounds meet, where a path is refracted.
const BORDER: (f64, usize) = (1.5, 5);
/// The same on an edge that a line runs along, where a path enters nearly square.
const FOLLOWED: (f64, usize) = (0.75, 24);

/// What a straight leg of a path lies in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Medium {
    /// Ground at the rate of this index.
    Ground(usize),
    /// Along the line of this index.
    Line(usize),
    /// Through the bore of this index.
    Bore(usize),
    /// Through the sleeve that is the line of this index.
    Sleeve(usize),
}

/// A way that is not across the ground: through a bore or sleeve.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Passage {
    /// Mesh vertices at its mouths.
    pub(crate) mouths: [usize; 2],
    /// Which.
    pub(crate) medium: Medium,
    /// Cost, money.
    pub(crate) cost: f64,
}

/// Where a point of the net sits in the mesh.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Seat {
    /// On a vertex.
    Vertex(usize),
    /// Inside an edge.
    Side(usize),
}

/// Costs per metre, by medium.
#[derive(Clone, Debug)]
pub(crate) struct Prices {
    /// Of each rate.
    pub(crate) ground: Vec<f64>,
    /// Of each line; infinite for one that is not followed.
    pub(crate) line: Vec<f64>,
}

impl Prices {
    /// Cheapest way along a mesh edge.
    pub(crate) fn along(&self, mesh: &Mesh, side: usize) -> Option<(Medium, f64)> {
        let line = mesh.sides[side]
            .line
            .map(|line| (Medium::Line(line), self.line[line]));
        let grounds = mesh.regions(side).filter_map(|region| match region {
            Region::Ground(rate) => Some((Medium::Ground(rate), self.ground[rate])),
            Region::Blocked | Region::Bore(_) => None,
        });
        line.into_iter()
            .chain(grounds)
            .min_by(|one, two| one.1.total_cmp(&two.1).then(one.0.cmp(&two.0)))
    }
}

/// The dense net.
#[derive(Debug)]
pub(crate) struct Net {
    /// Position of each node, m.
    pub(crate) at: Vec<Coord<f64>>,
    /// Seat of each node; the first nodes are the mesh vertices.
    pub(crate) seat: Vec<Seat>,
    starts: Vec<u32>,
    arcs: Vec<Arc>,
}

#[derive(Clone, Copy, Debug)]
struct Arc {
    to: u32,
    medium: Medium,
    cost: f64,
}

impl Net {
    /// Builds the net.
    pub(crate) fn new(mesh: &Mesh, prices: &Prices, passages: &[Passage]) -> Self {
        let mut at = mesh.points.clone();
        let mut seat: Vec<Seat> = (0..at.len()).map(Seat::Vertex).collect();
        let on_side: Vec<Vec<usize>> = (0..mesh.sides.len())
            .map(|side| points_on(mesh, side, &mut at, &mut seat))
            .collect();
        let mut found: Vec<(u32, Arc)> = Vec::new();
        let mut join = |a: usize, b: usize, medium: Medium, cost: f64| {
            for (from, to) in [(a, b), (b, a)] {
                let to = to as u32;
                found.push((from as u32, Arc { to, medium, cost }));
            }
        };
        for (side, inner) in on_side.iter().enumerate() {
            let Some((medium, per_m)) = prices.along(mesh, side) else {
                continue;
            };
            let [a, b] = mesh.sides[side].ends;
            let chain: Vec<usize> = [a]
                .into_iter()
                .chain(inner.iter().copied())
                .chain([b])
                .collect();
            for pair in chain.windows(2) {
                join(
                    pair[0],
                    pair[1],
                    medium,
                    per_m * distance(at[pair[0]], at[pair[1]]),
                );
            }
        }
        for triangle in &mesh.triangles {
            let Region::Ground(rate) = triangle.region else {
                continue;
            };
            let mut cross = |a: usize, b: usize| {
                let cost = prices.ground[rate] * distance(at[a], at[b]);
                join(a, b, Medium::Ground(rate), cost);
            };
            for place in 0..3 {
                let own = &on_side[triangle.sides[place]];
                for &point in own {
                    cross(triangle.corners[place], point);
                    for &other in &on_side[triangle.sides[(place + 1) % 3]] {
                        cross(point, other);
                    }
                }
            }
        }
        for passage in passages {
            let [a, b] = passage.mouths;
            join(a, b, passage.medium, passage.cost);
        }
        let (starts, arcs) = by_origin(at.len(), found);
        Self {
            at,
            seat,
            starts,
            arcs,
        }
    }

    /// Cheapest ways from a node to all others through open media.
    pub(crate) fn search(&self, source: usize, open: &dyn Fn(Medium) -> bool) -> Ways {
        let found = cheapest(self.at.len(), source, f64::INFINITY, |node| {
            let own = self.starts[node] as usize..self.starts[node + 1] as usize;
            let step = move |arc: &Arc| {
                let by = (node as u32, arc.medium);
                open(arc.medium).then_some((arc.to as usize, arc.cost, by))
            };
            self.arcs[own].iter().filter_map(step)
        });
        Ways {
            cost: found.cost,
            came: found.by,
        }
    }
}

/// Cheapest ways from one node.
#[derive(Debug)]
pub(crate) struct Ways {
    /// Cost to each node; infinite where none leads.
    pub(crate) cost: Vec<f64>,
    came: Vec<Option<(u32, Medium)>>,
}

impl Ways {
    /// No ways at all.
    pub(crate) const fn none() -> Self {
        Self {
            cost: Vec::new(),
            came: Vec::new(),
        }
    }
    /// Media of the way to a node, from its end.
    pub(crate) fn media_to(&self, target: usize) -> impl Iterator<Item = Medium> + '_ {
        let mut node = target;
        std::iter::from_fn(move || {
            let (before, medium) = self.came[node]?;
            node = before as usize;
            Some(medium)
        })
    }
    /// Nodes and media from the source to a node.
    pub(crate) fn path_to(&self, target: usize) -> (Vec<usize>, Vec<Medium>) {
        let (mut nodes, mut media) = (vec![target], Vec::new());
        let mut node = target;
        while let Some((before, medium)) = self.came[node] {
            node = before as usize;
            nodes.push(node);
            media.push(medium);
        }
        nodes.reverse();
        media.reverse();
        (nodes, media)
    }
}

fn points_on(
    mesh: &Mesh,
    side: usize,
    at: &mut Vec<Coord<f64>>,
    seat: &mut Vec<Seat>,
) -> Vec<usize> {
    let passable = mesh.sides[side].line.is_some()
        || mesh
            .regions(side)
            .any(|region| matches!(region, Region::Ground(_)));
    if !passable {
        return Vec::new();
    }
    let [a, b] = mesh.sides[side].ends;
    let (from, to) = (mesh.points[a], mesh.points[b]);
    let (spacing_m, most) = if mesh.sides[side].line.is_some() {
        FOLLOWED
    } else if mesh.is_border(side) {
        BORDER
    } else {
        INSIDE
    };
    let count = ((mesh.length(side) / spacing_m).round() as usize).clamp(1, most);
    (1..=count)
        .map(|step| {
            let share = step as f64 / (count + 1) as f64;
            at.push(from + (to - from) * share);
            seat.push(Seat::Side(side));
            at.len() - 1
        })
        .collect()
}

fn by_origin(nodes: usize, mut found: Vec<(u32, Arc)>) -> (Vec<u32>, Vec<Arc>) {
    found.sort_by_key(|(from, _)| *from);
    let mut starts = vec![0_u32; nodes + 1];
    for (from, _) in &found {
        starts[*from as usize + 1] += 1;
    }
    for node in 0..nodes {
        starts[node + 1] += starts[node];
    }
    (starts, found.into_iter().map(|(_, arc)| arc).collect())
}
