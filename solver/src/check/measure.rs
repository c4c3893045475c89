//! Lengths as the checker measures them, by its own arithmetic.

use crate::ids::{JointId, NodeId};
use crate::job::Job;
use crate::plan::{Circuit, JointHardware, Plan, Route};
use crate::units::{Metres, UnitSystem};

/// Steps this close to a whole number are whole: typed lengths, converted, are off by about 1e-10 steps.
const WHOLE_STEP: f64 = 1e-6;

/// Metres in one grid step: 0.1 ft of 0.3048 m, or 1 cm.
pub(super) const fn step_m(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Us => 0.030_48,
        UnitSystem::Metric => 0.01,
    }
}

/// Metres in one length unit that prices are given for.
pub(super) const fn unit_m(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Us => 0.304_8,
        UnitSystem::Metric => 1.0,
    }
}

/// Length of the walk, m.
pub(super) fn walk_m(job: &Job, route: &Route) -> f64 {
    let lengths = route.segments.iter().map(|&id| job.segment(id).length);
    lengths.map(Metres::value).sum()
}

/// Where a walk from `start` ends, or `None` where it breaks off.
pub(super) fn walk_end(job: &Job, start: NodeId, route: &Route) -> Option<NodeId> {
    let mut here = start;
    for &id in &route.segments {
        let segment = job.segment(id);
        here = match (segment.a == here, segment.b == here) {
            (true, _) => segment.b,
            (_, true) => segment.a,
            _ => return None,
        };
    }
    Some(here)
}

/// Slack of an end in this joint, m.
pub(super) const fn slack_m(job: &Job, hardware: JointHardware) -> f64 {
    match hardware {
        JointHardware::Splice(_) => job.rates.slack.splice.value(),
        JointHardware::Hub(_) => job.rates.slack.hub.value(),
    }
}

/// Node at which the piece that feeds `joint` begins.
pub(super) fn piece_start(job: &Job, plan: &Plan, circuit: &Circuit, joint: JointId) -> NodeId {
    match circuit.joints[joint.index()].incoming.from {
        Some(from) => circuit.joints[from.index()].node,
        None => {
            job.site(plan.transformers[circuit.transformer.index()].site)
                .node
        }
    }
}

/// Bought length of the piece that feeds `joint`, m: walk, slack and rise of both ends, up to the next grid step.
pub(super) fn piece_m(job: &Job, plan: &Plan, circuit: &Circuit, joint: JointId) -> f64 {
    let fed = &circuit.joints[joint.index()];
    let near = match fed.incoming.from {
        Some(from) => slack_m(job, circuit.joints[from.index()].hardware),
        None => job.rates.slack.transformer.value(),
    };
    let start = piece_start(job, plan, circuit, joint);
    let rises = job.node(start).rise.value() + job.node(fed.node).rise.value();
    let exact = walk_m(job, &fed.incoming.route) + near + slack_m(job, fed.hardware) + rises;
    let steps = exact / step_m(job.units);
    let nearest = steps.round();
    let whole = if (steps - nearest).abs() <= WHOLE_STEP {
        nearest
    } else {
        steps.ceil()
    };
    whole * step_m(job.units)
}

/// Length a lead needs to reach its joint, m.
pub(super) fn lead_need_m(
    job: &Job,
    from: NodeId,
    joint: NodeId,
    hardware: JointHardware,
    route: &Route,
) -> f64 {
    let slack = job.rates.slack.fixture.value() + slack_m(job, hardware);
    if route.segments.is_empty() {
        return slack;
    }
    walk_m(job, route) + slack + job.node(from).rise.value() + job.node(joint).rise.value()
}
