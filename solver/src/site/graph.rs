//! Adjacency of the site graph in flat arrays.

use crate::ids::{NodeId, SegmentId};
use crate::job::Job;
use petgraph::unionfind::UnionFind;

/// Adjacency of a job's site graph: for each node its (segment, other end) pairs, the
/// shortest first, ties in segment order, so every search visits them in the same order.
#[derive(Clone, Debug)]
pub struct SiteGraph {
    first: Vec<u32>,
    arcs: Vec<(SegmentId, NodeId)>,
    /// Length of each arc, m.
    lengths_m: Vec<f64>,
}

impl SiteGraph {
    /// Builds the adjacency. Memory linear in nodes + segments; time as well, but for sorting.
    #[must_use]
    pub fn new(job: &Job) -> Self {
        let ends = job.segments.iter();
        let pairs: Vec<_> = ends.map(|one| (one.a.index(), one.b.index())).collect();
        let lengths_m: Vec<f64> = (job.segments.iter())
            .map(|segment| segment.length.value())
            .collect();
        Self::of(job.nodes.len(), &pairs, &lengths_m)
    }

    /// The graph of so many nodes with these segments, by their ends and lengths, m.
    pub(super) fn of(nodes: usize, pairs: &[(usize, usize)], lengths_m: &[f64]) -> Self {
        let mut first = vec![0_u32; nodes + 1];
        for &(a, b) in pairs {
            first[a + 1] += 1;
            first[b + 1] += 1;
        }
        for node in 0..nodes {
            first[node + 1] += first[node];
        }
        let mut next = first.clone();
        let mut arcs = vec![(SegmentId(0), NodeId(0)); 2 * pairs.len()];
        for (index, &(a, b)) in pairs.iter().enumerate() {
            for (from, to) in [(a, b), (b, a)] {
                let slot = &mut next[from];
                arcs[*slot as usize] = (SegmentId::new(index), NodeId::new(to));
                *slot += 1;
            }
        }
        let length_m = |segment: SegmentId| lengths_m[segment.index()];
        for node in 0..nodes {
            let around = first[node] as usize..first[node + 1] as usize;
            arcs[around]
                .sort_by(|x, y| length_m(x.0).total_cmp(&length_m(y.0)).then(x.0.cmp(&y.0)));
        }
        let lengths_m = arcs.iter().map(|arc| length_m(arc.0)).collect();
        Self {
            first,
            arcs,
            lengths_m,
        }
    }

    /// Number of nodes.
    #[must_use]
    pub fn node_count(&self) -> usize {
        self.first.len() - 1
    }

    /// Segments at a node with their other ends, the shortest first.
    #[must_use]
    pub fn around(&self, node: NodeId) -> &[(SegmentId, NodeId)] {
        &self.arcs[self.range(node)]
    }

    /// Lengths of the segments at a node, m, in the order of [`Self::around`].
    #[must_use]
    pub fn lengths_m(&self, node: NodeId) -> &[f64] {
        &self.lengths_m[self.range(node)]
    }

    fn range(&self, node: NodeId) -> std::ops::Range<usize> {
        self.first[node.index()] as usize..self.first[node.index() + 1] as usize
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
