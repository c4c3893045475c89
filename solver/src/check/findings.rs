//! Collects violations and words their places.

use super::violation::{Excess, Place, Rule, Violation};
use crate::ids::{CircuitId, FixtureId, JointId, NodeId, SegmentId};
use crate::job::Job;
use crate::plan::{Plan, joint_label, piece_label};

/// The list of everything wrong, under construction.
pub(super) struct Findings<'a> {
    pub(super) job: &'a Job,
    pub(super) plan: &'a Plan,
    pub(super) violations: Vec<Violation>,
}

impl<'a> Findings<'a> {
    pub(super) const fn new(job: &'a Job, plan: &'a Plan) -> Self {
        Self {
            job,
            plan,
            violations: Vec::new(),
        }
    }
    /// A broken rule without a figure.
    pub(super) fn fact(&mut self, rule: Rule, place: Place, detail: String) {
        let named = self.name(place);
        self.violations.push(Violation {
            rule,
            place,
            named,
            excess: None,
            detail,
        });
    }
    /// A figure above its limit by more than the tolerance, or not a number.
    pub(super) fn at_most(&mut self, rule: Rule, place: Place, excess: Excess, tolerance: f64) {
        let kept = excess.found <= excess.limit + tolerance;
        if !kept {
            self.figure(rule, place, excess);
        }
    }
    /// A figure below its limit by more than the tolerance, or not a number.
    pub(super) fn at_least(&mut self, rule: Rule, place: Place, excess: Excess, tolerance: f64) {
        let kept = excess.found >= excess.limit - tolerance;
        if !kept {
            self.figure(rule, place, excess);
        }
    }
    /// A count above its limit.
    pub(super) fn count(&mut self, rule: Rule, place: Place, found: usize, most: u32) {
        let excess = Excess {
            found: found as f64,
            limit: f64::from(most),
            unit: "",
        };
        self.at_most(rule, place, excess, 0.0);
    }
    /// A stated figure that differs from the computed one, or stands alone.
    pub(super) fn stated(&mut self, place: Place, what: &str, excess: Option<Excess>) {
        let named = self.name(place);
        self.violations.push(Violation {
            rule: Rule::StatedFigure,
            place,
            named,
            excess,
            detail: match excess {
                Some(_) => what.to_owned(),
                None => format!("{what}: stated without a computed figure, or the other way about"),
            },
        });
    }
    fn figure(&mut self, rule: Rule, place: Place, excess: Excess) {
        let named = self.name(place);
        self.violations.push(Violation {
            rule,
            place,
            named,
            excess: Some(excess),
            detail: String::new(),
        });
    }

    /// Tag of a node, or its number when there is none.
    pub(super) fn node(&self, id: NodeId) -> String {
        let tag = self.job.nodes.get(id.index()).map(|node| node.tag.clone());
        tag.unwrap_or_else(|| format!("#{}", id.index()))
    }

    fn name(&self, place: Place) -> String {
        match place {
            Place::Plan => "the plan".to_owned(),
            Place::Transformer(id) => format!("transformer {id}"),
            Place::Secondary(id, secondary) => self.name_secondary(id, secondary),
            Place::Circuit(id) => format!("circuit {id}"),
            Place::Piece(circuit, joint) => self.name_piece(circuit, joint),
            Place::Joint(circuit, joint) => self.name_joint(circuit, joint),
            Place::Fixture(id) => self.name_fixture(id),
            Place::Segment(id) => self.name_segment(id),
            Place::Site(id) => match self.job.sites.get(id.index()) {
                Some(site) => format!("site {}", site.tag),
                None => format!("site #{}", id.index()),
            },
        }
    }
    fn name_secondary(&self, id: crate::ids::PlacedId, secondary: usize) -> String {
        let tag = self.plan.transformers.get(id.index()).and_then(|placed| {
            let model = self.job.transformers.get(placed.model(self.job).index())?;
            Some(model.secondaries.get(secondary)?.tag.clone())
        });
        let tag = tag.unwrap_or_else(|| format!("#{secondary}"));
        format!("transformer {id}, secondary {tag}")
    }
    fn name_piece(&self, circuit: CircuitId, joint: JointId) -> String {
        let label = piece_label(circuit, joint);
        match self.joint_node(circuit, joint) {
            Some(node) => format!("piece {label} to {}", self.node(node)),
            None => format!("piece {label}"),
        }
    }
    fn name_joint(&self, circuit: CircuitId, joint: JointId) -> String {
        let label = joint_label(circuit, joint);
        match self.joint_node(circuit, joint) {
            Some(node) => format!("joint {label} at {}", self.node(node)),
            None => format!("joint {label}"),
        }
    }
    fn name_fixture(&self, id: FixtureId) -> String {
        match self.job.fixtures.get(id.index()) {
            Some(fixture) => format!("fixture {}", fixture.tag),
            None => format!("fixture #{}", id.index()),
        }
    }
    fn name_segment(&self, id: SegmentId) -> String {
        match self.job.segments.get(id.index()) {
            Some(segment) => format!(
                "segment {} to {}",
                self.node(segment.a),
                self.node(segment.b)
            ),
            None => format!("segment #{}", id.index()),
        }
    }
    fn joint_node(&self, circuit: CircuitId, joint: JointId) -> Option<NodeId> {
        let circuit = self.plan.circuits.get(circuit.index())?;
        Some(circuit.joints.get(joint.index())?.node)
    }
}
