//! The three load cases of each transformer, built as nodal networks, and the
//! rules on voltages, currents and powers.
//!
//! *Low*: everything on, apparent powers as if in phase, no reactance, hot
//! conductors, lengths grown, low end of the line. *High*: phasors, cold
//! conductors, lengths as drawn, high end of the line, each switched group
//! alone and all together. *Expected*: phasors, nominal line.

use super::figures::{
    CircuitFigures, Figures, FixtureFigures, PieceFigures, SiteFigures, TransformerFigures,
};
use super::findings::Findings;
use super::grid::{Case, Grid, grid, present_va, switched_groups};
use super::measure::piece_m;
use super::network::Feed;
use super::nodal::{Collapse, OperatingPoint, solve};
use super::phasor::Phasor;
use super::site_rules::further_bought;
use super::violation::{Excess, Place, Rule};
use crate::ids::{CircuitId, FixtureId, JointId, PlacedId, SiteId};
use crate::job::Job;
use crate::plan::{Circuit, Plan, TransformerSource};
use crate::units::{Amperes, Metres, VoltAmperes, Volts, Watts};

/// Volts, amperes and voltamperes are compared to a millionth.
const TOLERANCE: f64 = 1e-6;

/// Solves all cases, fills the figures in and applies the electrical rules.
pub(super) fn rules(findings: &mut Findings<'_>) -> Figures {
    let (job, plan) = (findings.job, findings.plan);
    let mut figures = blank(job, plan);
    for index in 0..plan.transformers.len() {
        let id = PlacedId::new(index);
        low_case(findings, id, &mut figures);
        high_case(findings, id, &mut figures);
        expected_case(job, plan, id, &mut figures);
    }
    windows(findings, &figures);
    mains_drawn(job, plan, &mut figures);
    figures
}

fn blank(job: &Job, plan: &Plan) -> Figures {
    let pieces = |circuit: &Circuit| -> Vec<PieceFigures> {
        (0..circuit.joints.len())
            .map(|at| PieceFigures {
                length: Metres::new(piece_m(job, plan, circuit, JointId::new(at))),
                ..PieceFigures::default()
            })
            .collect()
    };
    Figures {
        fixtures: vec![FixtureFigures::default(); job.fixtures.len()],
        circuits: plan
            .circuits
            .iter()
            .map(|circuit| CircuitFigures {
                pieces: pieces(circuit),
                ..CircuitFigures::default()
            })
            .collect(),
        transformers: vec![TransformerFigures::default(); plan.transformers.len()],
        sites: vec![SiteFigures::default(); job.sites.len()],
        cost: Vec::new(),
    }
}

/// Operating point with the secondaries of `on`; a collapse is reported at the transformer.
fn point(
    findings: &mut Findings<'_>,
    id: PlacedId,
    case: Case,
    on: &[bool],
    name: &str,
) -> Result<(Grid, OperatingPoint), Collapse> {
    let grid = grid(findings.job, findings.plan, id, case, on);
    match solve(&grid.network) {
        Ok(point) => Ok((grid, point)),
        Err(collapse) => {
            let detail = format!("{name} case: {collapse}");
            findings.fact(Rule::Collapse, Place::Transformer(id), detail);
            Err(collapse)
        }
    }
}

/// Calls `see` with each fixture of a grid and the magnitude of its voltage.
fn each_fixture(
    plan: &Plan,
    grid: &Grid,
    point: &OperatingPoint,
    mut see: impl FnMut(FixtureId, Volts),
) {
    for wired in &grid.wired {
        let leads = &plan.circuits[wired.circuit.index()].leads;
        for (run, &bus) in leads.iter().zip(&wired.lead_bus) {
            see(run.fixture, Volts::new(point.volts[bus].magnitude()));
        }
    }
}

fn amps(current: Phasor) -> Amperes {
    Amperes::new(current.magnitude())
}

fn low_case(findings: &mut Findings<'_>, id: PlacedId, figures: &mut Figures) {
    let (job, plan) = (findings.job, findings.plan);
    let model = job.transformer(plan.transformers[id.index()].model(job));
    let rules = &job.rules;
    let permitted = model.rated.value() * rules.loading_limit * (1.0 - rules.spare.fraction)
        - rules.spare.apparent.value();
    figures.transformers[id.index()].permitted = VoltAmperes::new(permitted);
    let all = vec![true; model.secondaries.len()];
    let case = Case::low(job);
    let (grid, point) = match point(findings, id, case, &all, "low") {
        Ok(solved) => solved,
        Err(collapse) => {
            figures.transformers[id.index()].collapse = Some(collapse);
            return;
        }
    };
    each_fixture(plan, &grid, &point, |fixture, volts| {
        figures.fixtures[fixture.index()].low = Some(volts);
    });
    for wired in &grid.wired {
        let circuit = &mut figures.circuits[wired.circuit.index()];
        circuit.low = Some(amps(point.source_amps[wired.source]));
        let source = grid.network.source_volts[wired.source] * point.source_scale;
        circuit.low_source = Some(Volts::new(source));
        for (piece, &bus) in circuit.pieces.iter_mut().zip(&wired.joint_bus) {
            piece.low = Some(amps(point.branch_amps[bus]));
        }
    }
    let present = present_va(job, plan, id);
    let carried = point.terminal_va.magnitude() + present.iter().sum::<f64>();
    let transformer = &mut figures.transformers[id.index()];
    transformer.low = Some(VoltAmperes::new(carried));
    let excess = Excess {
        found: carried,
        limit: permitted,
        unit: "VA",
    };
    findings.at_most(
        Rule::TransformerLoad,
        Place::Transformer(id),
        excess,
        TOLERANCE,
    );
    let scale = case.line * point.source_scale;
    currents(findings, id, scale, figures);
}

/// Ampacities and continuous limits, low case. `scale`: factor on the tap voltages.
fn currents(findings: &mut Findings<'_>, id: PlacedId, scale: f64, figures: &mut Figures) {
    let (job, plan) = (findings.job, findings.plan);
    let model = job.transformer(plan.transformers[id.index()].model(job));
    let present = present_va(job, plan, id);
    let over = |found: f64, limit: f64| Excess {
        found,
        limit,
        unit: "A",
    };
    for (at, secondary) in model.secondaries.iter().enumerate() {
        let limit = secondary.breaker.value() * secondary.continuous_fraction
            - job.rules.spare.current.value();
        let mut total = 0.0;
        let mut commons = vec![0.0; secondary.commons.len()];
        for (index, circuit) in plan.circuits.iter().enumerate() {
            if circuit.transformer != id || circuit.secondary != at {
                continue;
            }
            let circuit_id = CircuitId::new(index);
            let drawn = figures.circuits[index].low.map_or(0.0, Amperes::value);
            let place = Place::Circuit(circuit_id);
            findings.at_most(Rule::CircuitCurrent, place, over(drawn, limit), TOLERANCE);
            total += drawn;
            commons[circuit.common] += drawn;
            for (joint, piece) in figures.circuits[index].pieces.iter().enumerate() {
                let cable = circuit.joints[joint].incoming.cable;
                let ampacity = job.cable(cable).ampacity.value();
                let carried = piece.low.map_or(0.0, Amperes::value);
                let place = Place::Piece(circuit_id, JointId::new(joint));
                findings.at_most(Rule::Ampacity, place, over(carried, ampacity), TOLERANCE);
            }
        }
        // Present load is taken at the lowest tap, where its voltamperes mean most current.
        let lowest = secondary.taps.iter().map(|tap| tap.volts.value());
        let lowest = lowest.fold(f64::INFINITY, f64::min);
        let standing = present[at] / (lowest * scale);
        let place = Place::Secondary(id, at);
        for common in commons {
            findings.at_most(Rule::CommonCurrent, place, over(common, limit), TOLERANCE);
        }
        total += standing;
        // What stands alone is not the plan's doing.
        if total > standing {
            findings.at_most(Rule::SecondaryCurrent, place, over(total, limit), TOLERANCE);
        }
        let secondaries = &mut figures.transformers[id.index()].secondaries;
        secondaries.push(Amperes::new(total));
    }
}

fn high_case(findings: &mut Findings<'_>, id: PlacedId, figures: &mut Figures) {
    let (job, plan) = (findings.job, findings.plan);
    for on in switched_groups(job, plan, id) {
        let Ok((grid, point)) = point(findings, id, Case::high(job), &on, "high") else {
            continue;
        };
        each_fixture(plan, &grid, &point, |fixture, volts| {
            let high = &mut figures.fixtures[fixture.index()].high;
            *high = Some(high.map_or(volts, |known| known.max(volts)));
        });
    }
}

fn expected_case(job: &Job, plan: &Plan, id: PlacedId, figures: &mut Figures) {
    let model = job.transformer(plan.transformers[id.index()].model(job));
    let all = vec![true; model.secondaries.len()];
    let case = Case::expected(job);
    // The low case has said it when there is no operating point.
    let grid = grid(job, plan, id, case, &all);
    let Ok(point) = solve(&grid.network) else {
        return;
    };
    each_fixture(plan, &grid, &point, |fixture, volts| {
        figures.fixtures[fixture.index()].expected = Some(volts);
    });
    let network = &grid.network;
    let from_source = network.buses.iter().zip(&point.branch_amps);
    let watts = from_source.filter_map(|(bus, current)| match bus.feed {
        Feed::Source(source) => {
            Some(network.source_volts[source] * point.source_scale * current.re)
        }
        Feed::Bus(_) => None,
    });
    figures.transformers[id.index()].expected_real = Some(Watts::new(watts.sum()));
    for wired in &grid.wired {
        let pieces = &mut figures.circuits[wired.circuit.index()].pieces;
        for (piece, &bus) in pieces.iter_mut().zip(&wired.joint_bus) {
            piece.expected = Some(amps(point.branch_amps[bus]));
        }
    }
}

fn windows(findings: &mut Findings<'_>, figures: &Figures) {
    let job = findings.job;
    for (index, volts) in figures.fixtures.iter().enumerate() {
        let id = FixtureId::new(index);
        let window = job.model_of(id).window;
        let margins = job.rules.margins;
        let against = |found: Volts, limit: f64| Excess {
            found: found.value(),
            limit,
            unit: "V",
        };
        if let Some(low) = volts.low {
            let least = window.min().value() + margins.low.value();
            let excess = against(low, least);
            findings.at_least(Rule::LowVoltage, Place::Fixture(id), excess, TOLERANCE);
        }
        if let Some(high) = volts.high {
            let most = window.max().value() - margins.high.value();
            let excess = against(high, most);
            findings.at_most(Rule::HighVoltage, Place::Fixture(id), excess, TOLERANCE);
        }
    }
}

/// Mains power by site: terminal power over efficiency plus no-load loss, standing transformers included whether used or not.
fn mains_drawn(job: &Job, plan: &Plan, figures: &mut Figures) {
    for (index, site) in job.sites.iter().enumerate() {
        let id = SiteId::new(index);
        let further = site.further.map_or(0.0, |further| further.mains.value());
        let available = site.mains.value() + further * f64::from(further_bought(plan, id));
        figures.sites[index].usable = VoltAmperes::new(available * job.rules.mains_fraction);
        figures.sites[index].mains = site_mains(job, plan, figures, id).map(VoltAmperes::new);
    }
}

fn site_mains(job: &Job, plan: &Plan, figures: &Figures, site: SiteId) -> Option<f64> {
    let mut drawn = 0.0;
    for (placed, found) in plan.transformers.iter().zip(&figures.transformers) {
        if placed.site == site {
            let model = job.transformer(placed.model(job));
            drawn += found.low?.value() / model.efficiency + model.no_load_loss.value();
        }
    }
    for (index, existing) in job.existing.iter().enumerate() {
        let source = TransformerSource::Existing(crate::ids::ExistingId::new(index));
        let in_use = plan
            .transformers
            .iter()
            .any(|placed| placed.source == source);
        if existing.site == site && !in_use {
            let model = job.transformer(existing.model);
            let present: f64 = existing.present_load.iter().map(|load| load.value()).sum();
            drawn += present / model.efficiency + model.no_load_loss.value();
        }
    }
    Some(drawn)
}
