//! Whole plans: the electrical room and the checker compute every figure twice, from the
//! inputs alone, with no shared formula.

use duskwright_solver::check::verify;
use duskwright_solver::electrical::cases::{CaseFigures, figures};
use duskwright_solver::ids::{ExistingId, SiteId, TransformerModelId, ZoneId};
use duskwright_solver::job::{
    ContactResistance, Existing, Job, LineBand, LoadExponent, Switched, Temperatures, Zone,
};
use duskwright_solver::plan::{Plan, TransformerSource};
use duskwright_solver::units::{
    Celsius, Metres, Ohms, OhmsPerMetre, PerCelsius, VoltAmperes, Watts,
};
use duskwright_tests::build::{chain, hub_plan, row, two_circuits};
use duskwright_tests::random_trees::Draw;
use proptest::prelude::*;

const AGREED_V: f64 = 1e-8;
const AGREED_A: f64 = 1e-8;
const AGREED_VA: f64 = 1e-6;

/// The row of three lamps with every number that the electrical model reads drawn anew.
fn drawn_job(draw: &mut Draw) -> Job {
    let mut job = row();
    for cable in &mut job.cables {
        let conductor = &mut cable.conductor;
        conductor.resistance = OhmsPerMetre::new(draw.between(0.001, 0.02));
        conductor.reactance = OhmsPerMetre::new(draw.between(0.0, 0.002));
        conductor.coefficient = PerCelsius::new(0.003_93);
    }
    for node in &mut job.nodes {
        node.rise = Metres::new(draw.between(0.0, 2.0));
    }
    job.rates.slack.transformer = Metres::new(draw.between(0.0, 1.0));
    job.rates.slack.splice = Metres::new(draw.between(0.0, 1.0));
    job.rates.slack.hub = Metres::new(draw.between(0.0, 1.0));
    job.joints[0].contact = ContactResistance(Ohms::new(draw.between(0.0, 0.01)));
    job.hubs[0].contact = ContactResistance(Ohms::new(draw.between(0.0, 0.01)));
    let lamp = &mut job.models[0];
    lamp.real = Watts::new(draw.between(6.0, 12.0));
    lamp.exponent =
        LoadExponent::new([0.0, 0.5, 1.0, 1.6, 2.0][draw.below(5)]).expect("a lawful exponent");
    job.transformers[0].regulation = draw.between(0.0, 0.1);
    job.rules.length_growth = draw.between(1.0, 1.1);
    job.rules.line = LineBand {
        low: draw.between(0.9, 1.0),
        high: draw.between(1.0, 1.1),
    };
    job.rules.temperatures = Temperatures {
        low_case: Celsius::new(draw.between(20.0, 60.0)),
        high_case: Celsius::new(draw.between(-20.0, 20.0)),
        expected: Celsius::new(draw.between(0.0, 30.0)),
    };
    job
}

/// Puts the first transformer of the plan on site already, carrying some load.
fn already_standing(job: &mut Job, plan: &mut Plan, draw: &mut Draw) {
    let secondaries = &job.transformers[0].secondaries;
    let present_load = secondaries
        .iter()
        .map(|_| VoltAmperes::new(draw.between(0.0, 20.0)))
        .collect();
    job.existing.push(Existing {
        tag: "old".to_owned(),
        site: SiteId(0),
        model: TransformerModelId(0),
        present_load,
        tap_lugs_used: secondaries
            .iter()
            .map(|each| vec![0; each.taps.len()])
            .collect(),
        common_lugs_used: secondaries
            .iter()
            .map(|each| vec![0; each.commons.len()])
            .collect(),
        zone: None,
    });
    plan.transformers[0].source = TransformerSource::Existing(ExistingId(0));
}

fn close(found: f64, checked: f64, tolerance: f64) {
    assert!(
        (found - checked).abs() <= tolerance,
        "{found}, checker {checked}"
    );
}

fn assert_checker_agrees(job: &Job, plan: &Plan, found: &CaseFigures) {
    let checked = verify(job, plan).figures;
    for (index, circuit) in plan.circuits.iter().enumerate() {
        let cases = &found.circuits[index];
        for (at, lead) in circuit.leads.iter().enumerate() {
            let theirs = &checked.fixtures[lead.fixture.index()];
            for (ours, theirs) in [
                (cases.low.fixtures[at], theirs.low),
                (cases.high.fixtures[at], theirs.high),
                (cases.expected.fixtures[at], theirs.expected),
            ] {
                let theirs = theirs.expect("a served fixture has a voltage");
                close(ours.value(), theirs.value(), AGREED_V);
            }
        }
        let theirs = &checked.circuits[index];
        for (ours, theirs) in cases.low.pieces.iter().zip(&theirs.pieces) {
            let theirs = theirs.low.expect("a solved circuit has currents");
            close(ours.value(), theirs.value(), AGREED_A);
        }
        let source = theirs.low_source.expect("a solved circuit has a source");
        close(cases.low.source.value(), source.value(), AGREED_V);
    }
    for (ours, theirs) in found.transformers.iter().zip(&checked.transformers) {
        let apparent = theirs.low.expect("a solved transformer has a load");
        close(ours.apparent.value(), apparent.value(), AGREED_VA);
        for (ours, theirs) in ours.secondaries.iter().zip(&theirs.secondaries) {
            close(ours.value(), theirs.value(), AGREED_A);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn every_figure_of_a_plan_agrees_with_the_checker(
        seed: u64, form in 0..5_usize, standing: bool, zoned: bool,
    ) {
        let mut draw = Draw::new(seed);
        let mut job = drawn_job(&mut draw);
        let mut plan = match form {
            0 => chain(),
            1 => two_circuits(0, 0),
            2 => two_circuits(0, 1),
            3 => two_circuits(1, 0),
            _ => hub_plan(&mut job),
        };
        if standing {
            already_standing(&mut job, &mut plan, &mut draw);
        }
        if zoned {
            let zone = |tag: &str, switched| Zone { tag: tag.to_owned(), switched };
            job.zones = vec![zone("porch", Switched::Secondary), zone("trees", Switched::Secondary)];
            job.fixtures[0].zone = Some(ZoneId(0));
            job.fixtures[1].zone = draw.below(2).checked_sub(1).map(|_| ZoneId(1));
        }
        if let Ok(found) = figures(&job, &plan) {
            assert_checker_agrees(&job, &plan, &found);
        }
    }
}
