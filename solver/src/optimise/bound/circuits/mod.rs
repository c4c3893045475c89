//! Whole circuits instead of single fixtures: for jobs of few fixtures the cheapest tree of
//! pieces and joints of every set of fixtures, and the cheapest partition into circuits.
//!
//! # Why it is a bound
//!
//! Rows that tie cables to trenches, sites, losses and voltages keep their multipliers; those
//! that only tie the paths of fixtures to cables and joints are not relaxed any more. A
//! circuit of the fixtures `S` is then a tree that costs, at the prices,
//!
//! - for each metre of a piece behind which the fixtures `T` hang, at least
//!   `c(T) = min (p_k + R_k (q(T)² + I(T) W(T)))` over the gauges that carry their least
//!   currents, slack and rises included. `q(T) = sum t_f` stands for drops priced by what each
//!   fixture draws (points 5 and 6 of the module `bound`). `W(T) = sum w_f` is money for a volt,
//!   whatever the fixture draws: `w_f (sum R_a l_a I_a - (Vnl - V_f - R_lead I_f)) <= 0` is added
//!   for every `f`, and `I_a` is at least the sum `I(T)` of their least currents. The first
//!   counts each fixture's own current at its own volts, the second the currents of all that
//!   share the cable, those with volts to spare as well;
//! - its per-cable work, and what each `f` of `T` offers for an opened segment;
//! - for each joint the cheapest hardware with room for its outgoing pieces and leads.
//!
//! A piece has one gauge, and the same one is cheapest for every metre of it.
//!
//! What `f` offers counts once for a segment, since `x^f` of the module `bound` has its loops
//! cut out. But the cables that feed `f` may come to a node twice, by a loop with joints on it,
//! and a tree cannot tell. So loops are cut out of the tree first: it is *rehung*. Take a node
//! that the way to some fixture visits twice. What is behind the second visit is cut off there
//! and hung on the cable of the first visit; it stays in the same circuit, and no piece carries
//! more than before. What was laid from the last joint of the loop back to the node is saved: no
//! less than the cheapest segment at that node in the cheapest gauge, and the slack of one
//! end. (A loop inside one piece is left out for nothing.) Each time cable gets shorter, so
//! this ends, with a tree in which cables meet at nodes without a joint; a meeting is charged
//! with what it saved (`meeting`). Every plan, rehung, is among the trees that are compared, at
//! no more than its own cost.
//!
//! # How it is computed
//!
//! Dreyfus and Wagner's method ("The Steiner problem in graphs", Networks 1 (1971) 195-207)
//! on sets of fixtures, with prices by set. For each set, from smaller to larger: what hangs
//! on a joint at each node with so many wires, then the joint, then the piece that feeds it,
//! by a shortest-path search. Time grows with `3^n` times the nodes, memory with `2^n` times
//! the nodes.

#[cfg(test)]
mod tests;
mod trace;

pub(super) use trace::Drop;

use super::copper::Gauge;
use super::graph::Label;
use super::joints::{self, JointPlace};
use super::loads::LIMIT_TOLERANCE;
use super::planted::Planted;
use super::prices::Prices;
use super::relaxation::Relaxation;
use crate::job::Job;
use rayon::prelude::*;
use std::collections::BinaryHeap;

/// Fixtures up to which circuits are taken whole.
const MOST_FIXTURES: usize = 13;

/// Numbers that a table may hold (8 bytes each); in jobs of more, circuits are not taken whole.
const MOST_NUMBERS: usize = 12_000_000;

/// Wires of a joint told apart; the last number stands for more as well.
const WIRES: usize = 4;

/// A set of fixtures, a bit each.
type Set = usize;

/// What circuits are made of, whatever the prices.
#[derive(Clone, Debug)]
pub(crate) struct Makings {
    gauges: Vec<Gauge>,
    /// Nodes where a joint may stand.
    joints: Vec<JointPlace>,
    /// Whether some fixtures bring no wire that takes a place in a joint.
    bare: bool,
    /// Slack and rise at the upper end of a piece that leaves a joint at the node, m.
    leaving_metres: Vec<f64>,
    /// The same at a transformer, by site.
    starting_metres: Vec<f64>,
    /// What a meeting of cables at the node saves at least, money.
    meeting: Vec<f64>,
    /// Sets that one circuit may feed.
    lawful: Vec<bool>,
}

/// Numbers of one set of fixtures.
#[derive(Clone, Debug, Default)]
struct Row {
    /// Money of a piece through the node behind which the set hangs; by node.
    run: Vec<f64>,
    /// Money of what hangs on a joint by a single wire, by joint.
    single: Vec<f64>,
    /// Money of what hangs on a joint, by wires and joint; without single pieces.
    hung: Vec<Vec<f64>>,
    /// Money of the circuit that starts here, by site; infinite where closed.
    start: Vec<f64>,
}

/// A metre of cable at given prices.
#[derive(Clone, Copy, Debug)]
struct Metre {
    money: f64,
    /// Money for one more unit of the prices of copper through it.
    slope: f64,
    /// Volts that it drops at least.
    volts: f64,
}

/// Circuits at given prices.
pub(super) struct Table<'a> {
    makings: &'a Makings,
    relaxation: &'a Relaxation,
    prices: &'a Prices,
    rows: Vec<Row>,
    /// Least money of circuits for the set.
    served: Vec<f64>,
}

impl Makings {
    /// What the circuits of a job are made of; `None` where there are too many fixtures or nodes.
    pub(super) fn new(job: &Job, gauges: &[Gauge], relaxation: &Relaxation) -> Option<Self> {
        let count = relaxation.loads.len();
        if count > MOST_FIXTURES || count == 0 {
            return None;
        }
        let nodes = job.nodes.len();
        // By node: what hangs by wires, by a single one, and what runs through.
        if (nodes * (WIRES + 3)) << count > MOST_NUMBERS {
            return None;
        }
        let slack = job.rates.slack;
        let rise = |node: usize| job.nodes[node].rise.value().max(0.0);
        let least_slack = slack.hub.min(slack.splice).value().max(0.0);
        let leaving_metres: Vec<f64> = (0..nodes).map(|node| least_slack + rise(node)).collect();
        let starting_metres = (relaxation.entry.iter())
            .map(|&node| slack.transformer.value().max(0.0) + rise(node))
            .collect();
        let cheapest = relaxation.frontier.cheapest;
        let meeting = (0..nodes)
            .map(|node| {
                if relaxation.planted == Planted::CablesMeetNowhere {
                    return f64::INFINITY;
                }
                let each = relaxation.graph.outgoing[node].iter().map(|(arc, _)| {
                    let edge = &relaxation.graph.edges[arc / 2];
                    edge.per_cable + edge.metres * cheapest
                });
                each.fold(f64::INFINITY, f64::min) + least_slack * cheapest
            })
            .collect();
        let joints = joints::places(job, &relaxation.loads, relaxation.planted, WIRES);
        Some(Self {
            gauges: gauges.to_vec(),
            joints,
            bare: relaxation.loads.iter().any(|load| !load.has_lead),
            leaving_metres,
            starting_metres,
            meeting,
            lawful: lawful(job, relaxation, gauges),
        })
    }

    /// Sums of two numbers that working out every set takes, roughly: the measure of its time.
    pub(super) fn work(&self) -> u64 {
        let count = self.lawful.len().trailing_zeros();
        3_u64.pow(count) * self.meeting.len() as u64
    }

    /// The joint at a node.
    fn at(&self, node: usize) -> Option<usize> {
        self.joints
            .binary_search_by_key(&node, |joint| joint.node)
            .ok()
    }
}

/// The sets that one circuit may feed: of one zone at most, within what a gauge, a circuit and
/// the rules allow.
fn lawful(job: &Job, relaxation: &Relaxation, gauges: &[Gauge]) -> Vec<bool> {
    let count = relaxation.loads.len();
    let circuit = super::sources::largest_circuit_amperes(job);
    let ampacity = gauges.iter().map(|gauge| gauge.ampacity);
    let most_amps = circuit.min(ampacity.fold(0.0, f64::max)) + LIMIT_TOLERANCE;
    let most = (job.rules.most_fixtures_per_circuit).map_or(count, |most| most as usize);
    (0..1_usize << count)
        .map(|set| {
            let of = || members(set).map(|f| &relaxation.loads[f]);
            let amps: f64 = of().map(|load| load.current).sum();
            let mut zones = of().filter_map(|load| load.zone);
            let first = zones.next();
            let one_zone = zones.all(|zone| Some(zone) == first);
            one_zone && amps <= most_amps && set.count_ones() as usize <= most
        })
        .collect()
}

/// The fixtures of a set.
fn members(set: Set) -> impl Iterator<Item = usize> {
    let mut left = set;
    std::iter::from_fn(move || {
        let first = (left != 0).then(|| left.trailing_zeros() as usize)?;
        left &= left - 1;
        Some(first)
    })
}

/// The parts of a set that hold its first fixture, but for the whole, each with the rest.
fn splits(set: Set) -> impl Iterator<Item = (Set, Set)> {
    let first = set & set.wrapping_neg();
    let others = set & !first;
    let mut part = others;
    std::iter::from_fn(move || {
        part = part.checked_sub(1)? & others;
        Some((part | first, others & !part))
    })
    .take((1_usize << others.count_ones()) - 1)
}

impl<'a> Table<'a> {
    /// Works out every set.
    pub(super) fn new(
        makings: &'a Makings,
        relaxation: &'a Relaxation,
        prices: &'a Prices,
    ) -> Self {
        let count = relaxation.loads.len();
        let all = (1_usize << count) - 1;
        let mut table = Self {
            makings,
            relaxation,
            prices,
            rows: vec![Row::default(); all + 1],
            served: vec![f64::INFINITY; all + 1],
        };
        let mut layers: Vec<Vec<Set>> = vec![Vec::new(); count + 1];
        for set in (1..=all).filter(|&set| makings.lawful[set]) {
            layers[set.count_ones() as usize].push(set);
        }
        for layer in layers {
            let rows: Vec<Row> = layer.par_iter().map(|&set| table.row(set)).collect();
            for (set, row) in layer.into_iter().zip(rows) {
                table.rows[set] = row;
            }
        }
        table.served[0] = 0.0;
        for set in 1..=all {
            let alone = table.circuit(set);
            let split = splits(set).map(|(part, rest)| table.circuit(part) + table.served[rest]);
            table.served[set] = split.fold(alone, f64::min);
        }
        table
    }

    /// Least money of all circuits.
    pub(super) fn value(&self) -> f64 {
        self.served[self.served.len() - 1]
    }

    /// Least money of one circuit for a set.
    fn circuit(&self, set: Set) -> f64 {
        let starts = 0..self.rows[set].start.len();
        starts
            .map(|site| self.entered(set, site))
            .fold(f64::INFINITY, f64::min)
    }

    /// Least money of one circuit for a set from a site, what its fixtures offer there included.
    fn entered(&self, set: Set, site: usize) -> f64 {
        let from = self.prices.blocks.cable_site;
        let offers = members(set).map(|f| self.prices.rows[f][from + site]);
        self.rows[set].start[site] + offers.sum::<f64>()
    }

    /// The cheapest metre behind which the set hangs.
    fn metre(&self, set: Set) -> Metre {
        let sum = |of: &dyn Fn(usize) -> f64| members(set).map(of).sum::<f64>();
        let amps = sum(&|f| self.relaxation.loads[f].current);
        let q = sum(&|f| self.prices.copper[f]);
        let volt = sum(&|f| self.prices.volts[f]);
        let carrying = self.makings.gauges.iter();
        let carrying = carrying.filter(|gauge| amps <= gauge.ampacity + LIMIT_TOLERANCE);
        let each = carrying.map(|gauge| Metre {
            money: gauge.price_per_metre + gauge.loop_ohms_per_metre * (q * q + amps * volt),
            slope: 2.0 * gauge.loop_ohms_per_metre * q,
            volts: gauge.loop_ohms_per_metre * amps,
        });
        let none = Metre {
            money: f64::INFINITY,
            slope: 0.0,
            volts: 0.0,
        };
        each.fold(none, |best, next| match next.money < best.money {
            true => next,
            false => best,
        })
    }

    /// Money along each segment behind which the set hangs.
    fn along(&self, set: Set, metre: f64) -> Vec<f64> {
        let from = self.prices.blocks.open_edge;
        let edges = &self.relaxation.graph.edges;
        let mut along: Vec<f64> = edges
            .iter()
            .map(|edge| edge.per_cable + edge.metres * metre)
            .collect();
        for f in members(set) {
            let offers = &self.prices.rows[f][from..from + edges.len()];
            for (sum, offer) in along.iter_mut().zip(offers) {
                *sum += offer;
            }
        }
        along
    }

    fn row(&self, set: Set) -> Row {
        let makings = self.makings;
        let metre = self.metre(set).money;
        let hung = self.hung(set);
        let mut run = self.seeds(set, &hung, metre);
        let along = self.along(set, metre);
        spread(self.relaxation, &along, &mut run);
        let joints = makings.joints.iter().enumerate();
        let single = joints
            .map(|(at, joint)| {
                let wire = run[joint.node] + makings.leaving_metres[joint.node] * metre;
                wire.min(hung[1][at])
            })
            .collect();
        let mut row = Row {
            run,
            single,
            hung,
            start: Vec::new(),
        };
        row.start = (0..self.relaxation.entry.len())
            .map(|site| self.start(set, &row, site, metre))
            .collect();
        row
    }

    /// Money of what begins at each node: a joint there, or cables that meet.
    fn seeds(&self, set: Set, hung: &[Vec<f64>], metre: f64) -> Vec<f64> {
        let mut seeds = vec![f64::INFINITY; self.makings.meeting.len()];
        for (part, rest) in self.lawful_splits(set) {
            add_least(&mut seeds, &part.run, &rest.run);
        }
        for (seed, saved) in seeds.iter_mut().zip(&self.makings.meeting) {
            *seed += saved;
        }
        for (at, joint) in self.makings.joints.iter().enumerate() {
            // A joint between two pieces only costs money here: what hangs is no single piece.
            let made = self.joint(hung, &hung[1], at, Some(metre)).0;
            seeds[joint.node] = seeds[joint.node].min(made);
        }
        seeds
    }

    /// Rows of the parts of a set, in pairs: what is part of a lawful set is lawful.
    fn lawful_splits(&self, set: Set) -> impl Iterator<Item = (&Row, &Row)> {
        splits(set).map(|(part, rest)| (&self.rows[part], &self.rows[rest]))
    }

    /// What hangs on a joint with so many wires.
    fn hung(&self, set: Set) -> Vec<Vec<f64>> {
        let joints = &self.makings.joints;
        let mut hung = vec![vec![f64::INFINITY; joints.len()]; WIRES + 1];
        if set.count_ones() == 1 {
            let load = &self.relaxation.loads[set.trailing_zeros() as usize];
            let own = &mut hung[usize::from(load.has_lead)];
            for (landed, joint) in own.iter_mut().zip(joints) {
                if load.landings.binary_search(&joint.node).is_ok() {
                    *landed = 0.0;
                }
            }
            return hung;
        }
        for (part, rest) in splits(set) {
            let most = (rest.count_ones() as usize).min(WIRES);
            let (part, rest) = (&self.rows[part], &self.rows[rest]);
            for wires in usize::from(!self.makings.bare)..=most {
                let others = rest.hanging(wires);
                add_least(&mut hung[(wires + 1).min(WIRES)], &part.single, others);
                if self.makings.bare {
                    add_least(&mut hung[wires], &part.hung[0], others);
                }
            }
        }
        hung
    }

    /// The cheapest joint under what hangs on it, `single` by one wire: money, wires, and metres
    /// of slack and rise of the piece that feeds it. Without money for a metre there is no such
    /// piece.
    fn joint(
        &self,
        hung: &[Vec<f64>],
        single: &[f64],
        at: usize,
        metre: Option<f64>,
    ) -> (f64, usize, f64) {
        let ways = &self.makings.joints[at].ways;
        let mut best = (f64::INFINITY, 0, 0.0);
        for (wires, hung) in hung.iter().enumerate() {
            let hung = if wires == 1 { single[at] } else { hung[at] };
            for way in ways[wires].iter().flatten() {
                let metres = metre.map_or(0.0, |_| way.end_metres);
                let money = hung + way.money + metre.unwrap_or(0.0) * metres;
                if money < best.0 {
                    best = (money, wires, metres);
                }
            }
        }
        best
    }

    /// Money of a circuit that starts at a site: with a piece, with a joint right there, or
    /// with either and another cable that comes back to the site.
    fn start(&self, set: Set, row: &Row, site: usize, metre: f64) -> f64 {
        let node = self.relaxation.entry[site];
        let fed = members(set).all(|f| self.relaxation.loads[f].fed_from[site]);
        if !fed || !self.relaxation.open[site] {
            return f64::INFINITY;
        }
        let by_piece = row.run[node] + self.makings.starting_metres[site] * metre;
        let at = self.makings.at(node);
        // A joint right there saves the slack at the transformer, even for one piece.
        let directly = at.map_or(f64::INFINITY, |at| {
            let single = match self.relaxation.planted {
                Planted::SiteJointsBranch => &row.hung[1],
                _ => &row.single,
            };
            self.joint(&row.hung, single, at, None).0
        });
        let met = self.lawful_splits(set).map(|(part, rest)| {
            let back = |first: &Row, later: &Row| first.start[site] + later.run[node];
            back(part, rest).min(back(rest, part)) + self.makings.meeting[node]
        });
        met.fold(by_piece.min(directly), f64::min)
    }
}

impl Row {
    /// Money of what hangs on a joint with so many wires; nothing where so many are not known.
    fn hanging(&self, wires: usize) -> &[f64] {
        match wires {
            1 => &self.single,
            wires => &self.hung[wires],
        }
    }
}

/// `to = min(to, one + other)`, each.
fn add_least(to: &mut [f64], one: &[f64], other: &[f64]) {
    // Not `f64::min`: nothing here is NaN, and a plain comparison is one instruction for two.
    for ((to, one), other) in to.iter_mut().zip(one).zip(other) {
        let sum = one + other;
        *to = if sum < *to { sum } else { *to };
    }
}

/// Dijkstra's method from what the nodes begin with; the edge that each is reached by.
fn spread(relaxation: &Relaxation, along: &[f64], run: &mut [f64]) -> Vec<Option<(usize, usize)>> {
    let mut by = vec![None; run.len()];
    let finite = run.iter().enumerate().filter(|(_, cost)| cost.is_finite());
    let mut heap: BinaryHeap<Label> = finite.map(|(node, &cost)| Label { cost, node }).collect();
    while let Some(Label { cost, node }) = heap.pop() {
        if cost > run[node] {
            continue;
        }
        for &(arc, next) in &relaxation.graph.outgoing[node] {
            let through = cost + along[arc / 2];
            if through < run[next] {
                run[next] = through;
                by[next] = Some((arc / 2, node));
                heap.push(Label {
                    cost: through,
                    node: next,
                });
            }
        }
    }
    by
}
