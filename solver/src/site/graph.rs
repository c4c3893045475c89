//! Adjacency of the site graph in flat arrays.

use crate::ids::{NodeId, SegmentId};
use crate::job::Job;
use petgraph::unionfind::UnionFind;

/// Adjacency of a job's site graph: for each node its (segment, other end) pairs
/// in segment order, so every search visits them in the same order.
#[derive(Clone, Debug)]
pub struct SiteGraph {
    first: Vec<u32>,
    arcs: Vec<(SegmentId, NodeId)>,
}

impl SiteGraph {
    /// Builds the adjacency. Time and memory linear in nodes + segments.
    #[must_use]
    pub fn new(job: &Job) -> Self {
        let mut first = vec![0_u32; job.nodes.len() + 1];
        for segment in &job.segments {
            first[segment.a.index() + 1] += 1;
            first[segment.b.index() + 1] += 1;
        }
        for node in 0..job.nodes.len() {
            first[node + 1] += first[node];
        }
        let mut next = first.clone();
        let mut arcs = vec![(SegmentId(0), NodeId(0)); 2 * job.segments.len()];
        for (index, segment) in job.segments.iter().enumerate() {
            for (from, to) in [(segment.a, segment.b), (segment.b, segment.a)] {
                let slot = &mut next[from.index()];
                arcs[*slot as usize] = (SegmentId::new(index), to);
                *slot += 1;
            }
        }
        Self { first, arcs }
    }

    /// Number of nodes.
    #[must_use]
    pub fn node_count(&self) -> usize {
        self.first.len() - 1
    }

    /// Segments at a node with their other ends, in segment order.
    #[must_use]
    pub fn around(&self, node: NodeId) -> &[(SegmentId, NodeId)] {
        let (from, to) = (self.first[node.index()], self.first[node.index() + 1]);
        &self.arcs[from as usize..to as usize]
    }

    /// Groups of nodes joined by segments: a representative for each node.
    #[must_use]
    pub fn components(&self) -> Vec<NodeId> {
        let mut groups = UnionFind::<u32>::new(self.node_count());
        for node in 0..self.node_count() {
            let node = NodeId::new(node);
            for &(_, other) in self.around(node) {
                groups.union(node.0, other.0);
            }
        }
        (0..self.node_count())
            .map(|node| NodeId(groups.find(NodeId::new(node).0)))
            .collect()
    }
}
