//! The sweep and the nodal solution, each built from the plan by its own code,
//! give the same voltages, currents and powers in every load case, and agree
//! where there is no operating point, short of voltages that no lamp bears.

use crate::any_plan::any_plan;
use duskwright_solver::check::{Figures, FixtureFigures, Rule, verify};
use duskwright_solver::electrical::cases::figures;
use duskwright_solver::ids::{
    CableId, ExistingId, FixtureId, ModelId, SiteId, TransformerModelId, ZoneId,
};
use duskwright_solver::job::{ContactResistance, Existing, Job, LoadExponent, Switched, Zone};
use duskwright_solver::plan::{Plan, TransformerSource};
use duskwright_solver::units::{
    Celsius, Metres, Ohms, OhmsPerMetre, PerCelsius, VoltAmperes, Volts, Watts,
};
use duskwright_tests::build::{fixture, lamp, row};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// Fixtures of the job, four at each of three nodes.
const FIXTURES: u32 = 12;

/// A plan of which no fixture is served twice, so that each has one voltage.
fn served_once(mut plan: Plan) -> Plan {
    let mut seen = BTreeSet::new();
    for circuit in &mut plan.circuits {
        circuit.leads.retain(|run| seen.insert(run.fixture));
    }
    plan
}

prop_compose! {
    fn any_job()(
        models in prop::collection::vec((2.0_f64..25.0, 0.4_f64..1.0, 0_usize..5), 3),
        length in prop::collection::vec(0.0_f64..40.0, 4),
        lead in prop::option::of(0.0_f64..15.0),
        contact in prop::sample::select(vec![0.0, 0.002, 0.01]),
        reactance in prop::sample::select(vec![0.0, 2e-4]),
        coefficient in prop::sample::select(vec![0.0, 0.003_93]),
        regulation in prop::sample::select(vec![0.0, 0.03, 0.1]),
        rated in 50.0_f64..600.0,
        line in (0.9_f64..1.0, 1.0_f64..1.1),
        standing in prop::option::of((0.0_f64..60.0, 0.0_f64..60.0)),
        zoned in prop::collection::vec(prop::option::of(0_u32..3), FIXTURES as usize),
    ) -> Job {
        let mut job = row();
        job.models = models
            .iter()
            .enumerate()
            .map(|(at, &(va, factor, exponent))| {
                let mut model = lamp(&format!("model {at}"), CableId(2));
                model.apparent = VoltAmperes::new(va);
                model.real = Watts::new(va * factor);
                let exponent = [0.0, 0.5, 1.0, 1.6, 2.0][exponent];
                model.exponent = LoadExponent::new(exponent).expect("a lawful exponent");
                match (lead, &mut model.lead) {
                    (Some(metres), Some(lead)) => lead.length = Metres::new(metres),
                    _ => model.lead = None,
                }
                model
            })
            .collect();
        job.fixtures = (0..FIXTURES)
            .map(|at| {
                let mut made = fixture(&format!("F{}", at + 1), 1 + at % 3);
                made.model = ModelId(at % 3);
                made
            })
            .collect();
        for (segment, length) in job.segments.iter_mut().zip(length) {
            segment.length = Metres::new(length);
        }
        for cable in &mut job.cables {
            cable.conductor.reactance = OhmsPerMetre::new(reactance);
            cable.conductor.coefficient = PerCelsius::new(coefficient);
        }
        job.joints[0].contact = ContactResistance(Ohms::new(contact));
        job.hubs[0].contact = ContactResistance(Ohms::new(contact / 2.0));
        job.transformers[0].regulation = regulation;
        job.transformers[0].rated = VoltAmperes::new(rated);
        job.rules.line.low = line.0;
        job.rules.line.high = line.1;
        job.rules.length_growth = 1.05;
        job.rules.temperatures.low_case = Celsius::new(30.0);
        job.rules.temperatures.high_case = Celsius::new(5.0);
        job.rules.temperatures.expected = Celsius::new(15.0);
        job.zones = [Switched::Secondary, Switched::Secondary, Switched::Transformer]
            .iter()
            .enumerate()
            .map(|(at, &switched)| Zone { tag: format!("zone {at}"), switched })
            .collect();
        for (fixture, zone) in job.fixtures.iter_mut().zip(zoned) {
            fixture.zone = zone.map(ZoneId);
        }
        if let Some((x, y)) = standing {
            job.existing.push(Existing {
                tag: "old".to_owned(),
                site: SiteId(0),
                model: TransformerModelId(0),
                present_load: vec![VoltAmperes::new(x), VoltAmperes::new(y)],
                tap_lugs_used: vec![vec![0, 0], vec![0]],
                common_lugs_used: vec![vec![0], vec![0]],
                zone: None,
            });
        }
        job
    }
}

/// Keeps the zones that a plan may have: one on each secondary, or one on the whole transformer.
fn lawful_zones(job: &mut Job, plan: &Plan) {
    let mut kept: Vec<(usize, ZoneId)> = Vec::new();
    for circuit in &plan.circuits {
        for run in &circuit.leads {
            let fixture = &mut job.fixtures[run.fixture.index()];
            let Some(zone) = fixture.zone else { continue };
            let whole = |zone: ZoneId| job.zones[zone.index()].switched == Switched::Transformer;
            let clash = kept.iter().any(|&(secondary, other)| {
                other != zone && (secondary == circuit.secondary || whole(zone) || whole(other))
            });
            if clash {
                fixture.zone = None;
            } else {
                kept.push((circuit.secondary, zone));
            }
        }
    }
}

/// Either method may call a bus dark that stands below this: nothing is lit there.
const GIVES_UP_BELOW_V: f64 = 0.01;

/// Lowest voltage of any fixture in any case.
fn deepest(figures: &Figures) -> f64 {
    let cases = |one: &FixtureFigures| [one.low, one.high, one.expected];
    let volts = figures.fixtures.iter().flat_map(cases).flatten();
    volts.map(Volts::value).fold(f64::INFINITY, f64::min)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-7 * a.abs().max(1.0)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn sweep_and_nodal_solution_agree_on_any_plan(job in any_job(), plan in any_plan(FIXTURES)) {
        let mut job = job;
        let mut plan = served_once(plan);
        if !job.existing.is_empty() {
            plan.transformers[0].source = TransformerSource::Existing(ExistingId(0));
        }
        lawful_zones(&mut job, &plan);
        let verdict = verify(&job, &plan);
        prop_assert!(verdict.violations.iter().all(|one| one.rule != Rule::Zones));
        let collapsed = verdict.violations.iter().any(|one| one.rule == Rule::Collapse);
        let Ok(swept) = figures(&job, &plan) else {
            let deepest = deepest(&verdict.figures);
            prop_assert!(
                collapsed || deepest < GIVES_UP_BELOW_V,
                "the sweep finds no operating point, the nodal solution stands at {deepest} V"
            );
            return Ok(());
        };
        prop_assert!(!collapsed, "the nodal solution finds no operating point, the sweep does");
        let found = &verdict.figures;
        for (id, (circuit, swept)) in plan.circuits.iter().zip(&swept.circuits).enumerate() {
            for (at, run) in circuit.leads.iter().enumerate() {
                let volts = found.fixtures[FixtureId::index(run.fixture)];
                for (name, nodal, sweep) in [
                    ("low", volts.low, swept.low.fixtures[at]),
                    ("high", volts.high, swept.high.fixtures[at]),
                    ("expected", volts.expected, swept.expected.fixtures[at]),
                ] {
                    let nodal = nodal.expect("no collapse").value();
                    prop_assert!(near(nodal, sweep.value()), "{name}: {nodal} V and {sweep}");
                }
            }
            for (at, piece) in found.circuits[id].pieces.iter().enumerate() {
                let low = piece.low.expect("no collapse").value();
                prop_assert!(near(low, swept.low.pieces[at].value()));
                let expected = piece.expected.expect("no collapse").value();
                prop_assert!(near(expected, swept.expected.pieces[at].value()));
            }
        }
        for (nodal, sweep) in found.transformers.iter().zip(&swept.transformers) {
            let load = nodal.low.expect("no collapse").value();
            prop_assert!(near(load, sweep.apparent.value()));
            for (a, b) in nodal.secondaries.iter().zip(&sweep.secondaries) {
                prop_assert!(near(a.value(), b.value()));
            }
        }
    }
}
