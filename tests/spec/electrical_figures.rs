//! The electrical room's own figures on the row of three lamps, worked by hand: currents of
//! 1 A each, 0.1 ohm of loop per section, leads of 0.01 ohm.

use crate::assert_near;
use duskwright_solver::electrical::advice::advise;
use duskwright_solver::electrical::cases::{figures, high_case};
use duskwright_solver::electrical::limits::{Amount, Limited, permitted};
use duskwright_solver::electrical::margin::LoadingMargin;
use duskwright_solver::electrical::switching::switchings;
use duskwright_solver::electrical::{cases, limits};
use duskwright_solver::ids::{CircuitId, JointId, PlacedId, ZoneId};
use duskwright_solver::job::{Job, Switched, Zone};
use duskwright_solver::units::{Amperes, Celsius, PerCelsius, VoltAmperes, Volts};
use duskwright_tests::build::{chain, row, two_circuits};

const FIRST: PlacedId = PlacedId(0);
const CIRCUIT: CircuitId = CircuitId(0);

fn bare(volts: &[Volts]) -> Vec<f64> {
    volts.iter().map(|volts| volts.value()).collect()
}

fn assert_all_near(found: &[f64], expected: &[f64]) {
    assert_eq!(found.len(), expected.len());
    for (found, expected) in found.iter().zip(expected) {
        assert_near(*found, *expected);
    }
}

#[test]
fn joints_fixtures_and_pieces_of_a_chain_are_reported() {
    let found = figures(&row(), &chain()).expect("an operating point");
    let low = &found.circuits[0].low;
    assert_all_near(&bare(&low.joints), &[11.7, 11.5, 11.4]);
    assert_all_near(&bare(&low.fixtures), &[11.69, 11.49, 11.39]);
    let amps: Vec<f64> = low.pieces.iter().map(|amps| amps.value()).collect();
    assert_all_near(&amps, &[3.0, 2.0, 1.0]);
    assert_near(low.apparent.value(), 36.0);
    assert_near(found.transformers[0].apparent.value(), 36.0);
    assert_near(found.transformers[0].secondaries[0].value(), 3.0);
    assert_near(found.transformers[0].secondaries[1].value(), 0.0);
    // 5 % low and high move the tap by 0.6 V; the drops of constant currents stay.
    let low = found.circuits[0].line_low.as_ref().expect("a state");
    assert_all_near(&bare(&low.fixtures), &[11.09, 10.89, 10.79]);
    let high = found.circuits[0].line_high.as_ref().expect("a state");
    assert_all_near(&bare(&high.fixtures), &[12.29, 12.09, 11.99]);
}

/// Growth of 10 % and 10 °C at 1 % per °C make every drop 1.21 times as large; contacts do
/// not grow: 5 mohm per wire end, two ends at each end of a piece but none at the lug.
#[test]
fn lengths_grow_and_conductors_warm_but_contacts_do_not() {
    let mut job = row();
    job.rules.length_growth = 1.1;
    job.rules.temperatures.low_case = Celsius::new(30.0);
    for cable in &mut job.cables {
        cable.conductor.coefficient = PerCelsius::new(0.01);
    }
    job.joints[0].contact.0 = duskwright_solver::units::Ohms::new(0.005);
    let found = figures(&job, &chain()).expect("an operating point");
    let section = 0.121;
    let a = 12.0 - 3.0 * (section + 0.01);
    let b = a - 2.0 * (section + 0.02);
    let c = b - (section + 0.02);
    let joints = &found.circuits[0].low.joints;
    assert_all_near(&bare(joints), &[a, b, c]);
    let lead = 0.0121 + 0.01;
    let fixtures = &found.circuits[0].low.fixtures;
    assert_all_near(&bare(fixtures), &[a - lead, b - lead, c - lead]);
}

/// A bolted short at the far lamp: 12 V over 0.31 ohm; with 5 % regulation 12.6 V over
/// 0.31 + 0.05 x 144 / 100 ohm.
#[test]
fn the_short_at_the_far_lamp_is_the_smallest() {
    let mut job = row();
    let stiff = figures(&job, &chain()).expect("an operating point");
    assert_near(stiff.circuits[0].end_short.value(), 12.0 / 0.31);
    job.transformers[0].regulation = 0.05;
    let soft = figures(&job, &chain()).expect("an operating point");
    assert_near(soft.circuits[0].end_short.value(), 12.6 / (0.31 + 0.072));
}

fn zoned() -> Job {
    let mut job = row();
    job.transformers[0].regulation = 0.1;
    for tag in ["porch", "trees"] {
        job.zones.push(Zone {
            tag: tag.to_owned(),
            switched: Switched::Secondary,
        });
    }
    job.fixtures[0].zone = Some(ZoneId(0));
    job
}

#[test]
fn each_zone_and_the_rest_are_looked_at_alone() {
    let mut job = zoned();
    let plan = two_circuits(0, 1);
    let on: Vec<Vec<bool>> = switchings(&job, &plan, FIRST)
        .into_iter()
        .map(|switching| switching.on)
        .collect();
    assert_eq!(on, [[true, true], [true, false], [false, true]]);
    job.zones[0].switched = Switched::Transformer;
    assert_eq!(switchings(&job, &plan, FIRST).len(), 1);
}

/// A row without zones is all on and no more; where each secondary has its zone, nothing is left
/// for "the rest".
#[test]
fn no_switching_is_looked_at_twice_or_with_nothing_on() {
    assert_eq!(switchings(&row(), &chain(), FIRST).len(), 1);
    let mut job = zoned();
    for fixture in &mut job.fixtures[1..] {
        fixture.zone = Some(ZoneId(1));
    }
    let on: Vec<Vec<bool>> = switchings(&job, &two_circuits(0, 1), FIRST)
        .into_iter()
        .map(|switching| switching.on)
        .collect();
    assert_eq!(on, [[true, true], [true, false], [false, true]]);
}

/// F1 alone draws 1 A: V = 12 (1.1 - 0.1 V / 100), V = 13.2 / 1.012; both circuits on draw 3 A
/// and pull it down to 13.2 / 1.036. The high case takes the higher.
#[test]
fn the_high_case_of_a_zone_is_the_zone_alone() {
    let highest = high_case(&zoned(), &two_circuits(0, 1), FIRST).expect("an operating point");
    assert_near(highest.circuits[0].1.source.value(), 13.2 / 1.012);
    // F2 and F3 without a zone draw 2 A alone.
    assert_near(highest.circuits[1].1.source.value(), 13.2 / 1.024);
}

/// Loads count in full and growth of one lamp's current is what remains: 80 VA permitted on
/// 12 V leave 11/3 A, taken 0.3 ohm out, where 11.4 V less 1.1 V remain.
#[test]
fn spare_watts_stop_at_the_first_limit() {
    let advice = advise(&row(), &chain(), CIRCUIT).expect("an operating point");
    let amps = 80.0 / 12.0 - 3.0;
    let watts = amps * (11.4 - 0.3 * amps);
    assert!(
        (advice.spare.value() - watts).abs() < 1e-4,
        "{:?}",
        advice.spare
    );
    assert_eq!(advice.weakest, 2);
}

/// One more lamp lowers each joint by 0.1 V per section: 11.1 V at C, 0.01 V for its lead, and
/// 9 V needed leave 2.09 V for a further piece at 0.01 ohm/m.
#[test]
fn the_longest_extension_ends_at_the_window() {
    let advice = advise(&row(), &chain(), CIRCUIT).expect("an operating point");
    let metres = advice.extension.expect("room for one more lamp").value();
    assert!((metres - 209.0).abs() < 1e-3, "{metres}");
    let mut tight = row();
    tight.rules.margins.low = Volts::new(2.4);
    let none = advise(&tight, &chain(), CIRCUIT).expect("an operating point");
    assert_eq!(none.extension, None);
    assert_near(none.spare.value(), 0.0);
}

#[test]
fn every_allowed_tap_is_tried_with_its_margins() {
    let mut job = row();
    let advice = advise(&job, &chain(), CIRCUIT).expect("an operating point");
    let works: Vec<bool> = advice.taps.iter().map(|tap| tap.works).collect();
    assert_eq!(works, [true, true]);
    let margins = advice.taps[1].margins.expect("an operating point");
    assert_near(margins.above_min.value(), 13.39 - 9.0);
    assert_near(margins.below_max.value(), 15.0 - 13.69);
    // 14 V x 3 A = 42 VA of 41 permitted.
    job.transformers[0].rated = VoltAmperes::new(41.0 / 0.8);
    let advice = advise(&job, &chain(), CIRCUIT).expect("an operating point");
    assert!(advice.taps[0].works && !advice.taps[1].works);
    job.rules.highest_tap = Volts::new(13.0);
    let advice = advise(&job, &chain(), CIRCUIT).expect("an operating point");
    assert_eq!(advice.taps.len(), 1);
}

/// Constant currents collapse when the far lamp is dark, at a millionth of its source: 0.61 V of drop at the
/// present load.
#[test]
fn the_loading_margin_of_constant_currents_ends_at_no_voltage() {
    let advice = advise(&row(), &chain(), CIRCUIT).expect("an operating point");
    let LoadingMargin::Fold { share } = advice.loading_margin else {
        panic!("a constant current cannot be drawn for ever");
    };
    let dark_v = 12.0 * (1.0 - 1e-6);
    assert!((share - (dark_v / 0.61 - 1.0)).abs() < 1e-8, "{share}");
}

#[test]
fn every_limit_is_listed_with_its_use() {
    let mut job = row();
    job.rules.spare.current = Amperes::new(1.0);
    job.rules.spare.fraction = 0.25;
    job.rules.spare.apparent = VoltAmperes::new(5.0);
    assert_near(permitted(&job, VoltAmperes::new(100.0)).value(), 55.0);
    let plan = chain();
    let low = cases::low_case(&job, &plan, FIRST).expect("an operating point");
    let all = limits::low_case_limits(&job, &plan, FIRST, &low);
    let find = |of| {
        all.iter()
            .find(|limit| limit.of == of)
            .expect("listed")
            .amount
    };
    let current = |used, allowed| Amount::Current {
        used: Amperes::new(used),
        allowed: Amperes::new(allowed),
    };
    let near = |found: Amount, wanted: Amount| match (found, wanted) {
        (
            Amount::Current { used, allowed },
            Amount::Current {
                used: wanted,
                allowed: limit,
            },
        ) => {
            assert_near(used.value(), wanted.value());
            assert_near(allowed.value(), limit.value());
        }
        other => panic!("{other:?}"),
    };
    near(
        find(Limited::Piece(CIRCUIT, JointId(1))),
        current(2.0, 20.0),
    );
    near(find(Limited::Circuit(CIRCUIT)), current(3.0, 7.0));
    near(find(Limited::Common(FIRST, 0, 0)), current(3.0, 7.0));
    near(find(Limited::Secondary(FIRST, 0)), current(3.0, 7.0));
    assert!(all.iter().all(|limit| limit.amount.holds()));
}

/// A tap below every window and a window wider than the tap are answers, not errors.
#[test]
fn a_tap_below_every_window_is_answered_with_negative_margins() {
    let mut job = row();
    job.transformers[0].secondaries[0].taps[0].volts = Volts::new(6.0);
    let advice = advise(&job, &chain(), CIRCUIT).expect("an operating point");
    assert_near(advice.margins.above_min.value(), 6.0 - 0.61 - 9.0);
    assert!(!advice.taps[0].works);
    assert_near(advice.spare.value(), 0.0);
    assert_eq!(advice.extension, None);
}
