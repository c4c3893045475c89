//! Shortest routes by Dijkstra's algorithm (E. W. Dijkstra, Numerische
//! Mathematik 1 (1959) 269-271) with reusable memory and several starts.

use super::graph::SiteGraph;
use crate::ids::{NodeId, SegmentId};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// A heap entry, least distance first; ties by node, so the result is unique.
#[derive(Clone, Copy, PartialEq)]
struct Entry {
    distance: f64,
    node: NodeId,
}
impl Eq for Entry {}
impl Ord for Entry {
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .distance
            .total_cmp(&self.distance)
            .then_with(|| other.node.cmp(&self.node))
    }
}
impl PartialOrd for Entry {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// Whether the search goes on from a settled node.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// Look further.
    Further,
    /// Enough: stop the whole search.
    Enough,
}

#[derive(Clone, Copy)]
struct Label {
    stamp: u32,
    settled: bool,
    distance: f64,
    start: u32,
    via: Option<(SegmentId, NodeId)>,
}

/// A Dijkstra search whose memory is reused from search to search.
///
/// A search costs O((n + m) log n) for the part of the graph it settles.
pub struct ShortestRoutes {
    labels: Vec<Label>,
    heap: BinaryHeap<Entry>,
    stamp: u32,
    /// Nodes without a label in the present search.
    unlabelled: usize,
}

impl ShortestRoutes {
    /// Memory for a graph of `nodes` nodes.
    #[must_use]
    pub fn new(nodes: usize) -> Self {
        let blank = Label {
            stamp: 0,
            settled: false,
            distance: 0.0,
            start: 0,
            via: None,
        };
        Self {
            labels: vec![blank; nodes],
            heap: BinaryHeap::new(),
            stamp: 0,
            unlabelled: nodes,
        }
    }

    fn label(&self, node: NodeId) -> Option<&Label> {
        Some(&self.labels[node.index()]).filter(|label| label.stamp == self.stamp)
    }

    fn offer(&mut self, node: NodeId, distance: f64, start: u32, via: Option<(SegmentId, NodeId)>) {
        let label = &mut self.labels[node.index()];
        if label.stamp == self.stamp && (label.settled || label.distance <= distance) {
            return;
        }
        if label.stamp != self.stamp {
            self.unlabelled -= 1;
        }
        *label = Label {
            stamp: self.stamp,
            settled: false,
            distance,
            start,
            via,
        };
        self.heap.push(Entry { distance, node });
    }

    /// Searches from `starts` (node, initial distance >= 0) with segment weights
    /// `weight` (>= 0, infinite = closed), calling `settle` on each node in order
    /// of distance until it says enough.
    ///
    /// A segment weighs at least `per_m` (>= 0) for each metre. Once every node has a
    /// label, what cannot come below the highest of them is not looked at: in a complete
    /// graph that is most segments.
    pub fn search(
        &mut self,
        graph: &SiteGraph,
        starts: impl IntoIterator<Item = (NodeId, f64)>,
        (weight, per_m): (impl Fn(SegmentId) -> f64, f64),
        mut settle: impl FnMut(NodeId, f64) -> Reach,
    ) {
        self.stamp += 1;
        self.heap.clear();
        self.unlabelled = self.labels.len();
        let mut highest = f64::INFINITY;
        for (index, (node, distance)) in starts.into_iter().enumerate() {
            self.offer(node, distance, index as u32, None);
        }
        while let Some(Entry { distance, node }) = self.heap.pop() {
            let label = &mut self.labels[node.index()];
            if label.settled || label.distance < distance {
                continue;
            }
            label.settled = true;
            let start = label.start;
            if settle(node, distance) == Reach::Enough {
                return;
            }
            if self.unlabelled == 0 && highest.is_infinite() {
                let distances = self.labels.iter().map(|label| label.distance);
                highest = distances.fold(0.0, f64::max);
            }
            for (arc, &(segment, other)) in graph.around(node).iter().enumerate() {
                let floor = distance + per_m * graph.lengths_m(node)[arc];
                if floor >= highest {
                    break;
                }
                if self
                    .label(other)
                    .is_some_and(|label| label.settled || label.distance <= floor)
                {
                    continue;
                }
                let there = distance + weight(segment);
                if there.is_finite() {
                    self.offer(other, there, start, Some((segment, node)));
                }
            }
        }
    }

    /// Distance to a settled node of the last search.
    #[must_use]
    pub fn distance(&self, node: NodeId) -> Option<f64> {
        self.label(node)
            .filter(|label| label.settled)
            .map(|label| label.distance)
    }

    /// Which start (position in the list given) a settled node hangs on.
    #[must_use]
    pub fn start(&self, node: NodeId) -> Option<usize> {
        self.label(node)
            .filter(|label| label.settled)
            .map(|label| label.start as usize)
    }

    /// Appends the segments from a settled `node` back to its start, in that order.
    pub fn route_back(&self, node: NodeId, segments: &mut Vec<SegmentId>) {
        let mut here = node;
        while let Some((segment, before)) = self.label(here).and_then(|label| label.via) {
            segments.push(segment);
            here = before;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt as _, SeedableRng as _};

    #[test]
    fn entries_come_out_nearest_first_and_ties_by_node() {
        let mut heap = BinaryHeap::new();
        for (distance, node) in [(2.0, 1), (1.0, 7), (1.0, 3)] {
            heap.push(Entry {
                distance,
                node: NodeId(node),
            });
        }
        let order: Vec<u32> = std::iter::from_fn(|| heap.pop())
            .map(|entry| entry.node.0)
            .collect();
        assert_eq!(order, [3, 7, 1]);
    }

    /// What is passed over for its floor changes no distance: held against every pair's
    /// shortest way by Floyd's and Warshall's method on random graphs, complete ones too.
    #[test]
    fn distances_are_those_of_every_pair() {
        let mut random = rand_pcg::Pcg64Mcg::seed_from_u64(11);
        for trial in 0..40_usize {
            let nodes = 4 + trial % 9;
            let mut pairs = Vec::new();
            for a in 0..nodes {
                for b in 0..a {
                    if trial % 2 == 0 || random.random_range(0..3_u32) == 0 {
                        pairs.push((a, b));
                    }
                }
            }
            let lengths: Vec<f64> = (pairs.iter())
                .map(|_| f64::from(random.random_range(1..50_u32)))
                .collect();
            let tolls: Vec<f64> = (pairs.iter())
                .map(|_| f64::from(random.random_range(0..2_u32) * random.random_range(0..40_u32)))
                .collect();
            let per_m = f64::from(random.random_range(0..4_u32));
            let weigh = |at: usize| tolls[at] + per_m * lengths[at];
            let mut least = vec![vec![f64::INFINITY; nodes]; nodes];
            for (at, &(a, b)) in pairs.iter().enumerate() {
                least[a][b] = weigh(at);
                least[b][a] = weigh(at);
            }
            for by in 0..nodes {
                least[by][by] = 0.0;
                for a in 0..nodes {
                    for b in 0..nodes {
                        least[a][b] = least[a][b].min(least[a][by] + least[by][b]);
                    }
                }
            }
            let graph = SiteGraph::of(nodes, &pairs, &lengths);
            let mut routes = ShortestRoutes::new(nodes);
            for (from, least) in least.iter().enumerate() {
                let weight = |segment: SegmentId| weigh(segment.index());
                let start = [(NodeId::new(from), 0.0)];
                routes.search(&graph, start, (weight, per_m), |_, _| Reach::Further);
                for (to, &least) in least.iter().enumerate() {
                    let found = routes.distance(NodeId::new(to)).unwrap_or(f64::INFINITY);
                    assert!(found == least, "{trial}: {from} to {to}: {found}, {least}");
                }
            }
        }
    }
}
