//! Rules of form: trees of pieces and joints, routes that join their ends,
//! leads that reach, every fixture served once.

use super::findings::Findings;
use super::measure::{lead_need_m, piece_start, walk_end};
use super::violation::{Excess, Place, Rule};
use crate::ids::{CircuitId, FixtureId, JointId};
use crate::plan::{Circuit, JointHardware, LeadRun, joint_label};
use std::collections::BTreeMap;

/// Leads are measured to a micrometre.
const REACH_TOLERANCE_M: f64 = 1e-6;

/// All rules of form.
pub(super) fn rules(findings: &mut Findings<'_>) {
    let plan = findings.plan;
    for (index, circuit) in plan.circuits.iter().enumerate() {
        let id = CircuitId::new(index);
        tree(findings, id, circuit);
        joints(findings, id, circuit);
        routes(findings, id, circuit);
        for run in &circuit.leads {
            lead(findings, id, circuit, run);
        }
    }
    served_once(findings);
}

fn tree(findings: &mut Findings<'_>, id: CircuitId, circuit: &Circuit) {
    let home_runs = circuit
        .joints
        .iter()
        .filter(|joint| joint.incoming.from.is_none())
        .count();
    if home_runs != 1 {
        let detail = format!("it has {home_runs}");
        findings.fact(Rule::HomeRun, Place::Circuit(id), detail);
    }
    for (index, joint) in circuit.joints.iter().enumerate() {
        if let Some(from) = joint.incoming.from
            && from.index() >= index
        {
            let place = Place::Joint(id, JointId::new(index));
            let detail = format!("it is fed from {}", joint_label(id, from));
            findings.fact(Rule::Tree, place, detail);
        }
    }
}

fn joints(findings: &mut Findings<'_>, id: CircuitId, circuit: &Circuit) {
    let job = findings.job;
    let mut first_at = BTreeMap::new();
    for (index, joint) in circuit.joints.iter().enumerate() {
        let place = Place::Joint(id, JointId::new(index));
        if let Some(&first) = first_at.get(&joint.node) {
            let detail = format!("{} is there already", joint_label(id, first));
            findings.fact(Rule::OneJointPerNode, place, detail);
        } else {
            first_at.insert(joint.node, JointId::new(index));
        }
        if !job.node(joint.node).joint_allowed {
            findings.fact(Rule::JointPlace, place, String::new());
        }
        let splice = matches!(joint.hardware, JointHardware::Splice(_));
        let at_fixture = job.fixtures.iter().any(|one| one.node == joint.node);
        if job.rules.joints_at_fixtures_and_hubs && splice && !at_fixture {
            findings.fact(Rule::BareTee, place, String::new());
        }
    }
}

fn routes(findings: &mut Findings<'_>, id: CircuitId, circuit: &Circuit) {
    let (job, plan) = (findings.job, findings.plan);
    for (index, joint) in circuit.joints.iter().enumerate() {
        let joint_id = JointId::new(index);
        let start = piece_start(job, plan, circuit, joint_id);
        let end = walk_end(job, start, &joint.incoming.route);
        if end != Some(joint.node) {
            let detail = broken_walk(findings, start, end);
            findings.fact(Rule::RouteEnds, Place::Piece(id, joint_id), detail);
        }
    }
    for run in &circuit.leads {
        let start = job.fixture(run.fixture).node;
        let end = walk_end(job, start, &run.route);
        if end != Some(circuit.joints[run.joint.index()].node) {
            let detail = broken_walk(findings, start, end);
            findings.fact(Rule::RouteEnds, Place::Fixture(run.fixture), detail);
        }
    }
}

fn broken_walk(
    findings: &Findings<'_>,
    start: crate::ids::NodeId,
    end: Option<crate::ids::NodeId>,
) -> String {
    let start = findings.node(start);
    match end {
        Some(end) => format!("from {start} it ends at {}", findings.node(end)),
        None => format!("from {start} its segments do not meet"),
    }
}

fn lead(findings: &mut Findings<'_>, id: CircuitId, circuit: &Circuit, run: &LeadRun) {
    let job = findings.job;
    let node = job.fixture(run.fixture).node;
    let joint = &circuit.joints[run.joint.index()];
    let Some(lead) = job.model_of(run.fixture).lead else {
        if joint.node != node || !run.route.segments.is_empty() {
            let detail = format!("it lands in {}", joint_label(id, run.joint));
            findings.fact(Rule::OwnTerminals, Place::Fixture(run.fixture), detail);
        }
        return;
    };
    let excess = Excess {
        found: lead_need_m(job, node, joint.node, joint.hardware, &run.route),
        limit: lead.length.value(),
        unit: "m",
    };
    let place = Place::Fixture(run.fixture);
    findings.at_most(Rule::LeadReach, place, excess, REACH_TOLERANCE_M);
}

fn served_once(findings: &mut Findings<'_>) {
    let mut served = vec![0_usize; findings.job.fixtures.len()];
    for circuit in &findings.plan.circuits {
        for run in &circuit.leads {
            served[run.fixture.index()] += 1;
        }
    }
    for (index, &times) in served.iter().enumerate() {
        if times != 1 {
            let place = Place::Fixture(FixtureId::new(index));
            findings.fact(
                Rule::ServedOnce,
                place,
                format!("it is served {times} times"),
            );
        }
    }
}
