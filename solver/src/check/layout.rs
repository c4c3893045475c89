//! Whether the plan as a whole has one of the allowed layouts.
//!
//! *Chain*: the joints of each circuit form one path, into an end of which, or
//! between the ends of which, the home run lands; a fixture lands in each
//! joint. *Hub*: each home run ends in a hub, each fixture lands in it or in a
//! splice that a piece from the hub feeds. *Mixed*: anything.

use super::findings::Findings;
use super::violation::{Place, Rule};
use crate::ids::{CircuitId, JointId};
use crate::plan::{Circuit, JointHardware};

/// The layout rule.
pub(super) fn rule(findings: &mut Findings<'_>) {
    let allowed = findings.job.rules.layouts;
    if allowed.mixed {
        return;
    }
    let breaking = |shape: fn(&Circuit) -> bool| -> Vec<CircuitId> {
        let circuits = findings.plan.circuits.iter().enumerate();
        circuits
            .filter(|(_, circuit)| !shape(circuit))
            .map(|(index, _)| CircuitId::new(index))
            .collect()
    };
    let candidates = [
        (allowed.chain, is_chain as fn(&Circuit) -> bool, "a chain"),
        (allowed.hub, is_hub, "home run, hub, fixtures"),
    ];
    let nearest = candidates
        .iter()
        .filter(|(allowed, _, _)| *allowed)
        .map(|&(_, shape, name)| (breaking(shape), name))
        .min_by_key(|(circuits, _)| circuits.len());
    match nearest {
        None => findings.fact(Rule::Layout, Place::Plan, "no layout is allowed".to_owned()),
        Some((circuits, name)) => {
            for id in circuits {
                let detail = format!("it is not {name}");
                findings.fact(Rule::Layout, Place::Circuit(id), detail);
            }
        }
    }
}

fn children(circuit: &Circuit, joint: usize) -> usize {
    let from = Some(JointId::new(joint));
    let fed = circuit.joints.iter();
    fed.filter(|other| other.incoming.from == from).count()
}

fn leads(circuit: &Circuit, joint: usize) -> usize {
    let joint = JointId::new(joint);
    circuit
        .leads
        .iter()
        .filter(|run| run.joint == joint)
        .count()
}

fn is_chain(circuit: &Circuit) -> bool {
    circuit.joints.iter().enumerate().all(|(index, joint)| {
        let most = if joint.incoming.from.is_none() { 2 } else { 1 };
        children(circuit, index) <= most && leads(circuit, index) > 0
    })
}

fn is_hub(circuit: &Circuit) -> bool {
    circuit.joints.iter().enumerate().all(|(index, joint)| {
        let hub = matches!(joint.hardware, JointHardware::Hub(_));
        match joint.incoming.from {
            None => hub,
            Some(from) => {
                let from_home_run = circuit.joints[from.index()].incoming.from.is_none();
                !hub && from_home_run && children(circuit, index) == 0 && leads(circuit, index) > 0
            }
        }
    })
}
