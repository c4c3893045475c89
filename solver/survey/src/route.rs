//! Paths made straight: waypoints left out where the next can be seen over one ground, and
//! slid along borders until the path is refracted there as it should be (Snell's law holds at
//! the minimum of the weighted length).

use crate::edges::distance;
use crate::mesh::Mesh;
use crate::net::{Medium, Net, Prices, Seat, Ways};
use crate::overlay::Region;
use crate::sight;
use geo::Coord;

/// Rounds of straightening; each can only shorten.
const MOST_ROUNDS: usize = 12;
/// Saving below which a path is straight enough, share of its cost.
const ENOUGH: f64 = 1e-5;

/// Cosine of the angle up to which two edges count as the two sides of a strip: 25 degrees.
const NEARLY_PARALLEL: f64 = 0.906;
/// Share of an edge within which a point is its end.
const AT_END: f64 = 1e-9;

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
    pub(crate) fn sees(&self, a: Waypoint, b: Waypoint, rate: usize) -> bool {
        sight::clear(self.mesh, a, b, Region::Ground(rate))
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
            self.slide_pairs(&mut route);
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
        for side in self.borders(here) {
            let share = least(|share| cost(self.on(side, share).at));
            let moved = self.on(side, share);
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

    /// Moves both ends of a leg together along the edges they sit on: across a narrow strip
    /// neither end gains alone, because the leg would become oblique.
    fn slide_pairs(&self, route: &mut Route) {
        for place in 1..route.points.len().saturating_sub(2) {
            let open = |medium: &Medium| matches!(medium, Medium::Ground(_));
            if route.media[place - 1..=place + 1].iter().all(open) {
                self.slide_pair(route, place);
            }
        }
    }

    fn slide_pair(&self, route: &mut Route, place: usize) {
        let points = [place - 1, place, place + 1, place + 2].map(|at| route.points[at]);
        let media = [place - 1, place, place + 1].map(|leg| route.media[leg]);
        let cost = |one: Waypoint, two: Waypoint| {
            self.leg(points[0].at, one.at, media[0])
                + self.leg(one.at, two.at, media[1])
                + self.leg(two.at, points[3].at, media[2])
        };
        let mut best = (cost(points[1], points[2]), points[1], points[2]);
        for first in self.borders(points[1]) {
            for second in self.borders(points[2]) {
                let Some(both) = self.together(points[1], first, points[2], second) else {
                    continue;
                };
                let share = least(|share| {
                    let (one, two) = both(share);
                    cost(one, two)
                });
                let (one, two) = both(share);
                let now = cost(one, two);
                if now < best.0 * (1.0 - 1e-9)
                    && self.holds(points[0], one, media[0])
                    && self.holds(one, two, media[1])
                    && self.holds(two, points[3], media[2])
                {
                    best = (now, one, two);
                }
            }
        }
        (route.points[place], route.points[place + 1]) = (best.1, best.2);
    }

    /// Two points moved by one distance along two nearly parallel edges: over the whole range
    /// that both edges allow, as a share of it.
    fn together(
        &self,
        one: Waypoint,
        first: usize,
        two: Waypoint,
        second: usize,
    ) -> Option<impl Fn(f64) -> (Waypoint, Waypoint) + use<'_>> {
        let along = |side: usize| {
            let [from, to] = self.mesh.sides[side].ends.map(|end| self.mesh.points[end]);
            (from, to - from, self.mesh.length(side))
        };
        let ((start_1, way_1, length_1), (start_2, way_2, length_2)) =
            (along(first), along(second));
        let cosine = (way_1.x * way_2.x + way_1.y * way_2.y) / (length_1 * length_2);
        if cosine.abs() < NEARLY_PARALLEL {
            return None;
        }
        let sense = cosine.signum();
        let (now_1, now_2) = (distance(start_1, one.at), distance(start_2, two.at));
        let (low_2, high_2) = if sense > 0.0 {
            (-now_2, length_2 - now_2)
        } else {
            (now_2 - length_2, now_2)
        };
        let low = (-now_1).max(low_2);
        let high = (length_1 - now_1).min(high_2);
        (high - low > 1e-9).then_some(move |share: f64| {
            let shift = low + share * (high - low);
            (
                self.on(first, (now_1 + shift) / length_1),
                self.on(second, (now_2 + sense * shift) / length_2),
            )
        })
    }

    /// The edges along which a waypoint may be moved.
    fn borders(&self, point: Waypoint) -> Vec<usize> {
        match point.seat {
            Seat::Side(side) => vec![side],
            Seat::Vertex(vertex) => self.mesh.sides_at[vertex]
                .iter()
                .copied()
                .filter(|&side| self.mesh.is_border(side))
                .collect(),
        }
    }

    /// The point at a share of a mesh edge; a vertex at its ends.
    fn on(&self, side: usize, share: f64) -> Waypoint {
        let [from, to] = self.mesh.sides[side].ends;
        let (low, high) = (self.mesh.points[from], self.mesh.points[to]);
        if share <= AT_END {
            Waypoint {
                at: low,
                seat: Seat::Vertex(from),
            }
        } else if share >= 1.0 - AT_END {
            Waypoint {
                at: high,
                seat: Seat::Vertex(to),
            }
        } else {
            Waypoint {
                at: low + (high - low) * share,
                seat: Seat::Side(side),
            }
        }
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
