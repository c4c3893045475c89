//! What the crew cuts and joins: pieces, leads, joints.

use super::circuits::{along, piece_lengths};
use super::dossier::Scope;
use super::field::{JointRow, LeadRow, PieceEnds, PieceRow, WireCount};
use super::labels::Labels;
use crate::bill::shown_length;
use crate::ids::{CableId, JointId, NodeId};
use crate::plan::{Circuit, JointHardware, LeadRun, Route, joint_slack};
use crate::units::Metres;
use rust_decimal::Decimal;

/// The pieces, by circuit in the order of the papers, then by number.
pub(super) fn pieces(scope: &Scope<'_>) -> Vec<PieceRow> {
    let circuits = scope.labels.order.iter();
    circuits
        .flat_map(|&index| {
            (0..scope.plan.circuits[index].joints.len())
                .map(move |joint| piece(scope, index, joint))
        })
        .collect()
}

fn piece(scope: &Scope<'_>, index: usize, number: usize) -> PieceRow {
    let (job, labels) = (scope.job, scope.labels);
    let circuit = &scope.plan.circuits[index];
    let joint = JointId::new(number);
    let incoming = &circuit.joints[number].incoming;
    let start = circuit.start_of(job, scope.plan, joint);
    let cable = job.cable(incoming.cable);
    let length = circuit.piece_length(job, scope.plan, joint);
    PieceRow {
        id: Labels::piece(index, number),
        circuit: labels.circuits[index].clone(),
        home_run: incoming.from.is_none(),
        from: start_label(scope, index, number),
        to: Labels::joint(index, joint),
        route: nodes_passed(scope, start, &incoming.route),
        cable: cable.tag.clone(),
        gauge: cable.gauge.clone(),
        length: job.units.grid().decimal(length.bought),
        parts: ends(scope, circuit, number, length.route),
        amps: scope.cases.circuits[index].low.pieces[number],
    }
}

/// Label of what a piece comes from.
fn start_label(scope: &Scope<'_>, index: usize, number: usize) -> String {
    let circuit = &scope.plan.circuits[index];
    circuit.joints[number].incoming.from.map_or_else(
        || scope.labels.transformers[circuit.transformer.index()].clone(),
        |from| Labels::joint(index, from),
    )
}

/// Slack and rise of both ends beside the route.
fn ends(scope: &Scope<'_>, circuit: &Circuit, number: usize, route: Metres) -> PieceEnds {
    let job = scope.job;
    let fed = &circuit.joints[number];
    let near_slack = match fed.incoming.from {
        None => job.rates.slack.transformer,
        Some(earlier) => joint_slack(job, circuit.joints[earlier.index()].hardware),
    };
    let start = circuit.start_of(job, scope.plan, JointId::new(number));
    PieceEnds {
        route: shown_length(job, route),
        near_slack: shown_length(job, near_slack),
        near_rise: shown_length(job, job.node(start).rise),
        far_slack: shown_length(job, joint_slack(job, fed.hardware)),
        far_rise: shown_length(job, job.node(fed.node).rise),
    }
}

/// Tags of the nodes that a walk passes, both ends included.
fn nodes_passed(scope: &Scope<'_>, start: NodeId, route: &Route) -> Vec<String> {
    let job = scope.job;
    let mut here = start;
    let mut tags = vec![job.node(here).tag.clone()];
    for &id in &route.segments {
        let segment = job.segment(id);
        here = if segment.a == here {
            segment.b
        } else {
            segment.a
        };
        tags.push(job.node(here).tag.clone());
    }
    tags
}

/// The leads, by circuit in the order of the papers, then as in the plan.
pub(super) fn leads(scope: &Scope<'_>) -> Vec<LeadRow> {
    let circuits = scope.labels.order.iter();
    circuits
        .flat_map(|&index| {
            let runs = scope.plan.circuits[index].leads.iter();
            runs.map(move |run| lead(scope, index, run))
        })
        .collect()
}

fn lead(scope: &Scope<'_>, index: usize, run: &LeadRun) -> LeadRow {
    let job = scope.job;
    let circuit = &scope.plan.circuits[index];
    let fixture = job.fixture(run.fixture);
    let lead = job.model_of(run.fixture).lead;
    LeadRow {
        fixture: fixture.tag.clone(),
        circuit: scope.labels.circuits[index].clone(),
        joint: Labels::joint(index, run.joint),
        route: nodes_passed(scope, fixture.node, &run.route),
        gauge: lead.map(|lead| job.cable(lead.cable).gauge.clone()),
        length: lead.map(|lead| shown_length(job, lead.length)),
        reach: lead.map_or(Decimal::new(0, 2), |_| reach(scope, circuit, run)),
    }
}

/// Route and slack of both ends: the length a lead must have.
fn reach(scope: &Scope<'_>, circuit: &Circuit, run: &LeadRun) -> Decimal {
    let job = scope.job;
    let landing = joint_slack(job, circuit.joints[run.joint.index()].hardware);
    let needed = run.route.length(job) + job.rates.slack.fixture + landing;
    shown_length(job, needed)
}

/// The joints, by circuit in the order of the papers, then as in the plan.
pub(super) fn joints(scope: &Scope<'_>) -> Vec<JointRow> {
    let circuits = scope.labels.order.iter();
    circuits
        .flat_map(|&index| {
            (0..scope.plan.circuits[index].joints.len())
                .map(move |joint| joint_row(scope, index, JointId::new(joint)))
        })
        .collect()
}

fn joint_row(scope: &Scope<'_>, index: usize, id: JointId) -> JointRow {
    let job = scope.job;
    let circuit = &scope.plan.circuits[index];
    let joint = &circuit.joints[id.index()];
    let (hardware, hub) = match joint.hardware {
        JointHardware::Splice(kind) => (job.joint_kind(kind).tag.clone(), false),
        JointHardware::Hub(kind) => (job.hub(kind).tag.clone(), true),
    };
    let landing = circuit.leads.iter().filter(|run| run.joint == id);
    let (grid, at) = (job.units.grid(), id.index());
    let lengths = piece_lengths(scope, circuit);
    let cases = &scope.cases.circuits[index];
    JointRow {
        piece: Labels::piece(index, at),
        from: start_label(scope, index, at),
        length: grid.decimal(lengths[at]),
        along: grid.decimal(along(circuit, &lengths)[at]),
        expected: cases.expected.joints[at],
        low: cases.low.joints[at],
        high: cases.high.joints[at],
        id: Labels::joint(index, id),
        circuit: scope.labels.circuits[index].clone(),
        node: job.node(joint.node).tag.clone(),
        hardware,
        hub,
        incoming: job.cable(joint.incoming.cable).gauge.clone(),
        outgoing: outgoing(scope, circuit, id),
        fixtures: landing
            .map(|run| job.fixture(run.fixture).tag.clone())
            .collect(),
    }
}

/// Conductors that leave a joint (pieces and leads), counted by gauge, largest first.
fn outgoing(scope: &Scope<'_>, circuit: &Circuit, id: JointId) -> Vec<WireCount> {
    let job = scope.job;
    let pieces = circuit
        .joints
        .iter()
        .filter(|other| other.incoming.from == Some(id));
    let leads = circuit.leads.iter().filter(|run| run.joint == id);
    let mut cables: Vec<CableId> = pieces
        .map(|other| other.incoming.cable)
        .chain(leads.filter_map(|run| Some(job.model_of(run.fixture).lead?.cable)))
        .collect();
    cables.sort_by(|&a, &b| {
        let size = |cable: CableId| job.cable(cable).size.value();
        size(b).total_cmp(&size(a)).then(a.cmp(&b))
    });
    let mut counts: Vec<WireCount> = Vec::new();
    for cable in cables {
        let gauge = &job.cable(cable).gauge;
        match counts.last_mut() {
            Some(last) if last.gauge == *gauge => last.count += 1,
            _ => counts.push(WireCount {
                gauge: gauge.clone(),
                count: 1,
            }),
        }
    }
    counts
}
