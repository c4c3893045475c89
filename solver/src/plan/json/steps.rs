//! Segments by their ends: tags of both nodes and an ordinal among parallels.

use crate::ids::{NodeId, SegmentId};
use crate::job::Job;
use std::collections::BTreeMap;

/// Segments of a job by unordered pair of end nodes, in file order.
pub(super) struct SegmentIndex(BTreeMap<(NodeId, NodeId), Vec<SegmentId>>);

fn pair(a: NodeId, b: NodeId) -> (NodeId, NodeId) {
    if a <= b { (a, b) } else { (b, a) }
}

impl SegmentIndex {
    pub(super) fn of(job: &Job) -> Self {
        let mut index: BTreeMap<_, Vec<SegmentId>> = BTreeMap::new();
        for (at, segment) in job.segments.iter().enumerate() {
            let ends = pair(segment.a, segment.b);
            index.entry(ends).or_default().push(SegmentId::new(at));
        }
        Self(index)
    }
    /// Segments that join two nodes.
    pub(super) fn between(&self, a: NodeId, b: NodeId) -> &[SegmentId] {
        self.0.get(&pair(a, b)).map_or(&[], Vec::as_slice)
    }
    /// Ordinal of a segment among its parallels, from 1.
    pub(super) fn ordinal(&self, job: &Job, id: SegmentId) -> u32 {
        let segment = job.segment(id);
        let parallels = self.between(segment.a, segment.b);
        let before = parallels.iter().take_while(|&&other| other != id).count();
        u32::try_from(before + 1).expect("ids count the segments in 32 bits")
    }
}
