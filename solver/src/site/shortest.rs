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
    pub fn search(
        &mut self,
        graph: &SiteGraph,
        starts: impl IntoIterator<Item = (NodeId, f64)>,
        weight: impl Fn(SegmentId) -> f64,
        mut settle: impl FnMut(NodeId, f64) -> Reach,
    ) {
        self.stamp += 1;
        self.heap.clear();
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
            for &(segment, other) in graph.around(node) {
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
}
