//! Dijkstra's algorithm over arcs that are listed on demand.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Cheapest ways from one node.
#[derive(Debug)]
pub(crate) struct Found<B> {
    /// Cost to each node; infinite where none leads.
    pub(crate) cost: Vec<f64>,
    /// By what each node was reached.
    pub(crate) by: Vec<Option<B>>,
}

impl<B> Found<B> {
    /// Costs to the first nodes.
    pub(crate) fn first(mut self, count: usize) -> Vec<f64> {
        self.cost.truncate(count);
        self.cost
    }
}

/// Cheapest ways from a node to all that cost at most `limit`. `arcs` lists the nodes next to
/// one: where to, cost >= 0, and by what. Time m log n.
pub(crate) fn cheapest<B, I>(
    nodes: usize,
    source: usize,
    limit: f64,
    arcs: impl Fn(usize) -> I,
) -> Found<B>
where
    B: Copy,
    I: Iterator<Item = (usize, f64, B)>,
{
    let mut cost = vec![f64::INFINITY; nodes];
    let mut by = vec![None; nodes];
    let mut open = BinaryHeap::new();
    cost[source] = 0.0;
    open.push(Reached {
        cost: 0.0,
        node: source as u32,
    });
    while let Some(Reached { cost: here, node }) = open.pop() {
        let node = node as usize;
        if here > cost[node] {
            continue;
        }
        for (to, step, how) in arcs(node) {
            let there = here + step;
            if there < cost[to] && there <= limit {
                cost[to] = there;
                by[to] = Some(how);
                open.push(Reached {
                    cost: there,
                    node: to as u32,
                });
            }
        }
    }
    Found { cost, by }
}

/// A node on the open list; the cheapest first, ties by number.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Reached {
    cost: f64,
    node: u32,
}

impl Eq for Reached {}

impl PartialOrd for Reached {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Reached {
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .cost
            .total_cmp(&self.cost)
            .then(other.node.cmp(&self.node))
    }
}
