//! From all cheapest paths to few segments: a greedy spanner.
//!
//! Pairs of terminals are looked at by rising cost; a pair whose way through the segments
//! chosen so far is more than [`STRETCH`] times its cheapest path gets that path. So the
//! cheapest way between any two terminals is within that factor of the path over the ground
//! (Althöfer et al., On sparse spanners of weighted graphs, 1993; the upper bounds kept for
//! each pair are those of Farshi and Gudmundsson, 2009). Segments that lie on no cheapest way
//! between terminals are then left out, which changes no cost.

use crate::edges::distance;
use crate::net::{Medium, Net, Ways};
use crate::route::{Route, Terrain, Waypoint};
use crate::search::{Found, cheapest};
use geo::Coord;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Most that a way through the segments may cost beside the straightened path over the ground.
const STRETCH: f64 = 1.025;
/// The same beside the path through the dense net, which is known before any straightening.
/// The net's paths are up to about 2 % dearer than straightened ones, so a way within this of
/// them is good enough, and few pairs need their path straightened to be judged.
const NET_STRETCH: f64 = 1.0;
/// Share of its cost that a path may give up to pass a node that is there already.
const SHARING: f64 = 0.006;
/// How far from a waypoint a node may lie to be passed instead, share of the shorter leg.
const SHARING_REACH: f64 = 0.35;

/// A node of the thinned graph.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Node {
    /// Where it is.
    pub(crate) point: Waypoint,
}

/// A segment of the thinned graph.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Segment {
    /// Nodes.
    pub(crate) ends: [usize; 2],
    /// What it lies in.
    pub(crate) medium: Medium,
    /// Cost, money.
    pub(crate) cost: f64,
}

/// The thinned graph; its first nodes are the terminals in order.
#[derive(Debug, Default)]
pub(crate) struct Thin {
    /// Nodes.
    pub(crate) nodes: Vec<Node>,
    /// Segments.
    pub(crate) segments: Vec<Segment>,
    at: Vec<Vec<usize>>,
    places: BTreeMap<[i64; 2], usize>,
}

/// Nodes nearer than this to each other are one, m.
const SAME_M: f64 = 0.01;

fn cell(at: Coord<f64>) -> [i64; 2] {
    [
        (at.x / SAME_M).round() as i64,
        (at.y / SAME_M).round() as i64,
    ]
}

impl Thin {
    /// The node at a place, made when there is none.
    pub(crate) fn node(&mut self, point: Waypoint) -> usize {
        let next = self.nodes.len();
        let node = *self.places.entry(cell(point.at)).or_insert(next);
        if node == next {
            self.nodes.push(Node { point });
            self.at.push(Vec::new());
        }
        node
    }

    /// Adds a segment, or the cheaper of two between the same nodes.
    pub(crate) fn join(&mut self, a: usize, b: usize, medium: Medium, cost: f64) {
        if a == b {
            return;
        }
        for &segment in &self.at[a] {
            let known = &mut self.segments[segment];
            if known.ends.contains(&b) && known.medium == medium {
                known.cost = known.cost.min(cost);
                return;
            }
        }
        let number = self.segments.len();
        self.segments.push(Segment {
            ends: [a, b],
            medium,
            cost,
        });
        self.at[a].push(number);
        self.at[b].push(number);
    }

    /// Costs from a node to all that cost at most `limit` through open media, and the segment
    /// each was reached by.
    fn search(&self, source: usize, limit: f64, open: Open<'_>) -> Found<usize> {
        cheapest(self.nodes.len(), source, limit, |node| {
            let step = move |&number: &usize| {
                let segment = &self.segments[number];
                let to = segment.ends[usize::from(segment.ends[0] == node)];
                open(segment.medium).then_some((to, segment.cost, number))
            };
            self.at[node].iter().filter_map(step)
        })
    }
}

/// How far beyond what a pair may cost the graph is searched: what is learnt of farther pairs
/// spares most of them a search of their own.
const FARTHER: f64 = 2.0;
/// Pairs that are looked at side by side; another number may lay other paths.
const BATCH: usize = 128;

/// A pair whose way through the graph may be too dear.
struct Looked {
    /// Its path over the ground, straightened.
    route: Route,
    /// What that costs.
    cost: f64,
    /// Costs from its first terminal to all others through the graph, as far as looked.
    reached: Vec<f64>,
}

/// Which media a way may use.
type Open<'a> = &'a (dyn Fn(Medium) -> bool + Sync);

/// Thins the net to the ways between terminals (mesh vertices). A medium that is not `roomy`
/// may be full: pairs whose cheapest way uses one get a way without it too, where there is
/// one. Returns the graph and the ways from each terminal through the net.
pub(crate) fn thin(
    terrain: Terrain<'_>,
    net: &Net,
    terminals: &[usize],
    roomy: Open<'_>,
) -> (Thin, Vec<Ways>) {
    let mut graph = Thin::default();
    for &terminal in terminals {
        graph.node(Waypoint {
            at: net.at[terminal],
            seat: net.seat[terminal],
        });
    }
    let wanted = vec![true; terminals.len() * terminals.len()];
    let ways = span(&mut graph, terrain, net, terminals, &wanted, &|_| true);
    let narrow: Vec<bool> = (0..wanted.len())
        .into_par_iter()
        .map(|place| {
            let (one, two) = (place / terminals.len(), place % terminals.len());
            one < two && !ways[one].media_to(terminals[two]).all(roomy)
        })
        .collect();
    let all: Open<'_> = &|_| true;
    let mut kept = vec![(wanted.as_slice(), all)];
    if narrow.contains(&true) {
        span(&mut graph, terrain, net, terminals, &narrow, roomy);
        kept.push((&narrow, roomy));
    }
    (prune(&graph, terminals.len(), &kept), ways)
}

/// Lays paths until every wanted pair (place `one * terminals + two`, `one < two`) has a way
/// of open media that is cheap enough. Returns the ways through the net.
fn span(
    graph: &mut Thin,
    terrain: Terrain<'_>,
    net: &Net,
    terminals: &[usize],
    wanted: &[bool],
    open: Open<'_>,
) -> Vec<Ways> {
    let count = terminals.len();
    let ways: Vec<Ways> = terminals
        .par_iter()
        .enumerate()
        .map(|(one, &terminal)| {
            if wanted[one * count..(one + 1) * count].contains(&true) {
                net.search(terminal, open)
            } else {
                Ways::none()
            }
        })
        .collect();
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for one in 0..count {
        for two in (one + 1..count).filter(|two| wanted[one * count + two]) {
            let cost = ways[one].cost[terminals[two]];
            if cost.is_finite() && cost > 0.0 {
                pairs.push((cost, one, two));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut known = vec![f64::INFINITY; count * count];
    let learn = |known: &mut [f64], one: usize, reached: &[f64]| {
        for (other, &cost) in reached.iter().enumerate() {
            let (low, high) = (one.min(other), one.max(other));
            let bound = &mut known[low * count + high];
            *bound = bound.min(cost);
        }
    };
    for batch in pairs.chunks(BATCH) {
        // Neither the path over the ground nor the graph before the batch depends on what the
        // batch lays, so that these are looked at side by side.
        let looked: Vec<Option<Looked>> = batch
            .par_iter()
            .map(|&(dense, one, two)| {
                let bound = known[one * count + two];
                if bound <= NET_STRETCH * dense {
                    return None;
                }
                let (route, cost) = terrain.route(net, &ways[one], terminals[two]);
                let most = STRETCH * cost;
                (bound > most).then(|| Looked {
                    reached: graph.search(one, FARTHER * most, open).first(count),
                    route,
                    cost,
                })
            })
            .collect();
        let mut laid = false;
        for (&(_, one, two), looked) in batch.iter().zip(looked) {
            let Some(looked) = looked else {
                continue;
            };
            let place = one * count + two;
            let most = STRETCH * looked.cost;
            learn(&mut known, one, &looked.reached);
            if laid && known[place] > most {
                learn(&mut known, one, &graph.search(one, most, open).first(count));
            }
            if known[place] > most {
                known[place] = lay(graph, terrain, &looked.route, looked.cost);
                laid = true;
            }
        }
    }
    ways
}

/// Adds a path, over nodes that are there already where that costs next to nothing; its cost.
fn lay(graph: &mut Thin, terrain: Terrain<'_>, route: &Route, cost: f64) -> f64 {
    let mut points = route.points.clone();
    let mut spare = SHARING * cost;
    for place in 1..points.len().saturating_sub(1) {
        let (a, here, b) = (points[place - 1], points[place], points[place + 1]);
        let media = (route.media[place - 1], route.media[place]);
        let (one, two) = (distance(a.at, here.at), distance(here.at, b.at));
        let reach = SHARING_REACH * one.min(two);
        let now = |at| terrain.leg(a.at, at, media.0) + terrain.leg(at, b.at, media.1);
        let before = now(here.at);
        let best = graph
            .nodes
            .iter()
            .filter(|node| {
                let at = node.point.at;
                (at.x - here.at.x).abs() < reach && distance(at, here.at) < reach
            })
            .map(|node| (now(node.point.at) - before, node.point))
            .filter(|&(more, point)| {
                more < spare && terrain.holds(a, point, media.0) && terrain.holds(point, b, media.1)
            })
            .min_by(|one, two| one.0.total_cmp(&two.0));
        if let Some((more, point)) = best {
            points[place] = point;
            spare -= more.max(0.0);
        }
    }
    let nodes: Vec<usize> = points.iter().map(|&point| graph.node(point)).collect();
    for (leg, &medium) in route.media.iter().enumerate() {
        let (a, b) = (nodes[leg], nodes[leg + 1]);
        let cost = terrain.leg(points[leg].at, points[leg + 1].at, medium);
        graph.join(a, b, medium, cost);
    }
    cost * (1.0 + SHARING) - spare
}

/// Leaves out segments that are on no cheapest way between wanted pairs of terminals with the
/// media open to them, and nodes without segments.
fn prune(graph: &Thin, terminals: usize, kept: &[(&[bool], Open<'_>)]) -> Thin {
    let used: Vec<Vec<usize>> = (0..terminals * kept.len())
        .into_par_iter()
        .map(|search| {
            let (source, (wanted, open)) = (search / kept.len(), kept[search % kept.len()]);
            let targets: Vec<usize> = (source + 1..terminals)
                .filter(|target| wanted[source * terminals + target])
                .collect();
            if targets.is_empty() {
                return Vec::new();
            }
            let by = graph.search(source, f64::INFINITY, open).by;
            let mut seen = vec![false; graph.nodes.len()];
            let mut used = Vec::new();
            for target in targets {
                let mut node = target;
                while let (false, Some(segment)) = (seen[node], by[node]) {
                    seen[node] = true;
                    used.push(segment);
                    let [a, b] = graph.segments[segment].ends;
                    node = if a == node { b } else { a };
                }
            }
            used
        })
        .collect();
    let mut keep = vec![false; graph.segments.len()];
    for segment in used.into_iter().flatten() {
        keep[segment] = true;
    }
    let mut pruned = Thin::default();
    for node in &graph.nodes[..terminals] {
        pruned.node(node.point);
    }
    for (segment, _) in graph.segments.iter().zip(&keep).filter(|(_, keep)| **keep) {
        let [a, b] = segment.ends.map(|end| pruned.node(graph.nodes[end].point));
        pruned.join(a, b, segment.medium, segment.cost);
    }
    pruned
}
