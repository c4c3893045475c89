//! Whether every index of a plan points into its table. The other rules index
//! freely once this one holds.

use super::findings::Findings;
use super::violation::{Place, Rule};
use crate::ids::{CircuitId, JointId, PlacedId};
use crate::plan::{Circuit, JointHardware, Route, TransformerSource};

/// Finds every index out of range; true when there is none.
pub(super) fn references(findings: &mut Findings<'_>) -> bool {
    let before = findings.violations.len();
    let (job, plan) = (findings.job, findings.plan);
    for (index, placed) in plan.transformers.iter().enumerate() {
        let source = match placed.source {
            TransformerSource::New(model) => model.index() < job.transformers.len(),
            TransformerSource::Existing(id) => id.index() < job.existing.len(),
        };
        if placed.site.index() >= job.sites.len() || !source {
            let place = Place::Transformer(PlacedId::new(index));
            findings.fact(Rule::Reference, place, "unknown site or model".to_owned());
        }
    }
    for &(site, _) in &plan.further_circuits {
        if site.index() >= job.sites.len() {
            findings.fact(Rule::Reference, Place::Site(site), "unknown".to_owned());
        }
    }
    if findings.violations.len() > before {
        return false;
    }
    for (index, circuit) in plan.circuits.iter().enumerate() {
        circuit_references(findings, CircuitId::new(index), circuit);
    }
    findings.violations.len() == before
}

fn circuit_references(findings: &mut Findings<'_>, id: CircuitId, circuit: &Circuit) {
    if !terminals_exist(findings, circuit) {
        let detail = "unknown transformer, secondary, tap or common".to_owned();
        findings.fact(Rule::Reference, Place::Circuit(id), detail);
    }
    let job = findings.job;
    let walk = |route: &Route| {
        let mut segments = route.segments.iter();
        segments.all(|segment| segment.index() < job.segments.len())
    };
    for (index, joint) in circuit.joints.iter().enumerate() {
        let hardware = match joint.hardware {
            JointHardware::Splice(kind) => kind.index() < job.joints.len(),
            JointHardware::Hub(kind) => kind.index() < job.hubs.len(),
        };
        let from = joint.incoming.from;
        let known = joint.node.index() < job.nodes.len()
            && hardware
            && joint.incoming.cable.index() < job.cables.len()
            && from.is_none_or(|from| from.index() < circuit.joints.len())
            && walk(&joint.incoming.route);
        if !known {
            let place = Place::Joint(id, JointId::new(index));
            let detail = "unknown node, hardware, cable, feed or segment".to_owned();
            findings.fact(Rule::Reference, place, detail);
        }
    }
    for run in &circuit.leads {
        let known = run.fixture.index() < job.fixtures.len()
            && run.joint.index() < circuit.joints.len()
            && walk(&run.route);
        if !known {
            let detail =
                format!("its lead in circuit {id} names an unknown fixture, joint or segment");
            findings.fact(Rule::Reference, Place::Fixture(run.fixture), detail);
        }
    }
}

fn terminals_exist(findings: &Findings<'_>, circuit: &Circuit) -> bool {
    let Some(placed) = findings.plan.transformers.get(circuit.transformer.index()) else {
        return false;
    };
    let model = findings.job.transformer(placed.model(findings.job));
    model
        .secondaries
        .get(circuit.secondary)
        .is_some_and(|secondary| {
            circuit.tap < secondary.taps.len() && circuit.common < secondary.commons.len()
        })
}
