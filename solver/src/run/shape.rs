//! Editing the tree of a circuit: attach, split, cut off, contract, re-land.
//!
//! A shape is the topology only (joints, routes, leads). Cables and hardware
//! stored in it are what [`super::evaluate`] last chose; new pieces have none yet.

use crate::ids::{CableId, FixtureId, JointId, JointKindId, NodeId, SegmentId};
use crate::job::Job;
use crate::plan::{Incoming, Joint, JointHardware, LeadRun, Route};

/// The tree of one circuit: joint 0 is fed by the home run, parents precede children.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shape {
    /// Node from which the home run starts.
    pub source: NodeId,
    /// Joints, parents first.
    pub joints: Vec<Joint>,
    /// Leads.
    pub leads: Vec<LeadRun>,
}

/// Stands for the cable of a piece until one is chosen.
pub(crate) const UNCHOSEN: CableId = CableId(u32::MAX);

/// A new joint without chosen cable and hardware.
fn bare_joint(node: NodeId, from: Option<JointId>, route: Vec<SegmentId>) -> Joint {
    Joint {
        node,
        hardware: JointHardware::Splice(JointKindId(0)),
        incoming: Incoming {
            from,
            cable: UNCHOSEN,
            route: Route { segments: route },
        },
    }
}

impl Shape {
    /// A circuit of one joint and no leads yet.
    #[must_use]
    pub fn new(source: NodeId, node: NodeId, route: Vec<SegmentId>) -> Self {
        Self {
            source,
            joints: vec![bare_joint(node, None, route)],
            leads: Vec::new(),
        }
    }

    /// The node at the upstream end of the piece that feeds `joint`.
    #[must_use]
    pub fn upstream_node(&self, joint: usize) -> NodeId {
        self.joints[joint]
            .incoming
            .from
            .map_or(self.source, |from| self.joints[from.index()].node)
    }

    /// The joint at a node, if the circuit has one there.
    #[must_use]
    pub fn joint_at(&self, node: NodeId) -> Option<usize> {
        self.joints.iter().position(|joint| joint.node == node)
    }

    /// Whether no node holds two joints of the circuit.
    #[must_use]
    pub fn has_one_joint_per_node(&self) -> bool {
        let earlier = |position: usize| &self.joints[..position];
        (0..self.joints.len()).all(|position| {
            let node = self.joints[position].node;
            earlier(position).iter().all(|joint| joint.node != node)
        })
    }

    /// Lands a fixture's lead in a joint.
    pub fn land(&mut self, fixture: FixtureId, joint: usize, route: Vec<SegmentId>) {
        self.leads.push(LeadRun {
            fixture,
            joint: JointId::new(joint),
            route: Route { segments: route },
        });
    }

    /// Adds a joint at `node`, fed from `from` along `route`; returns its position.
    pub fn grow(&mut self, from: usize, node: NodeId, route: Vec<SegmentId>) -> usize {
        self.joints
            .push(bare_joint(node, Some(JointId::new(from)), route));
        self.joints.len() - 1
    }

    /// Puts a joint into the piece that feeds `joint`, after its first `passed` segments.
    ///
    /// Returns the position of the new joint; other positions may change.
    pub fn split(&mut self, joint: usize, passed: usize, node: NodeId) -> usize {
        let far = self.joints[joint].incoming.route.segments.split_off(passed);
        let near = std::mem::replace(&mut self.joints[joint].incoming.route.segments, far);
        self.interpose(joint, node, near)
    }

    /// Feeds `joint` through a new joint at `node`: `near` leads to it, `far` from it to `joint`.
    pub fn detour(
        &mut self,
        joint: usize,
        node: NodeId,
        near: Vec<SegmentId>,
        far: Vec<SegmentId>,
    ) -> usize {
        self.joints[joint].incoming.route.segments = far;
        self.interpose(joint, node, near)
    }

    /// Inserts a joint before `joint` and keeps parents first.
    fn interpose(&mut self, joint: usize, node: NodeId, near: Vec<SegmentId>) -> usize {
        let from = self.joints[joint].incoming.from;
        for other in &mut self.joints {
            if let Some(parent) = &mut other.incoming.from
                && parent.index() >= joint
            {
                parent.0 += 1;
            }
        }
        for lead in &mut self.leads {
            if lead.joint.index() >= joint {
                lead.joint.0 += 1;
            }
        }
        self.joints[joint].incoming.from = Some(JointId::new(joint));
        let mut fresh = bare_joint(node, from, near);
        fresh.incoming.cable = self.joints[joint].incoming.cable;
        self.joints.insert(joint, fresh);
        joint
    }

    /// Number of pieces leaving each joint.
    #[must_use]
    pub fn children(&self) -> Vec<u32> {
        let mut children = vec![0; self.joints.len()];
        for joint in &self.joints {
            if let Some(from) = joint.incoming.from {
                children[from.index()] += 1;
            }
        }
        children
    }

    /// Number of leads landing in each joint.
    #[must_use]
    pub fn landed(&self) -> Vec<u32> {
        let mut landed = vec![0; self.joints.len()];
        for lead in &self.leads {
            landed[lead.joint.index()] += 1;
        }
        landed
    }

    /// Takes fixtures out and removes what no longer serves anything: dead ends,
    /// and joints that only pass a piece on (their two pieces become one).
    ///
    /// Returns false when nothing is left.
    pub fn remove(&mut self, job: &Job, gone: impl Fn(FixtureId) -> bool) -> bool {
        self.leads.retain(|lead| !gone(lead.fixture));
        self.prune(job);
        !self.joints.is_empty()
    }

    /// Removes dead ends and idle joints.
    fn prune(&mut self, job: &Job) {
        let mut children = self.children();
        let landed = self.landed();
        let mut keep = vec![true; self.joints.len()];
        for joint in (0..self.joints.len()).rev() {
            if children[joint] == 0 && landed[joint] == 0 {
                keep[joint] = false;
                if let Some(from) = self.joints[joint].incoming.from {
                    children[from.index()] -= 1;
                }
            }
        }
        // An idle joint has one living child and no lead: that child takes over its route.
        for joint in 0..self.joints.len() {
            let Some(from) = self.joints[joint].incoming.from.map(JointId::index) else {
                continue;
            };
            if keep[joint] && children[from] == 1 && landed[from] == 0 {
                // `from` may itself have been passed over already: its incoming is up to date.
                let mut route = self.joints[from].incoming.route.segments.clone();
                route.append(&mut self.joints[joint].incoming.route.segments);
                self.joints[joint].incoming.from = self.joints[from].incoming.from;
                keep[from] = false;
                let start = self.upstream_node(joint);
                self.joints[joint].incoming.route.segments = without_loops(job, start, &route);
            }
        }
        self.compact(&keep);
    }

    fn compact(&mut self, keep: &[bool]) {
        let mut next = 0;
        let renumbered: Vec<u32> = keep
            .iter()
            .map(|&kept| {
                let number = next;
                next += u32::from(kept);
                number
            })
            .collect();
        let mut position = 0;
        self.joints.retain(|_| {
            position += 1;
            keep[position - 1]
        });
        for joint in &mut self.joints {
            if let Some(from) = &mut joint.incoming.from {
                from.0 = renumbered[from.index()];
            }
        }
        for lead in &mut self.leads {
            lead.joint.0 = renumbered[lead.joint.index()];
        }
    }

    /// Feeds the circuit from `source` by a home run along `route` to `joint`,
    /// turning round the pieces between the old first joint and `joint`.
    #[must_use]
    pub fn landed_at(
        &self,
        job: &Job,
        source: NodeId,
        joint: usize,
        route: Vec<SegmentId>,
    ) -> Self {
        let mut parent: Vec<Option<usize>> = self
            .joints
            .iter()
            .map(|joint| joint.incoming.from.map(JointId::index))
            .collect();
        let mut pieces: Vec<(CableId, Vec<SegmentId>)> = self
            .joints
            .iter()
            .map(|joint| {
                let incoming = &joint.incoming;
                (incoming.cable, incoming.route.segments.clone())
            })
            .collect();
        let (mut here, mut up, mut feed) =
            (joint, parent[joint], std::mem::take(&mut pieces[joint].1));
        let mut cable = pieces[joint].0;
        parent[joint] = None;
        while let Some(above) = up {
            feed.reverse();
            let next_up = parent[above].replace(here);
            std::mem::swap(&mut pieces[above].0, &mut cable);
            std::mem::swap(&mut pieces[above].1, &mut feed);
            (here, up) = (above, next_up);
        }
        pieces[joint] = (UNCHOSEN, route);
        let mut turned = self.reordered(source, joint, &parent, pieces);
        turned.prune(job);
        turned
    }

    /// Rebuilds the joints parents first, from the given tree.
    fn reordered(
        &self,
        source: NodeId,
        root: usize,
        parent: &[Option<usize>],
        mut pieces: Vec<(CableId, Vec<SegmentId>)>,
    ) -> Self {
        let mut order = vec![root];
        let mut done = 0;
        while done < order.len() {
            let here = order[done];
            order.extend((0..parent.len()).filter(|&other| parent[other] == Some(here)));
            done += 1;
        }
        let mut number = vec![0; parent.len()];
        for (position, &old) in order.iter().enumerate() {
            number[old] = position;
        }
        let joints = order
            .iter()
            .map(|&old| {
                let from = parent[old].map(|above| JointId::new(number[above]));
                let (cable, route) = (pieces[old].0, std::mem::take(&mut pieces[old].1));
                let mut joint = bare_joint(self.joints[old].node, from, route);
                joint.incoming.cable = cable;
                joint
            })
            .collect();
        let leads = self
            .leads
            .iter()
            .map(|lead| LeadRun {
                joint: JointId::new(number[lead.joint.index()]),
                ..lead.clone()
            })
            .collect();
        Self {
            source,
            joints,
            leads,
        }
    }
}

/// The walk without the loops it makes: each time it returns to a node, what lay between is dropped.
pub(super) fn without_loops(job: &Job, start: NodeId, walk: &[SegmentId]) -> Vec<SegmentId> {
    let mut nodes = vec![start];
    let mut kept: Vec<SegmentId> = Vec::with_capacity(walk.len());
    for &id in walk {
        let segment = job.segment(id);
        let here = nodes[nodes.len() - 1];
        let there = if segment.a == here {
            segment.b
        } else {
            segment.a
        };
        if let Some(before) = nodes.iter().position(|&node| node == there) {
            nodes.truncate(before + 1);
            kept.truncate(before);
        } else {
            nodes.push(there);
            kept.push(id);
        }
    }
    kept
}
