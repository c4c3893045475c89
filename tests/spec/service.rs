//! Readings and faults on the row of three lamps, worked by hand: 1 A each at any voltage,
//! 0.1 ohm of loop per section, leads of 0.01 ohm.

use crate::assert_near;
use duskwright_solver::ids::PlacedId;
use duskwright_solver::service::circuitry::Circuitry;
use duskwright_solver::service::condition::Condition;
use duskwright_solver::service::diagnose::{Library, Reading, diagnose};
use duskwright_solver::service::fault::{Controls, Element, Fault, Outcome, Spot, afflict};
use duskwright_solver::service::flow::solve;
use duskwright_solver::service::point::{Measurement, Point, Quantity};
use duskwright_solver::service::readings::{Draws, Sheet};
use duskwright_solver::service::uncertainty::Uncertainty;
use duskwright_tests::build::{chain, row, two_commons};

const FIRST: PlacedId = PlacedId(0);

fn read(faults: &[(Fault, f64)], point: Point, quantity: Quantity) -> f64 {
    let (job, plan) = (row(), chain());
    let healthy = Condition::healthy(Circuitry::of(&job, &plan, FIRST), 230.0);
    let Outcome::Stands(stands) = afflict(&job, &plan, &healthy, faults) else {
        panic!("{faults:?} is possible");
    };
    let (condition, state) = *stands;
    condition.reading(&state, Measurement::new(point, quantity))
}

fn near(found: f64, expected: f64) {
    // The stiff source and the leak to earth cost some tens of microvolts.
    assert!((found - expected).abs() < 2e-4, "{found} is not {expected}");
}

#[test]
fn a_sound_row_reads_as_planned() {
    let (job, plan) = (row(), chain());
    let wiring = Circuitry::of(&job, &plan, FIRST);
    let state = solve(&wiring);
    for (joint, expected) in [11.7, 11.5, 11.4].into_iter().enumerate() {
        near(state.across(wiring.runs[0].joints[joint]), expected);
    }
    near(read(&[], Point::HomeRun(0), Quantity::Amps), 3.0);
    near(read(&[], Point::HomeRun(0), Quantity::AmpsCommon), 3.0);
    near(read(&[], Point::Fixture(0, 2), Quantity::Volts), 11.39);
    assert_near(read(&[], Point::Fixture(0, 2), Quantity::Lit), 1.0);
}

/// Behind an open second section nothing stands; the first lamp keeps 12 - 0.1 - 0.01.
#[test]
fn an_open_conductor_leaves_what_is_before_it() {
    let open = [(Fault::Open(Element::Piece(0, 1)), 1.0)];
    near(read(&open, Point::Fixture(0, 0), Quantity::Volts), 11.89);
    near(read(&open, Point::Fixture(0, 1), Quantity::Volts), 0.0);
    near(read(&open, Point::HomeRun(0), Quantity::Amps), 1.0);
}

/// Half an ohm at the second section carries 2 A: another volt is lost behind it.
#[test]
fn a_bad_joint_costs_its_own_drop() {
    let bad = [(Fault::Resistive(Element::Piece(0, 1)), 0.5)];
    near(read(&bad, Point::Fixture(0, 2), Quantity::Volts), 10.39);
    near(read(&bad, Point::Fixture(0, 0), Quantity::Volts), 11.69);
}

/// 0.3 ohm of cable let 40 A into a short at the end: beyond twice any breaker of the row a
/// short trips; held by a resistance of a few ohms it stands and dims the run.
#[test]
fn a_short_trips_or_dims() {
    let (job, plan) = (row(), chain());
    let healthy = Condition::healthy(Circuitry::of(&job, &plan, FIRST), 230.0);
    let hard = [(Fault::ShortHeld(Spot::Joint(0, 0)), 0.001)];
    assert_eq!(afflict(&job, &plan, &healthy, &hard), Outcome::Impossible);
    let soft = [(Fault::ShortHeld(Spot::Joint(0, 2)), 2.0)];
    let dimmed = read(&soft, Point::Fixture(0, 2), Quantity::Volts);
    assert!(dimmed < 11.39 - 1.0, "{dimmed}");
}

fn library_readings(library: &Library<'_>, values: &[f64]) -> Vec<Reading> {
    let reachable = (0..values.len()).filter(|&index| library.reachable[index]);
    reachable
        .map(|measurement| Reading {
            measurement,
            value: values[measurement],
        })
        .collect()
}

#[test]
fn a_diagnosis_names_the_fault_and_calls_a_sound_row_sound() {
    let (job, plan) = (row(), chain());
    let library = Library::of(
        &job,
        &plan,
        FIRST,
        Controls::UNKNOWN,
        &Uncertainty::default(),
    );
    let sound = diagnose(&library, &library_readings(&library, &library.sound));
    assert!(sound.is_sound());
    for fault in [
        (Fault::Open(Element::Piece(0, 2)), 1.0),
        (Fault::TransformerDead, 1.0),
        (Fault::SensorOff, 1.0),
        (Fault::Resistive(Element::Piece(0, 1)), 1.0),
    ] {
        let values = library.simulate(&[fault]).expect("possible");
        let found = diagnose(&library, &library_readings(&library, &values));
        let first = &found.answers[0];
        let named = first
            .causes
            .iter()
            .any(|cause| cause.faults[0].0 == fault.0);
        assert!(named && !first.sound, "{fault:?}: {first:?}");
        // Making safe comes before anything else, whatever the cause.
        assert!(
            first
                .causes
                .iter()
                .all(|cause| cause.remedy[0].starts_with("Switch the transformer off"))
        );
    }
}

/// Lamps of 1 A each: the commons carry 1 A and 2 A as planned, and all 3 A come over one
/// of them when the other circuit's wire is landed there too.
#[test]
fn a_common_overloaded_by_a_wire_moved_is_named() {
    let (job, plan) = two_commons();
    let healthy = Condition::healthy(Circuitry::of(&job, &plan, FIRST), 230.0);
    let carried = |faults: &[(Fault, f64)]| {
        let Outcome::Stands(stands) = afflict(&job, &plan, &healthy, faults) else {
            panic!("{faults:?} is possible");
        };
        let (condition, state) = *stands;
        [0, 1].map(|common| {
            let point = Point::Common(0, common);
            condition.reading(&state, Measurement::new(point, Quantity::Amps))
        })
    };
    let moved = [(Fault::CommonMoved(0, 1), 1.0)];
    for (found, expected) in [(carried(&[]), [1.0, 2.0]), (carried(&moved), [0.0, 3.0])] {
        near(found[0], expected[0]);
        near(found[1], expected[1]);
    }
    let by = Uncertainty::default();
    let library = Library::of(&job, &plan, FIRST, Controls::UNKNOWN, &by);
    let values = library.simulate(&moved).expect("possible");
    let found = diagnose(&library, &library_readings(&library, &values));
    let first = &found.answers[0];
    assert!(!first.sound, "{first:?}");
    let causes = || first.causes.iter();
    assert!(
        causes().any(|cause| cause.faults[0].0 == moved[0].0),
        "{first:?}"
    );
}

#[test]
fn a_pair_of_faults_is_found_where_no_single_one_explains() {
    let (job, plan) = (row(), chain());
    let library = Library::of(
        &job,
        &plan,
        FIRST,
        Controls::UNKNOWN,
        &Uncertainty::default(),
    );
    let pair = [
        (Fault::Dead(0, 0), 1.0),
        (Fault::Resistive(Element::Piece(0, 2)), 2.0),
    ];
    let values = library.simulate(&pair).expect("possible");
    let found = diagnose(&library, &library_readings(&library, &values));
    let first = &found.answers[0];
    assert!(
        first.causes.iter().any(|cause| cause.faults.len() == 2),
        "{first:?}"
    );
}

#[test]
fn few_readings_name_the_next_one() {
    let (job, plan) = (row(), chain());
    let library = Library::of(
        &job,
        &plan,
        FIRST,
        Controls::UNKNOWN,
        &Uncertainty::default(),
    );
    let home = Measurement::new(Point::HomeRun(0), Quantity::Amps);
    let measurement = library.position(home).expect("read at every run");
    let found = diagnose(
        &library,
        &[Reading {
            measurement,
            value: 0.0,
        }],
    );
    assert!(!found.is_sound());
    assert!(found.next.is_some(), "{found:?}");
}

#[test]
fn bands_hold_the_expected_value_and_are_the_same_each_time() {
    let (job, plan) = (row(), chain());
    let draws = Draws {
        count: 60,
        ..Draws::default()
    };
    let sheet = Sheet::of(&job, &plan, &draws);
    assert_eq!(sheet, Sheet::of(&job, &plan, &draws));
    for step in &sheet.steps {
        for row in &step.rows {
            let band = row.band;
            assert!(
                band.low <= band.expected + 1e-9 && band.expected <= band.high + 1e-9,
                "{row:?}"
            );
        }
    }
    // Taps, first fixture, the run, everything.
    assert_eq!(sheet.steps.len(), 4);
}
