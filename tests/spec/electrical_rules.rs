//! Voltages, currents and powers in the three load cases.

use crate::{assert_near, breaks, obeys};
use duskwright_solver::check::{Place, Rule, Verdict};
use duskwright_solver::ids::{
    CircuitId, ExistingId, FixtureId, JointId, SiteId, TransformerModelId, ZoneId,
};
use duskwright_solver::job::{ContactResistance, Existing, LoadExponent, Switched, Window, Zone};
use duskwright_solver::plan::TransformerSource;
use duskwright_solver::units::{
    Amperes, Celsius, Metres, Ohms, OhmsPerMetre, PerCelsius, UnitSystem, VoltAmperes, Volts, Watts,
};
use duskwright_tests::build::*;

fn low(verdict: &Verdict) -> Vec<f64> {
    let volts = verdict.figures.fixtures.iter().map(|one| one.low);
    volts
        .map(|volts| volts.expect("a voltage").value())
        .collect()
}

fn assert_all_near(found: &[f64], expected: &[f64]) {
    assert_eq!(found.len(), expected.len());
    for (found, expected) in found.iter().zip(expected) {
        assert_near(*found, *expected);
    }
}

#[test]
fn a_chain_of_constant_currents_is_worked_by_hand() {
    // 3 A, 2 A, 1 A through 0.1 ohm each, and 1 A through 0.01 ohm of lead.
    let verdict = obeys(&row(), &chain());
    assert_all_near(&low(&verdict), &[11.69, 11.49, 11.39]);
    let pieces = &verdict.figures.circuits[0].pieces;
    let amps = pieces
        .iter()
        .map(|piece| piece.low.expect("a current").value());
    assert_all_near(&amps.collect::<Vec<_>>(), &[3.0, 2.0, 1.0]);
    let load = verdict.figures.transformers[0].low.expect("a load");
    assert_near(load.value(), 36.0);
}

#[test]
fn the_low_case_is_hot_grown_and_at_the_low_end_of_the_line() {
    // Drops of the nominal chain: 0.31, 0.51, 0.61 V; times 1.05 for growth and
    // 1 + 0.004 x 25 = 1.1 for 45 °C against 20 °C; from 12 x 0.95 = 11.4 V.
    let mut job = row();
    for cable in &mut job.cables {
        cable.conductor.coefficient = PerCelsius::new(0.004);
        cable.conductor.reactance = OhmsPerMetre::new(0.001);
    }
    job.rules.temperatures.low_case = Celsius::new(45.0);
    job.rules.length_growth = 1.05;
    job.rules.line.low = 0.95;
    let expected = [0.31, 0.51, 0.61].map(|drop| 11.4 - drop * 1.155);
    assert_all_near(&low(&obeys(&job, &chain())), &expected);
}

#[test]
fn the_high_case_is_cold_as_drawn_and_in_phasors() {
    // F1 alone on 10 m: 6 W and 12 VA is 1 A lagging 60 degrees behind its own
    // voltage V. Loop of piece and lead: (0.1 + 0.01) x 0.9 = 0.099 ohm at -5 °C, and
    // 0.022 ohm of reactance. Source 12.6 V:
    // 12.6^2 = (V + R cos + X sin)^2 + (X cos - R sin)^2.
    let mut job = row();
    job.fixtures.truncate(1);
    job.models[0].real = Watts::new(6.0);
    for cable in &mut job.cables {
        cable.conductor.coefficient = PerCelsius::new(0.004);
        cable.conductor.reactance = OhmsPerMetre::new(0.001);
    }
    job.rules.temperatures.high_case = Celsius::new(-5.0);
    job.rules.length_growth = 1.05;
    job.rules.line.high = 1.05;
    let mut plan = chain();
    plan.circuits[0].joints.truncate(1);
    plan.circuits[0].leads.truncate(1);
    let verdict = obeys(&job, &plan);
    let (r, x, cos, sin) = (0.099, 0.022, 0.5, 0.75_f64.sqrt());
    let across: f64 = x * cos - r * sin;
    let volts = (12.6_f64.powi(2) - across.powi(2)).sqrt() - (r * cos + x * sin);
    let high = verdict.figures.fixtures[0].high.expect("a voltage");
    assert_near(high.value(), volts);
    // The low case takes the 12 VA as if in phase and knows no reactance: 0.11 x 1.05 V below 12 V.
    assert_all_near(&low(&verdict), &[12.0 - 0.11 * 1.05]);
}

#[test]
fn each_fixture_keeps_its_least_voltage_and_the_margin() {
    // F3 stands at 11.39 V, its window begins at 9 V.
    let mut job = row();
    job.rules.margins.low = Volts::new(2.39);
    obeys(&job, &chain());
    job.rules.margins.low = Volts::new(2.391);
    let found = breaks(&job, &chain(), &[Rule::LowVoltage]);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].place, Place::Fixture(FixtureId(2)));
    assert_near(found[0].excess.expect("a figure").by(), 0.001);
}

#[test]
fn each_fixture_stays_below_its_highest_voltage_and_the_margin() {
    // 12 V x 1.25 = 15 V, less 0.31 V to F1; the window ends at 15 V.
    let mut job = row();
    job.rules.line.high = 1.25;
    job.rules.margins.high = Volts::new(0.31);
    obeys(&job, &chain());
    job.rules.margins.high = Volts::new(0.32);
    let found = breaks(&job, &chain(), &[Rule::HighVoltage]);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].place, Place::Fixture(FixtureId(0)));
}

#[test]
fn a_zone_alone_on_sees_less_regulation() {
    // Constant currents: s = (1 + g) / (1 + g E I / rated), g = 0.1, E = 12 V, rated 100 VA.
    // All on, 3 A: 1.1 / 1.036, F1 at 12 s - 0.11 = 12.6313 V.
    // F1 alone, 1 A: 1.1 / 1.012, F1 at 12.9335 V.
    let mut job = row();
    job.transformers[0].regulation = 0.1;
    job.models[0].window = Window::new(Volts::new(9.0), Volts::new(12.9)).expect("a window");
    let plan = two_circuits(0, 1);
    let verdict = obeys(&job, &plan);
    let high = |verdict: &Verdict| verdict.figures.fixtures[0].high.expect("a voltage").value();
    assert_near(high(&verdict), 12.0 * 1.1 / 1.036 - 0.11);
    job.zones.push(Zone {
        tag: "porch".to_owned(),
        switched: Switched::Secondary,
    });
    job.fixtures[0].zone = Some(ZoneId(0));
    let found = breaks(&job, &plan, &[Rule::HighVoltage]);
    assert_eq!(found[0].place, Place::Fixture(FixtureId(0)));
    let alone = 12.0 * 1.1 / 1.012 - 0.11;
    assert_near(found[0].excess.expect("a figure").found, alone);
}

#[test]
fn all_circuits_of_a_transformer_share_its_regulation() {
    // Low case of two circuits on two secondaries: the same s = 1.1 / 1.036 for both.
    let mut job = row();
    job.transformers[0].regulation = 0.1;
    let volts = low(&obeys(&job, &two_circuits(0, 1)));
    let source = 12.0 * 1.1 / 1.036;
    // F1: 1 A through 0.1 + 0.01 ohm. F2: 2 A through 0.2 ohm, lead 0.01. F3: 0.1 V more.
    let expected = [0.11, 0.41, 0.51].map(|drop| source - drop);
    assert_all_near(&volts, &expected);
}

#[test]
fn contact_resistance_counts_twice_at_each_end_in_a_joint() {
    // 0.01 ohm per wire end: 0.02 for the home run, 0.04 from A to B, 0.02 for a lead.
    // F1: 12 - 3 x 0.12 - 1 x 0.03. F2: 2 x 0.14 further down.
    let mut job = row();
    job.joints[0].contact = ContactResistance(Ohms::new(0.01));
    let volts = low(&obeys(&job, &chain()));
    assert_near(volts[0], 12.0 - 0.36 - 0.03);
    assert_near(volts[1], 12.0 - 0.36 - 0.28 - 0.03);
}

#[test]
fn a_piece_is_its_route_slack_and_rise_rounded_up_to_the_grid() {
    // Metric: 10 + 0.5 + 0.301 + 1.2 + 0 = 12.001 m, bought as 12.01 m.
    let mut job = row();
    job.rates.slack.transformer = Metres::new(0.5);
    job.rates.slack.splice = Metres::new(0.301);
    job.nodes[S.index()].rise = Metres::new(1.2);
    let length =
        |verdict: &Verdict, piece: usize| verdict.figures.circuits[0].pieces[piece].length.value();
    let verdict = obeys(&job, &chain());
    assert_near(length(&verdict, 0), 12.01);
    // From A to B: 10 + 2 x 0.301 = 10.602, bought as 10.61 m.
    assert_near(length(&verdict, 1), 10.61);
    // Feet: a route of 33.3 ft typed on the grid of 0.1 ft stays 33.3 ft.
    let mut job = row();
    job.units = UnitSystem::Us;
    job.segments[0].length = UnitSystem::Us.to_metres(33.3);
    let verdict = obeys(&job, &chain());
    assert_near(length(&verdict, 0), 33.3 * 0.3048);
    // A zero-length home run to a joint at the site is allowed.
    let mut plan = chain();
    plan.circuits[0].joints[0] = joint(S, SPLICE, None, &[]);
    plan.circuits[0].joints[1] = joint(B, SPLICE, Some(0), &[SA, AB]);
    plan.circuits[0].leads[0] = lead_run(0, 0, &[SA]);
    let mut job = row();
    job.models[0]
        .lead
        .as_mut()
        .expect("lamps have leads")
        .length = Metres::new(10.0);
    let verdict = obeys(&job, &plan);
    assert_near(length(&verdict, 0), 0.0);
    assert_near(low(&verdict)[0], 12.0 - 0.1);
}

#[test]
fn a_piece_carries_no_more_than_its_ampacity() {
    let mut job = row();
    job.cables[THICK.index()].ampacity = Amperes::new(3.0);
    obeys(&job, &chain());
    job.cables[THICK.index()].ampacity = Amperes::new(2.9);
    let found = breaks(&job, &chain(), &[Rule::Ampacity]);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].place, Place::Piece(CircuitId(0), JointId(0)));
}

#[test]
fn circuits_commons_and_secondaries_stay_within_the_continuous_limit() {
    // 1 A and 2 A on one secondary, each on a common of its own; 80 % of the breaker counts.
    let mut job = row();
    let common = job.transformers[0].secondaries[0].commons[0].clone();
    job.transformers[0].secondaries[0].commons.push(common);
    let mut apart = two_circuits(0, 0);
    apart.circuits[1].common = 1;
    let breaker = |job: &mut duskwright_solver::job::Job, limit: f64| {
        job.transformers[0].secondaries[0].breaker = Amperes::new(limit / 0.8);
    };
    breaker(&mut job, 3.0);
    obeys(&job, &apart);
    breaker(&mut job, 2.5);
    breaks(&job, &apart, &[Rule::SecondaryCurrent]);
    let together = two_circuits(0, 0);
    breaks(
        &job,
        &together,
        &[Rule::CommonCurrent, Rule::SecondaryCurrent],
    );
    breaker(&mut job, 1.5);
    breaks(
        &job,
        &apart,
        &[
            Rule::CircuitCurrent,
            Rule::CommonCurrent,
            Rule::SecondaryCurrent,
        ],
    );
    // Spare amperes come off the limit.
    breaker(&mut job, 3.5);
    job.rules.spare.current = Amperes::new(0.5);
    obeys(&job, &apart);
    job.rules.spare.current = Amperes::new(0.6);
    breaks(&job, &apart, &[Rule::SecondaryCurrent]);
}

#[test]
fn a_transformer_stays_within_its_permitted_load() {
    // 36 VA at the terminals. 50 VA x 0.8 x (1 - 0.05) - 2 VA = 36 VA.
    let mut job = row();
    job.transformers[0].rated = VoltAmperes::new(50.0);
    job.rules.spare.fraction = 0.05;
    job.rules.spare.apparent = VoltAmperes::new(2.0);
    obeys(&job, &chain());
    job.rules.spare.apparent = VoltAmperes::new(2.1);
    let found = breaks(&job, &chain(), &[Rule::TransformerLoad]);
    assert_near(found[0].excess.expect("a figure").by(), 0.1);
}

#[test]
fn load_that_stands_already_counts() {
    // 24 VA at the terminals of X besides 36 VA: 60 VA of 80; 24 / 12 + 3 = 5 A on the secondary.
    let mut job = row();
    job.existing.push(Existing {
        tag: "old".to_owned(),
        site: SiteId(0),
        model: TransformerModelId(0),
        present_load: vec![VoltAmperes::new(24.0), VoltAmperes::ZERO],
        tap_lugs_used: vec![vec![1, 0], vec![0]],
        common_lugs_used: vec![vec![1], vec![0]],
        zone: None,
    });
    let mut plan = chain();
    plan.transformers[0].source = TransformerSource::Existing(ExistingId(0));
    let verdict = obeys(&job, &plan);
    let transformer = &verdict.figures.transformers[0];
    assert_near(transformer.low.expect("a load").value(), 60.0);
    assert_near(transformer.secondaries[0].value(), 5.0);
    job.existing[0].present_load[0] = VoltAmperes::new(45.0);
    breaks(&job, &plan, &[Rule::TransformerLoad]);
    job.transformers[0].rated = VoltAmperes::new(500.0);
    obeys(&job, &plan);
    job.existing[0].present_load[0] = VoltAmperes::new(61.0);
    breaks(&job, &plan, &[Rule::SecondaryCurrent]);
}

#[test]
fn loads_without_an_operating_point_are_said_to_collapse() {
    // 100 W of constant power behind 300 ft of 12 AWG (1.98 ohm per 1000 ft, NEC Chapter 9
    // Table 8, 75 °C) on 15 V: 1.188 ohm of loop supply at most 15^2 / (4 x 1.188) = 47.348 W.
    let mut job = row();
    job.fixtures.truncate(1);
    job.models[0].lead = None;
    job.models[0].exponent = LoadExponent::new(0.0).expect("an exponent");
    job.transformers[0].secondaries[0].taps[0].volts = Volts::new(15.0);
    job.transformers[0].rated = VoltAmperes::new(500.0);
    job.models[0].window = Window::new(Volts::new(1.0), Volts::new(15.5)).expect("a window");
    job.segments[0].length = Metres::new(300.0 * 0.3048);
    job.cables[THICK.index()].conductor.resistance = OhmsPerMetre::new(1.98 / 304.8);
    let power = |job: &mut duskwright_solver::job::Job, watts: f64| {
        job.models[0].apparent = VoltAmperes::new(watts);
        job.models[0].real = Watts::new(watts);
    };
    let mut plan = chain();
    plan.circuits[0].joints.truncate(1);
    plan.circuits[0].leads.truncate(1);
    power(&mut job, 47.0);
    obeys(&job, &plan);
    power(&mut job, 100.0);
    let found = breaks(&job, &plan, &[Rule::Collapse]);
    assert!(found[0].detail.contains("collapses"), "{}", found[0]);
}
