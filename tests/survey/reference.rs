//! Cheapest paths over the plane, solved again in another way: every pair of points spread
//! closely over all outlines and lines is joined when the straight way between them lies in
//! one ground, found by cutting it at every edge of the plan. No triangles, no thinning, and
//! no formula of the survey. Its paths are real, so its costs bound the true ones from above,
//! within what the spacing allows.

#[cfg(test)]
use crate::site_plans::made_up;
use crate::site_plans::rates;
#[cfg(test)]
use crate::ways;
use duskwright_survey::plan::{AreaKind, LineKind, Rate, SitePlan};
use geo::Coord;

/// Spacing of points on outlines, m.
const SPACING_M: f64 = 0.5;
/// Step aside to look at the ground beside a line, m.
const ASIDE_M: f64 = 1e-3;
/// Sine of the flattest angle at which a bore may leave: 70 degrees.
const FLATTEST: f64 = 0.939_692_6;

#[derive(Clone, Copy, PartialEq)]
enum Ground {
    Closed,
    Bored,
    Dug(f64),
}

struct Reference<'a> {
    plan: &'a SitePlan,
    rates: Vec<Rate>,
    edges: Vec<(Coord<f64>, Coord<f64>)>,
}

fn inside(ring: &[Coord<f64>], at: Coord<f64>) -> bool {
    let mut odd = false;
    for pair in ring.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if (a.y > at.y) != (b.y > at.y) && at.x < (b.x - a.x) * (at.y - a.y) / (b.y - a.y) + a.x {
            odd = !odd;
        }
    }
    odd
}

fn size(ring: &[Coord<f64>]) -> f64 {
    let twice: f64 = ring
        .windows(2)
        .map(|pair| pair[0].x * pair[1].y - pair[1].x * pair[0].y)
        .sum();
    (twice / 2.0).abs()
}

fn apart(a: Coord<f64>, b: Coord<f64>) -> f64 {
    ((a.x - b.x).powi(2) + (a.y - b.y).powi(2)).sqrt()
}

impl Reference<'_> {
    fn rate(&self, surface: &str) -> &Rate {
        let found = self.rates.iter().find(|rate| rate.surface == surface);
        found.expect("a rate of the made-up plans")
    }

    /// The ground at a point: closed over utility over bored over dug, the smaller first.
    fn ground(&self, at: Coord<f64>) -> Ground {
        let mut best: Option<(u8, f64, Ground)> = None;
        for area in &self.plan.areas {
            let ring = &area.outline.exterior().0;
            if !inside(ring, at) {
                continue;
            }
            let (order, ground) = match &area.kind {
                AreaKind::NoTrench(_) => (0, Ground::Closed),
                AreaKind::Utility(surface) => (1, Ground::Dug(self.rate(surface).per_m)),
                AreaKind::BoreOnly(_) => (2, Ground::Bored),
                AreaKind::Ground(surface) => (3, Ground::Dug(self.rate(surface).per_m)),
                AreaKind::Boundary => continue,
            };
            let size = size(ring);
            if best.is_none_or(|(other, than, _)| (order, size) < (other, than)) {
                best = Some((order, size, ground));
            }
        }
        let lawn = self
            .plan
            .ground
            .as_deref()
            .expect("made-up plans have lawn");
        best.map_or_else(
            || Ground::Dug(self.rate(lawn).per_m),
            |(_, _, ground)| ground,
        )
    }

    /// Cost of the straight way between two points when one ground lies under it.
    fn straight(&self, a: Coord<f64>, b: Coord<f64>) -> Option<f64> {
        let way = b - a;
        let far = apart(a, b);
        let mut cuts = vec![0.0, 1.0];
        for &(c, d) in &self.edges {
            let along = d - c;
            let cross = way.x * along.y - way.y * along.x;
            if cross.abs() < 1e-12 {
                continue;
            }
            let offset = c - a;
            let share = (offset.x * along.y - offset.y * along.x) / cross;
            let other = (offset.x * way.y - offset.y * way.x) / cross;
            if (-1e-9..=1.0 + 1e-9).contains(&other) && share > 0.0 && share < 1.0 {
                cuts.push(share);
            }
        }
        cuts.sort_by(f64::total_cmp);
        let aside = Coord {
            x: -way.y / far * ASIDE_M,
            y: way.x / far * ASIDE_M,
        };
        let mut rate: Option<f64> = None;
        for pair in cuts.windows(2) {
            if (pair[1] - pair[0]) * far < 1e-6 {
                continue;
            }
            let middle = a + way * ((pair[0] + pair[1]) / 2.0);
            let beside = [aside, -aside].map(|step| match self.ground(middle + step) {
                Ground::Dug(rate) => rate,
                Ground::Closed | Ground::Bored => f64::INFINITY,
            });
            let here = beside[0].min(beside[1]);
            if !here.is_finite() || rate.is_some_and(|rate| rate != here) {
                return None;
            }
            rate = Some(here);
        }
        rate.map(|rate| rate * far)
    }

    /// The bore from a point of an edge, when the rules allow one.
    fn bore(&self, at: Coord<f64>, edge: (Coord<f64>, Coord<f64>)) -> Option<Coord<f64>> {
        let along = (edge.1 - edge.0) / apart(edge.0, edge.1);
        for way in [
            Coord {
                x: -along.y,
                y: along.x,
            },
            Coord {
                x: along.y,
                y: -along.x,
            },
        ] {
            let beside = (self.ground(at + way * 0.02), self.ground(at - way * 0.02));
            let (Ground::Bored, Ground::Dug(_)) = beside else {
                continue;
            };
            let mut far = 0.02;
            while self.ground(at + way * far) == Ground::Bored && far < 60.0 {
                far += 0.005;
            }
            let end = at + way * far;
            if !matches!(self.ground(at + way * (far + 0.02)), Ground::Dug(_)) {
                return None;
            }
            let flat = self.edges.iter().any(|&(c, d)| {
                let side = d - c;
                let length = apart(c, d);
                let away = ((end.x - c.x) * side.y - (end.y - c.y) * side.x).abs() / length;
                let share = ((end.x - c.x) * side.x + (end.y - c.y) * side.y) / (length * length);
                let sine = (way.x * side.y - way.y * side.x).abs() / length;
                away < 0.01 && (0.0..=1.0).contains(&share) && sine < FLATTEST
            });
            return (!flat).then_some(end);
        }
        None
    }
}

fn spread(a: Coord<f64>, b: Coord<f64>) -> Vec<Coord<f64>> {
    let steps = (apart(a, b) / SPACING_M).ceil().max(1.0) as usize;
    (0..=steps)
        .map(|step| a + (b - a) * (step as f64 / steps as f64))
        .collect()
}

/// Where a point is square to an edge and near it.
fn foot(a: Coord<f64>, b: Coord<f64>, at: Coord<f64>) -> Option<Coord<f64>> {
    let along = b - a;
    let share = ((at.x - a.x) * along.x + (at.y - a.y) * along.y) / apart(a, b).powi(2);
    let foot = a + along * share;
    ((0.0..=1.0).contains(&share) && apart(foot, at) < 5.0).then_some(foot)
}

/// Cost between all fixtures of a plan, money.
pub fn costs(plan: &SitePlan) -> Vec<Vec<f64>> {
    let mut edges = Vec::new();
    for area in &plan.areas {
        let ring = &area.outline.exterior().0;
        edges.extend(ring.windows(2).map(|pair| (pair[0], pair[1])));
    }
    let reference = Reference {
        plan,
        rates: rates(),
        edges,
    };
    let mut points: Vec<Coord<f64>> = plan.fixtures.iter().map(|fixture| fixture.at).collect();
    let mut links: Vec<(usize, usize, f64)> = Vec::new();
    for &(a, b) in &reference.edges {
        points.extend(spread(a, b));
        for fixture in &plan.fixtures {
            points.extend(foot(a, b, fixture.at));
        }
    }
    for line in &plan.lines {
        let rate = reference.rate(&line.surface).clone();
        let course = &line.course.0;
        if line.kind == LineKind::Sleeve {
            let length: f64 = course.windows(2).map(|pair| apart(pair[0], pair[1])).sum();
            links.push((
                points.len(),
                points.len() + 1,
                rate.fixed + rate.per_m * length,
            ));
            points.extend([course[0], course[course.len() - 1]]);
            continue;
        }
        for pair in course.windows(2) {
            let chain = spread(pair[0], pair[1]);
            let first = points.len();
            for step in 1..chain.len() {
                let cost = rate.per_m * apart(chain[step - 1], chain[step]);
                links.push((first + step - 1, first + step, cost));
            }
            points.extend(chain);
        }
    }
    for area in &plan.areas {
        let AreaKind::BoreOnly(surface) = &area.kind else {
            continue;
        };
        let rate = reference.rate(surface).clone();
        for pair in area.outline.exterior().0.windows(2) {
            for at in spread(pair[0], pair[1]) {
                if let Some(end) = reference.bore(at, (pair[0], pair[1])) {
                    let cost = rate.fixed + rate.per_m * apart(at, end);
                    links.push((points.len(), points.len() + 1, cost));
                    points.extend([at, end]);
                }
            }
        }
    }
    shortest(&reference, &points, &links, plan.fixtures.len())
}

fn shortest(
    reference: &Reference<'_>,
    points: &[Coord<f64>],
    links: &[(usize, usize, f64)],
    sources: usize,
) -> Vec<Vec<f64>> {
    let count = points.len();
    let mut matrix = vec![f64::INFINITY; count * count];
    for one in 0..count {
        for two in one + 1..count {
            let cost = if points[one] == points[two] {
                Some(0.0)
            } else {
                reference.straight(points[one], points[two])
            };
            if let Some(cost) = cost {
                matrix[one * count + two] = cost;
                matrix[two * count + one] = cost;
            }
        }
    }
    for &(a, b, cost) in links {
        for place in [a * count + b, b * count + a] {
            matrix[place] = matrix[place].min(cost);
        }
    }
    (0..sources)
        .map(|source| {
            let mut cost = vec![f64::INFINITY; count];
            let mut done = vec![false; count];
            cost[source] = 0.0;
            while let Some(node) = (0..count)
                .filter(|&node| !done[node] && cost[node].is_finite())
                .min_by(|&a, &b| cost[a].total_cmp(&cost[b]))
            {
                done[node] = true;
                for to in 0..count {
                    let there = cost[node] + matrix[node * count + to];
                    if there < cost[to] {
                        cost[to] = there;
                    }
                }
            }
            cost
        })
        .collect()
}

#[test]
fn cheapest_ways_are_within_three_percent_of_another_solution_and_half_of_them_within_one() {
    let mut ratios = Vec::new();
    let mut below: f64 = 1.0;
    for seed in 1..=2 {
        let plan = made_up(14, 9, seed);
        let graph = duskwright_survey::derive(&plan, &rates()).expect("every fixture is reached");
        let reference = costs(&plan);
        let nodes = ways::fixtures(&graph);
        for one in 0..nodes.len() {
            let ours = ways::from(&graph, nodes[one]);
            for two in one + 1..nodes.len() {
                let ratio = ours[nodes[two]] / reference[one][two];
                below = below.min(ratio);
                ratios.push(ratio);
            }
        }
    }
    ratios.sort_by(f64::total_cmp);
    let median = ratios[ratios.len() / 2];
    let worst = ratios[ratios.len() - 1];
    println!(
        "{} pairs: median {median:.4}, worst {worst:.4}, least {below:.4}",
        ratios.len()
    );
    assert!(median <= 1.01, "median {median}");
    assert!(worst <= 1.03, "worst {worst}");
    // A way much cheaper than the closely spaced reference would cross what it may not.
    assert!(below >= 0.985, "least {below}");
}
