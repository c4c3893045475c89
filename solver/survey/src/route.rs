//! Paths made straight: waypoints left out where the next can be seen over one ground, and
//! slid along borders until the path is refracted there as it should be (Snell's law holds at
//! the minimum of the weighted length).

use crate::edges::distance;
use crate::mesh::Mesh;
use crate::net::{Medium, Net, Prices, Seat, Ways};
use crate::overlay::Region;
use geo::Coord;

/// Nearer than this to a line of sight a vertex is on it, m.
const ON_SIGHT_M: f64 = 1e-7;
/// Rounds of straightening; each can only shorten.
const MOST_ROUNDS: usize = 12;
/// Saving below which a path is straight enough, share of its cost.
const ENOUGH: f64 = 1e-5;

/// A point of a path.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Waypoint {
    /// Position, m.
    pub(crate) at: Coord<f64>,
    /// Where it sits in the mesh.
    pub(crate) seat: Seat,
}

/// A path of straight legs.
#[derive(Clone, Debug)]
pub(crate) struct Route {
    /// Points, two at least.
    pub(crate) points: Vec<Waypoint>,
    /// What each leg lies in: one fewer than points.
    pub(crate) media: Vec<Medium>,
}

/// What paths are measured with.
#[derive(Clone, Copy)]
pub(crate) struct Terrain<'a> {
    /// The triangulation.
    pub(crate) mesh: &'a Mesh,
    /// Costs per metre.
    pub(crate) prices: &'a Prices,
    /// Cost of each bore.
    pub(crate) bores: &'a [f64],
    /// Cost of each line that is a sleeve.
    pub(crate) sleeves: &'a [f64],
}

impl Terrain<'_> {
    /// Cost of one straight leg, money.
    pub(crate) fn leg(&self, a: Coord<f64>, b: Coord<f64>, medium: Medium) -> f64 {
        match medium {
            Medium::Ground(rate) => self.prices.ground[rate] * distance(a, b),
            Medium::Line(line) => self.prices.line[line] * distance(a, b),
            Medium::Bore(bore) => self.bores[bore],
            Medium::Sleeve(line) => self.sleeves[line],
        }
    }

    /// Whether all the way between two points lies over one ground.
    ///
    /// Walks the triangles between them; "no" where rounding leaves it open.
    pub(crate) fn sees(&self, a: Waypoint, b: Waypoint, rate: usize) -> bool {
        let ground = Region::Ground(rate);
        let mesh = self.mesh;
        let way = b.at - a.at;
        let far = way.x.hypot(way.y);
        if far == 0.0 {
            return true;
        }
        let off = |at: Coord<f64>| (way.x * (at.y - a.at.y) - way.y * (at.x - a.at.x)) / far;
        let ahead = |at: Coord<f64>| (way.x * (at.x - a.at.x) + way.y * (at.y - a.at.y)) / far;
        let mut seat = a.seat;
        let mut from_face = None;
        let mut reached = 0.0;
        for _ in 0..mesh.triangles.len() {
            if seat == b.seat {
                return true;
            }
            let step = match seat {
                Seat::Vertex(vertex) => leave_vertex(mesh, vertex, b.seat, ground, &off, &ahead),
                Seat::Side(side) => leave_side(mesh, side, from_face, b.seat, ground, &off, &ahead),
            };
            match step {
                Step::There => return true,
                Step::Lost => return false,
                Step::To(next, face) => {
                    if let Seat::Vertex(vertex) = next {
                        let now = ahead(mesh.points[vertex]);
                        if now <= reached {
                            return false;
                        }
                        reached = now;
                    }
                    seat = next;
                    from_face = face;
                }
            }
        }
        false
    }

    /// The path to a node, straightened, and its cost.
    pub(crate) fn route(&self, net: &Net, ways: &Ways, target: usize) -> (Route, f64) {
        let (nodes, media) = ways.path_to(target);
        let points = nodes
            .into_iter()
            .map(|node| Waypoint {
                at: net.at[node],
                seat: net.seat[node],
            })
            .collect();
        let mut route = Route { points, media };
        let mut cost = self.cost(&route);
        for _ in 0..MOST_ROUNDS {
            self.shorten(&mut route);
            self.slide_all(&mut route);
            let now = self.cost(&route);
            let saved = cost - now;
            cost = now;
            if saved <= ENOUGH * cost {
                break;
            }
        }
        self.shorten(&mut route);
        let cost = self.cost(&route);
        (route, cost)
    }

    /// Cost of a path, money.
    pub(crate) fn cost(&self, route: &Route) -> f64 {
        let legs = route.points.windows(2).zip(&route.media);
        legs.map(|(pair, &medium)| self.leg(pair[0].at, pair[1].at, medium))
            .sum()
    }

    /// Leaves out waypoints between which one ground lies, and points inside a straight line.
    fn shorten(&self, route: &mut Route) {
        let old = std::mem::replace(
            route,
            Route {
                points: Vec::new(),
                media: Vec::new(),
            },
        );
        let last = old.points.len() - 1;
        let mut from = 0;
        route.points.push(old.points[0]);
        while from < last {
            let medium = old.media[from];
            let same = |leg: &usize| old.media[*leg] == medium;
            let end = (from..last).take_while(same).count() + from;
            let to = match medium {
                Medium::Ground(rate) => (from + 2..=end)
                    .rev()
                    .find(|&to| self.sees(old.points[from], old.points[to], rate))
                    .unwrap_or(from + 1),
                Medium::Line(_) => {
                    let straight = |to: &usize| {
                        (from + 1..*to).all(|middle| {
                            lies_between(
                                old.points[from].at,
                                old.points[middle].at,
                                old.points[*to].at,
                            )
                        })
                    };
                    (from + 1..=end)
                        .take_while(straight)
                        .last()
                        .unwrap_or(from + 1)
                }
                Medium::Bore(_) | Medium::Sleeve(_) => from + 1,
            };
            if distance(old.points[from].at, old.points[to].at) > 0.0 {
                route.points.push(old.points[to]);
                route.media.push(medium);
            } else if let Some(end) = route.points.last_mut() {
                *end = old.points[to];
            }
            from = to;
        }
    }

    fn slide_all(&self, route: &mut Route) {
        for place in 1..route.points.len().saturating_sub(1) {
            let before = route.media[place - 1];
            let after = route.media[place];
            let open = |medium| matches!(medium, Medium::Ground(_) | Medium::Line(_));
            if open(before) && open(after) {
                self.slide(route, place);
            }
        }
    }

    /// Moves one waypoint along the edges it sits on while the path gets cheaper.
    fn slide(&self, route: &mut Route, place: usize) {
        let (a, here, b) = (
            route.points[place - 1],
            route.points[place],
            route.points[place + 1],
        );
        let (before, after) = (route.media[place - 1], route.media[place]);
        let cost = |at: Coord<f64>| self.leg(a.at, at, before) + self.leg(at, b.at, after);
        let mut best = (cost(here.at), here);
        let sides: Vec<usize> = match here.seat {
            Seat::Side(side) => vec![side],
            Seat::Vertex(vertex) => self.mesh.sides_at[vertex]
                .iter()
                .copied()
                .filter(|&side| self.mesh.is_border(side))
                .collect(),
        };
        for side in sides {
            let [from, to] = self.mesh.sides[side].ends;
            let (low, high) = (self.mesh.points[from], self.mesh.points[to]);
            let share = least(|share| cost(low + (high - low) * share));
            let moved = if share <= 0.0 {
                Waypoint {
                    at: low,
                    seat: Seat::Vertex(from),
                }
            } else if share >= 1.0 {
                Waypoint {
                    at: high,
                    seat: Seat::Vertex(to),
                }
            } else {
                Waypoint {
                    at: low + (high - low) * share,
                    seat: Seat::Side(side),
                }
            };
            let now = cost(moved.at);
            if now < best.0 * (1.0 - 1e-9)
                && self.holds(a, moved, before)
                && self.holds(moved, b, after)
            {
                best = (now, moved);
            }
        }
        route.points[place] = best.1;
    }

    /// Whether a leg can lie in its medium.
    pub(crate) fn holds(&self, a: Waypoint, b: Waypoint, medium: Medium) -> bool {
        match medium {
            Medium::Ground(rate) => self.sees(a, b, rate),
            Medium::Line(line) => self.follows(a, b, line),
            Medium::Bore(_) | Medium::Sleeve(_) => false,
        }
    }

    /// Whether both points lie on one mesh edge that the line runs along.
    fn follows(&self, a: Waypoint, b: Waypoint, line: usize) -> bool {
        let on = |point: Waypoint| match point.seat {
            Seat::Side(side) => vec![side],
            Seat::Vertex(vertex) => self.mesh.sides_at[vertex].clone(),
        };
        let others = on(b);
        on(a)
            .into_iter()
            .any(|side| self.mesh.sides[side].line == Some(line) && others.contains(&side))
    }
}

/// Whether a point lies on the straight way between two others.
fn lies_between(a: Coord<f64>, middle: Coord<f64>, b: Coord<f64>) -> bool {
    distance(a, middle) + distance(middle, b) - distance(a, b) < 1e-9
}

/// Share in 0..=1 at which a convex function is least (golden section, ends exact).
fn least(cost: impl Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    let mut one = high - GOLDEN * (high - low);
    let mut two = low + GOLDEN * (high - low);
    let (mut at_one, mut at_two) = (cost(one), cost(two));
    for _ in 0..36 {
        if at_one <= at_two {
            (high, two, at_two) = (two, one, at_one);
            one = high - GOLDEN * (high - low);
            at_one = cost(one);
        } else {
            (low, one, at_one) = (one, two, at_two);
            two = low + GOLDEN * (high - low);
            at_two = cost(two);
        }
    }
    let inner = (low + high) / 2.0;
    [0.0, 1.0].into_iter().fold(
        inner,
        |best, end| if cost(end) <= cost(best) { end } else { best },
    )
}

/// What comes next on a line of sight.
enum Step {
    /// The end lies in the triangle or on the edge at hand.
    There,
    /// Another ground, or too close to tell.
    Lost,
    /// On to this seat, out of this triangle.
    To(Seat, Option<usize>),
}

/// Whether a seat belongs to a triangle.
fn in_triangle(mesh: &Mesh, face: usize, seat: Seat) -> bool {
    match seat {
        Seat::Vertex(vertex) => mesh.triangles[face].corners.contains(&vertex),
        Seat::Side(side) => mesh.triangles[face].sides.contains(&side),
    }
}

fn leave_vertex(
    mesh: &Mesh,
    vertex: usize,
    end: Seat,
    ground: Region,
    off: &impl Fn(Coord<f64>) -> f64,
    ahead: &impl Fn(Coord<f64>) -> f64,
) -> Step {
    let here = ahead(mesh.points[vertex]);
    // Along an edge?
    for &side in &mesh.sides_at[vertex] {
        let [a, b] = mesh.sides[side].ends;
        let other = if a == vertex { b } else { a };
        let at = mesh.points[other];
        if off(at).abs() < ON_SIGHT_M && ahead(at) > here {
            if !mesh.regions(side).any(|region| region == ground) {
                return Step::Lost;
            }
            return if end == Seat::Side(side) {
                Step::There
            } else {
                Step::To(Seat::Vertex(other), None)
            };
        }
    }
    for &face in &mesh.faces_at[vertex] {
        let triangle = &mesh.triangles[face];
        let Some(place) = triangle.corners.iter().position(|&corner| corner == vertex) else {
            continue;
        };
        let right = mesh.points[triangle.corners[(place + 1) % 3]];
        let left = mesh.points[triangle.corners[(place + 2) % 3]];
        if off(right) < 0.0 && off(left) > 0.0 && crosses_ahead(right, left, here, off, ahead) {
            if triangle.region != ground {
                return Step::Lost;
            }
            return if in_triangle(mesh, face, end) {
                Step::There
            } else {
                Step::To(Seat::Side(triangle.sides[place]), Some(face))
            };
        }
    }
    Step::Lost
}

/// Whether the line of sight crosses between two points on either side of it, ahead.
fn crosses_ahead(
    right: Coord<f64>,
    left: Coord<f64>,
    here: f64,
    off: &impl Fn(Coord<f64>) -> f64,
    ahead: &impl Fn(Coord<f64>) -> f64,
) -> bool {
    let (low, high) = (off(right), off(left));
    let share = low / (low - high);
    ahead(right) + share * (ahead(left) - ahead(right)) > here
}

fn leave_side(
    mesh: &Mesh,
    side: usize,
    from: Option<usize>,
    end: Seat,
    ground: Region,
    off: &impl Fn(Coord<f64>) -> f64,
    ahead: &impl Fn(Coord<f64>) -> f64,
) -> Step {
    let [a, b] = mesh.sides[side].ends;
    let (at_a, at_b) = (mesh.points[a], mesh.points[b]);
    if off(at_a).abs() < ON_SIGHT_M && off(at_b).abs() < ON_SIGHT_M {
        if !mesh.regions(side).any(|region| region == ground) {
            return Step::Lost;
        }
        let next = if ahead(at_a) > ahead(at_b) { a } else { b };
        return Step::To(Seat::Vertex(next), None);
    }
    for face in mesh.sides[side].faces.into_iter().flatten() {
        if Some(face) == from {
            continue;
        }
        let triangle = &mesh.triangles[face];
        let Some(place) = triangle.sides.iter().position(|&own| own == side) else {
            continue;
        };
        // Corners are counter-clockwise: whoever enters towards the apex has the corner after
        // the apex on the left and the one before it on the right.
        let one = mesh.points[triangle.corners[(place + 1) % 3]];
        let two = mesh.points[triangle.corners[(place + 2) % 3]];
        if off(one) <= off(two) {
            if from.is_none() {
                continue;
            }
            return Step::Lost;
        }
        if triangle.region != ground {
            return Step::Lost;
        }
        if in_triangle(mesh, face, end) {
            return Step::There;
        }
        let apex = triangle.corners[place];
        let aside = off(mesh.points[apex]);
        if aside.abs() < ON_SIGHT_M {
            return Step::To(Seat::Vertex(apex), None);
        }
        // Out between the apex and the corner on the other side of the line of sight. Side
        // `i` lies opposite corner `i`.
        let opposite = if aside > 0.0 { place + 1 } else { place + 2 };
        return Step::To(Seat::Side(triangle.sides[opposite % 3]), Some(face));
    }
    Step::Lost
}
