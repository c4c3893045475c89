//! Cutting a part off the tree of a circuit, and hanging a part on another tree.

use super::shape::Shape;
use crate::ids::JointId;
use crate::job::Job;

impl Shape {
    /// Cuts off a joint with everything behind it. Returns what stays (`None` when
    /// nothing does) and the part, whose first joint is fed from its own node.
    #[must_use]
    pub fn cut(&self, job: &Job, joint: usize) -> (Option<Self>, Self) {
        let mut inside = vec![false; self.joints.len()];
        inside[joint] = true;
        for other in joint + 1..self.joints.len() {
            let from = self.joints[other].incoming.from;
            inside[other] = from.is_some_and(|from| inside[from.index()]);
        }
        let mut part = self.only(&inside);
        part.source = self.joints[joint].node;
        part.joints[0].incoming.from = None;
        part.joints[0].incoming.route.segments.clear();
        let outside: Vec<bool> = inside.iter().map(|inside| !inside).collect();
        let mut rest = self.only(&outside);
        let stays = rest.remove(job, |_| false);
        (stays.then_some(rest), part)
    }

    /// The joints marked, with their leads, in their order.
    fn only(&self, marked: &[bool]) -> Self {
        let mut number = vec![None; self.joints.len()];
        let mut joints = Vec::new();
        for (old, joint) in self
            .joints
            .iter()
            .enumerate()
            .filter(|&(old, _)| marked[old])
        {
            number[old] = Some(JointId::new(joints.len()));
            let mut joint = joint.clone();
            joint.incoming.from = joint.incoming.from.and_then(|from| number[from.index()]);
            joints.push(joint);
        }
        let leads = self.leads.iter().filter_map(|lead| {
            let joint = number[lead.joint.index()]?;
            Some(crate::plan::LeadRun {
                joint,
                ..lead.clone()
            })
        });
        Self {
            source: self.source,
            leads: leads.collect(),
            joints,
        }
    }

    /// Hangs a part on the joint `at`. The part's first joint is fed along its own
    /// incoming route, which starts at that joint's node; an empty route to the
    /// same node makes the two joints one.
    pub fn graft(&mut self, at: usize, part: Self) {
        let first = &part.joints[0];
        let merged = first.incoming.route.segments.is_empty() && first.node == self.joints[at].node;
        let offset = self.joints.len() - usize::from(merged);
        let place = |joint: JointId| match joint.index() {
            0 if merged => JointId::new(at),
            index => JointId::new(index + offset),
        };
        for mut joint in part.joints.into_iter().skip(usize::from(merged)) {
            joint.incoming.from = Some(joint.incoming.from.map_or(JointId::new(at), place));
            self.joints.push(joint);
        }
        self.leads.extend(part.leads.into_iter().map(|mut lead| {
            lead.joint = place(lead.joint);
            lead
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::{FixtureId, NodeId, SegmentId};

    /// S - 1 - 2 - 3 with a lead at each joint.
    fn chain() -> Shape {
        let mut shape = Shape::new(NodeId(0), NodeId(1), vec![SegmentId(0)]);
        let second = shape.grow(0, NodeId(2), vec![SegmentId(1)]);
        let third = shape.grow(second, NodeId(3), vec![SegmentId(2)]);
        for (fixture, joint) in [0, second, third].into_iter().enumerate() {
            shape.land(FixtureId::new(fixture), joint, Vec::new());
        }
        shape
    }

    #[test]
    fn a_part_put_back_where_it_was_gives_the_same_tree() {
        let whole = chain();
        let (mut part, mut rest) = (whole.clone(), whole.clone());
        // Cut by hand, as a job is needed only to shorten walks that a cut makes straight.
        let marked = [false, true, true];
        part.clone_from(&whole.only(&marked));
        part.source = NodeId(1);
        rest.clone_from(&whole.only(&[true, false, false]));
        rest.graft(0, part);
        assert_eq!(rest, whole);
    }

    #[test]
    fn an_empty_route_to_the_same_node_makes_one_joint() {
        let mut tree = Shape::new(NodeId(0), NodeId(2), vec![SegmentId(9)]);
        tree.land(FixtureId(7), 0, Vec::new());
        let mut part = chain().only(&[false, true, true]);
        part.source = NodeId(2);
        part.joints[0].incoming.route.segments.clear();
        tree.graft(0, part);
        assert_eq!(tree.joints.len(), 2);
        assert_eq!(tree.landed(), [2, 1]);
        assert_eq!(tree.joints[1].incoming.from, Some(JointId(0)));
    }
}
