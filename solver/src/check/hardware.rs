//! Rules of things: splices, hubs, lugs, cable uses, gauges, fixture counts.

use super::findings::Findings;
use super::violation::{Place, Rule};
use crate::ids::{CableId, CircuitId, JointId, PlacedId};
use crate::job::{HubKind, JointKind, SizeRange};
use crate::plan::{Circuit, JointHardware, TransformerSource};

/// Conductor sizes within 0.1 % are the same: gauge areas are computed, then typed.
const SIZE_TOLERANCE: f64 = 1e-3;

/// All rules of things.
pub(super) fn rules(findings: &mut Findings<'_>) {
    let plan = findings.plan;
    for (index, circuit) in plan.circuits.iter().enumerate() {
        let id = CircuitId::new(index);
        joints(findings, id, circuit);
        cables(findings, id, circuit);
        landing(findings, id, circuit);
        if let Some(most) = findings.job.rules.most_fixtures_per_circuit {
            let place = Place::Circuit(id);
            findings.count(Rule::FixturesPerCircuit, place, circuit.leads.len(), most);
        }
    }
    home_runs(findings);
    for index in 0..plan.transformers.len() {
        lugs(findings, PlacedId::new(index));
    }
}

fn size_mm2(findings: &Findings<'_>, cable: CableId) -> f64 {
    findings.job.cable(cable).size.value()
}

fn fits(range: &SizeRange, size_mm2: f64) -> bool {
    size_mm2 <= range.largest.value() * (1.0 + SIZE_TOLERANCE)
        && size_mm2 >= range.smallest.value() * (1.0 - SIZE_TOLERANCE)
}

/// Sizes of the wires that leave a joint: pieces, and leads of fixtures that have one.
fn outgoing(findings: &Findings<'_>, circuit: &Circuit, joint: JointId) -> Vec<f64> {
    let job = findings.job;
    let mut sizes = Vec::new();
    for other in &circuit.joints {
        if other.incoming.from == Some(joint) {
            sizes.push(size_mm2(findings, other.incoming.cable));
        }
    }
    for run in circuit.leads.iter().filter(|run| run.joint == joint) {
        if let Some(lead) = job.model_of(run.fixture).lead {
            sizes.push(size_mm2(findings, lead.cable));
        }
    }
    sizes
}

fn joints(findings: &mut Findings<'_>, id: CircuitId, circuit: &Circuit) {
    let job = findings.job;
    for (index, joint) in circuit.joints.iter().enumerate() {
        let joint_id = JointId::new(index);
        let place = Place::Joint(id, joint_id);
        let incoming = size_mm2(findings, joint.incoming.cable);
        let wires = outgoing(findings, circuit, joint_id);
        match joint.hardware {
            JointHardware::Splice(kind) => {
                splice(findings, place, job.joint_kind(kind), incoming, wires);
            }
            JointHardware::Hub(kind) => {
                hub(findings, place, job.hub(kind), incoming, &wires);
                let landed = circuit.leads.iter().filter(|run| run.joint == joint_id);
                if let Some(most) = job.rules.most_fixtures_per_hub {
                    findings.count(Rule::FixturesPerHub, place, landed.count(), most);
                }
            }
        }
    }
}

fn splice(
    findings: &mut Findings<'_>,
    place: Place,
    kind: &JointKind,
    incoming: f64,
    mut wires: Vec<f64>,
) {
    wires.push(incoming);
    wires.sort_by(|a, b| b.total_cmp(a));
    let held = kind.holds.iter().any(|set| {
        let mut slots: Vec<f64> = set.slots.iter().map(|slot| slot.value()).collect();
        slots.sort_by(|a, b| b.total_cmp(a));
        let pairs = wires.iter().zip(&slots);
        wires.len() <= slots.len()
            && pairs
                .into_iter()
                .all(|(wire, slot)| *wire <= slot * (1.0 + SIZE_TOLERANCE))
    });
    if !held {
        let detail = format!("`{}` does not hold {}", kind.tag, listed(&wires));
        findings.fact(Rule::WireSet, place, detail);
    }
}

fn hub(findings: &mut Findings<'_>, place: Place, kind: &HubKind, incoming: f64, wires: &[f64]) {
    if !fits(&kind.inlet, incoming) {
        let detail = format!("`{}` takes no {incoming} mm² there", kind.tag);
        findings.fact(Rule::HubInlet, place, detail);
    }
    let spare = findings.job.rules.spare.ports;
    let ports: u32 = kind.ports.iter().map(|group| group.count).sum();
    let most = kind.most_in_use.min(ports.saturating_sub(spare));
    findings.count(Rule::HubInUse, place, wires.len(), most);
    if !seated(kind, wires) {
        let detail = format!("`{}` has no ports for {}", kind.tag, listed(wires));
        findings.fact(Rule::HubPorts, place, detail);
    }
}

/// Whether each wire gets a port of its own: bipartite matching by augmenting paths.
fn seated(kind: &HubKind, wires: &[f64]) -> bool {
    let groups = kind.ports.iter();
    let ports: Vec<SizeRange> = groups
        .flat_map(|group| {
            (0..group.count as usize)
                .take(wires.len())
                .map(|_| group.takes)
        })
        .collect();
    let mut holder: Vec<Option<usize>> = vec![None; ports.len()];
    (0..wires.len()).all(|wire| {
        let mut tried = vec![false; ports.len()];
        seat(wire, wires, &ports, &mut holder, &mut tried)
    })
}

fn seat(
    wire: usize,
    wires: &[f64],
    ports: &[SizeRange],
    holder: &mut [Option<usize>],
    tried: &mut [bool],
) -> bool {
    for port in 0..ports.len() {
        if tried[port] || !fits(&ports[port], wires[wire]) {
            continue;
        }
        tried[port] = true;
        let free = match holder[port] {
            None => true,
            Some(other) => seat(other, wires, ports, holder, tried),
        };
        if free {
            holder[port] = Some(wire);
            return true;
        }
    }
    false
}

fn listed(sizes: &[f64]) -> String {
    let words: Vec<String> = sizes.iter().map(|size| format!("{size} mm²")).collect();
    words.join(" + ")
}

fn cables(findings: &mut Findings<'_>, id: CircuitId, circuit: &Circuit) {
    let job = findings.job;
    let placed = &findings.plan.transformers[circuit.transformer.index()];
    let breaker = job.transformer(placed.model(job)).secondaries[circuit.secondary].breaker;
    for (index, joint) in circuit.joints.iter().enumerate() {
        let place = Place::Piece(id, JointId::new(index));
        let cable = job.cable(joint.incoming.cable);
        let (allowed, role) = match joint.incoming.from {
            None => (cable.allowed.home_run, "a home run"),
            Some(_) => (cable.allowed.branch, "a piece behind a joint"),
        };
        if !allowed || cable.price.is_none() {
            let detail = format!("`{}` is not for use as {role}", cable.tag);
            findings.fact(Rule::CableUse, place, detail);
        }
        for &(from, least) in &job.rules.smallest_behind_breaker {
            let thin = cable.size.value() < least.value() * (1.0 - SIZE_TOLERANCE);
            if breaker.value() >= from.value() && thin {
                let detail = format!(
                    "`{}` behind a breaker of {breaker}: at least {least}",
                    cable.tag
                );
                findings.fact(Rule::SmallestGauge, place, detail);
            }
        }
    }
    for run in &circuit.leads {
        if let Some(lead) = job.model_of(run.fixture).lead
            && !job.cable(lead.cable).allowed.lead
        {
            let detail = format!("`{}` is not for use as a lead", job.cable(lead.cable).tag);
            findings.fact(Rule::CableUse, Place::Fixture(run.fixture), detail);
        }
    }
}

/// Every home run of the plan with its circuit.
fn home_run_cables(findings: &Findings<'_>) -> Vec<(CircuitId, JointId, CableId)> {
    let mut runs = Vec::new();
    for (index, circuit) in findings.plan.circuits.iter().enumerate() {
        for (at, joint) in circuit.joints.iter().enumerate() {
            if joint.incoming.from.is_none() {
                let cable = joint.incoming.cable;
                runs.push((CircuitId::new(index), JointId::new(at), cable));
            }
        }
    }
    runs
}

fn home_runs(findings: &mut Findings<'_>) {
    let rules = &findings.job.rules;
    let runs = home_run_cables(findings);
    for &(circuit, joint, cable) in &runs {
        let place = Place::Piece(circuit, joint);
        if let Some(wanted) = rules.home_run_cable
            && wanted != cable
        {
            let detail = format!(
                "`{}` instead of `{}`",
                findings.job.cable(cable).tag,
                findings.job.cable(wanted).tag
            );
            findings.fact(Rule::HomeRunCable, place, detail);
        }
        let first = size_mm2(findings, runs[0].2);
        let differs = (size_mm2(findings, cable) - first).abs() > first * SIZE_TOLERANCE;
        if rules.common_home_run && differs {
            let detail = format!(
                "`{}` differs from the first home run",
                findings.job.cable(cable).tag
            );
            findings.fact(Rule::CommonHomeRun, place, detail);
        }
    }
}

/// Sizes at the lugs, and the tap itself.
fn landing(findings: &mut Findings<'_>, id: CircuitId, circuit: &Circuit) {
    let job = findings.job;
    let placed = &findings.plan.transformers[circuit.transformer.index()];
    let secondary = &job.transformer(placed.model(job)).secondaries[circuit.secondary];
    let tap = &secondary.taps[circuit.tap];
    let common = &secondary.commons[circuit.common];
    let homes = circuit
        .joints
        .iter()
        .filter(|joint| joint.incoming.from.is_none());
    for joint in homes {
        let size = size_mm2(findings, joint.incoming.cable);
        for (takes, tag) in [(&tap.takes, &tap.tag), (&common.takes, &common.tag)] {
            if !fits(takes, size) {
                let detail = format!("lug `{tag}` takes no {size} mm²");
                findings.fact(Rule::LugSize, Place::Circuit(id), detail);
            }
        }
    }
    let highest = job.rules.highest_tap;
    if tap.volts.value() > highest.value() + 1e-9 {
        let detail = format!("tap `{}` of {}, at most {highest}", tap.tag, tap.volts);
        findings.fact(Rule::HighestTap, Place::Circuit(id), detail);
    }
}

fn lugs(findings: &mut Findings<'_>, id: PlacedId) {
    let (job, plan) = (findings.job, findings.plan);
    let placed = &plan.transformers[id.index()];
    let model = job.transformer(placed.model(job));
    let standing = match placed.source {
        TransformerSource::New(_) => None,
        TransformerSource::Existing(existing) => Some(job.existing_transformer(existing)),
    };
    let mut free = 0_i64;
    for (at, secondary) in model.secondaries.iter().enumerate() {
        let on = |circuit: &&Circuit| circuit.transformer == id && circuit.secondary == at;
        let used = |table: &[Vec<u32>], lug: usize| -> u32 {
            let row = table.get(at).and_then(|row| row.get(lug));
            row.copied().unwrap_or(0)
        };
        for (lug, tap) in secondary.taps.iter().enumerate() {
            let before = standing.map_or(0, |one| used(&one.tap_lugs_used, lug));
            let new = plan
                .circuits
                .iter()
                .filter(on)
                .filter(|c| c.tap == lug)
                .count();
            findings.count(
                Rule::TapLugs,
                Place::Secondary(id, at),
                new + before as usize,
                tap.lugs,
            );
            free += i64::from(tap.lugs) - i64::from(before) - new as i64;
        }
        for (lug, common) in secondary.commons.iter().enumerate() {
            let before = standing.map_or(0, |one| used(&one.common_lugs_used, lug));
            let new = plan
                .circuits
                .iter()
                .filter(on)
                .filter(|c| c.common == lug)
                .count();
            let place = Place::Secondary(id, at);
            findings.count(Rule::CommonLugs, place, new + before as usize, common.lugs);
        }
    }
    let spare = i64::from(job.rules.spare.lugs);
    if free < spare {
        let detail = format!("{free} free, {spare} wanted");
        findings.fact(Rule::SpareLugs, Place::Transformer(id), detail);
    }
}
