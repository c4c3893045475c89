//! Cheapest paths of one fixture at given prices.

use super::graph::Label;
use super::prices::Prices;
use super::relaxation::Relaxation;
use crate::optimise::bound::planted::Planted;
use std::collections::BinaryHeap;

/// A path from a site: entry, arcs in order, and the landing where it ends.
#[derive(Clone, Debug, Default)]
pub(crate) struct Path {
    pub site: usize,
    pub arcs: Vec<usize>,
    /// Position in the fixture's landings (0 for a trench path).
    pub landing: usize,
    pub cost: f64,
}

/// Both paths of a fixture.
#[derive(Clone, Debug, Default)]
pub(crate) struct FixturePaths {
    /// Trench path to the fixture's own node; `None` when no site can be reached.
    pub trench: Option<Path>,
    /// Cable path to one of its landings.
    pub cable: Option<Path>,
}

/// Working space of one search.
#[derive(Debug)]
pub(crate) struct Search {
    cost: Vec<f64>,
    /// Arc that reaches the node; `usize::MAX - site` at an entry.
    reached_by: Vec<usize>,
    heap: BinaryHeap<Label>,
}

impl Search {
    /// Space for a graph of so many nodes.
    pub(crate) fn new(nodes: usize) -> Self {
        Self {
            cost: vec![f64::INFINITY; nodes],
            reached_by: vec![usize::MAX; nodes],
            heap: BinaryHeap::new(),
        }
    }

    /// Cheapest paths of a fixture; the prices decide.
    pub(crate) fn fixture(
        &mut self,
        relaxation: &Relaxation,
        prices: &Prices,
        f: usize,
    ) -> FixturePaths {
        if relaxation.planted == Planted::TrenchTiedToFeedingSite {
            return self.tied(relaxation, prices, f);
        }
        FixturePaths {
            trench: self.trench(relaxation, prices, f, None),
            cable: self.cable(relaxation, prices, f, None),
        }
    }

    pub(crate) fn trench(
        &mut self,
        relaxation: &Relaxation,
        prices: &Prices,
        f: usize,
        only: Option<usize>,
    ) -> Option<Path> {
        let (row, blocks) = (&prices.rows[f], prices.blocks);
        let ends = [(relaxation.loads[f].node, 0.0)];
        let enter = |s: usize| row[blocks.trench_site + s];
        self.run(
            relaxation,
            only,
            enter,
            |arc| row[blocks.trench_arc + arc],
            &ends,
        )
    }

    fn cable(
        &mut self,
        relaxation: &Relaxation,
        prices: &Prices,
        f: usize,
        only: Option<usize>,
    ) -> Option<Path> {
        let (row, blocks, load) = (&prices.rows[f], prices.blocks, &relaxation.loads[f]);
        let ends: Vec<(usize, f64)> = load
            .landings
            .iter()
            .enumerate()
            .map(|(slot, &node)| (node, row[blocks.landing + slot]))
            .collect();
        let pass = |arc: usize| row[blocks.open_edge + arc / 2] + row[blocks.cable_arc + arc];
        let enter = |s: usize| match load.fed_from[s] {
            true => row[blocks.cable_site + s],
            false => f64::INFINITY,
        };
        self.run(relaxation, only, enter, pass, &ends)
    }

    /// The planted error: both paths from the same site.
    fn tied(&mut self, relaxation: &Relaxation, prices: &Prices, f: usize) -> FixturePaths {
        let mut best = (f64::INFINITY, FixturePaths::default());
        for s in 0..relaxation.entry.len() {
            let trench = self.trench(relaxation, prices, f, Some(s));
            let cable = self.cable(relaxation, prices, f, Some(s));
            if let (Some(trench), Some(cable)) = (trench, cable)
                && trench.cost + cable.cost < best.0
            {
                best = (
                    trench.cost + cable.cost,
                    FixturePaths {
                        trench: Some(trench),
                        cable: Some(cable),
                    },
                );
            }
        }
        best.1
    }

    /// Dijkstra's method from the sites to the cheapest of `ends` (node, cost of ending there).
    fn run(
        &mut self,
        relaxation: &Relaxation,
        only: Option<usize>,
        enter: impl Fn(usize) -> f64,
        pass: impl Fn(usize) -> f64,
        ends: &[(usize, f64)],
    ) -> Option<Path> {
        self.cost.fill(f64::INFINITY);
        self.heap.clear();
        for (s, &node) in relaxation.entry.iter().enumerate() {
            let cost = enter(s);
            let may_enter = relaxation.open[s] && only.is_none_or(|one| one == s);
            if may_enter && cost < self.cost[node] {
                self.cost[node] = cost;
                self.reached_by[node] = usize::MAX - s;
                self.heap.push(Label { cost, node });
            }
        }
        let mut best: Option<(f64, usize)> = None;
        while let Some(Label { cost, node }) = self.heap.pop() {
            if cost > self.cost[node] {
                continue;
            }
            if best.is_some_and(|(least, _)| cost >= least) {
                break;
            }
            for (slot, &(end, ending)) in ends.iter().enumerate() {
                if end == node && best.is_none_or(|(least, _)| cost + ending < least) {
                    best = Some((cost + ending, slot));
                }
            }
            for &(arc, next) in &relaxation.graph.outgoing[node] {
                let through = cost + pass(arc);
                if through < self.cost[next] {
                    self.cost[next] = through;
                    self.reached_by[next] = arc;
                    self.heap.push(Label {
                        cost: through,
                        node: next,
                    });
                }
            }
        }
        best.map(|(cost, slot)| self.trace(relaxation, ends[slot].0, slot, cost))
    }

    fn trace(&self, relaxation: &Relaxation, end: usize, landing: usize, cost: f64) -> Path {
        let sites = relaxation.entry.len();
        let (mut node, mut arcs) = (end, Vec::new());
        loop {
            let by = self.reached_by[node];
            if by > usize::MAX - sites {
                arcs.reverse();
                return Path {
                    site: usize::MAX - by,
                    arcs,
                    landing,
                    cost,
                };
            }
            arcs.push(by);
            let edge = relaxation.graph.edges[by / 2];
            node = if by.is_multiple_of(2) { edge.a } else { edge.b };
        }
    }
}
