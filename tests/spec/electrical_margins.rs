//! Borders of the electrical room's answers on the row of three lamps, worked by hand: what
//! still holds, what further lamps and the mains would bear.

use crate::assert_near;
use duskwright_solver::electrical::Conditions;
use duskwright_solver::electrical::advice::advise;
use duskwright_solver::electrical::cases::low_case;
use duskwright_solver::electrical::circuit::CircuitFeeder;
use duskwright_solver::electrical::energy::mains_watts;
use duskwright_solver::electrical::limits::{Amount, Limited, low_case_limits};
use duskwright_solver::electrical::margin::LoadingMargin;
use duskwright_solver::electrical::network::TransformerNetwork;
use duskwright_solver::electrical::short::end_short;
use duskwright_solver::ids::{
    CircuitId, ExistingId, JointId, ModelId, PlacedId, SiteId, TransformerModelId,
};
use duskwright_solver::job::{Existing, Job, LoadExponent, Window};
use duskwright_solver::plan::{Plan, TransformerSource};
use duskwright_solver::units::{Amperes, Ohms, OhmsPerMetre, VoltAmperes, Volts, Watts};
use duskwright_tests::build::{chain, lamp, row, two_circuits, two_commons};

const CIRCUIT: CircuitId = CircuitId(0);

/// At 12 V the far lamp stands 2.39 V above its least, the near one 3.31 V below its highest.
#[test]
fn a_tap_works_to_a_millionth_of_a_volt() {
    let works = |low: f64, high: f64| {
        let mut job = row();
        job.rules.margins.low = Volts::new(low);
        job.rules.margins.high = Volts::new(high);
        let advice = advise(&job, &chain(), CIRCUIT).expect("an operating point");
        (advice.taps[0].works, advice.spare.value() > 0.0)
    };
    assert_eq!(works(2.39 + 0.5e-6, 0.0), (true, true));
    assert_eq!(works(2.39 + 2e-6, 0.0), (false, false));
    assert!(works(0.0, 3.31 + 0.5e-6).0);
    assert!(!works(0.0, 3.31 + 2e-6).0);
}

#[test]
fn a_limit_is_kept_to_a_millionth() {
    let current = |used| Amount::Current {
        used: Amperes::new(used),
        allowed: Amperes::new(20.0),
    };
    let apparent = |used| Amount::Apparent {
        used: VoltAmperes::new(used),
        allowed: VoltAmperes::new(80.0),
    };
    assert!(current(20.0 + 0.5e-6).holds() && apparent(80.0 + 0.5e-6).holds());
    assert!(!current(20.0 + 2e-6).holds() && !apparent(80.0 + 2e-6).holds());
}

/// Constant power of 12 kVA behind 0.2 ohm on 12 V is past every fold (12² / 0.8 = 180 W).
#[test]
fn a_circuit_that_collapses_is_named_though_others_are_off() {
    let mut job = row();
    let mut hopeless = job.models[0].clone();
    hopeless.apparent = VoltAmperes::new(12_000.0);
    hopeless.exponent = LoadExponent::new(0.0).expect("a lawful exponent");
    job.models.push(hopeless);
    job.fixtures[1].model = ModelId(1);
    let plan = two_circuits(0, 1);
    let at = Conditions::low(&job.rules);
    let mut network = TransformerNetwork::new(&job, &plan, PlacedId(0), &at);
    assert!(network.solve(&[true, false]).is_ok());
    for on in [[false, true], [true, true]] {
        let unserved = network.solve(&on).expect_err("past the fold");
        assert_eq!(unserved.circuit, 1, "{on:?}");
    }
}

/// One lamp on the first common, two on the second.
#[test]
fn each_common_carries_its_own_circuits() {
    let (job, plan) = two_commons();
    let low = low_case(&job, &plan, PlacedId(0)).expect("an operating point");
    let used = |common| {
        let of = Limited::Common(PlacedId(0), 0, common);
        let limits = low_case_limits(&job, &plan, PlacedId(0), &low);
        let found = limits.into_iter().find(|limit| limit.of == of);
        match found.expect("listed").amount {
            Amount::Current { used, .. } => used.value(),
            Amount::Apparent { .. } => panic!("a common carries a current"),
        }
    };
    assert_near(used(0), 1.0);
    assert_near(used(1), 2.0);
}

/// A margin of 1 V asks for 10 V at the new lamp: of the 11.1 V at C and 0.01 V for its lead
/// 1.09 V are left, at 0.01 ohm/m.
#[test]
fn an_extension_keeps_the_margin() {
    let mut job = row();
    job.rules.margins.low = Volts::new(1.0);
    let advice = advise(&job, &chain(), CIRCUIT).expect("an operating point");
    let metres = advice.extension.expect("room for one more lamp").value();
    assert!((metres - 109.0).abs() < 1e-3, "{metres}");
}

/// 5 mohm per wire end. With four lamps 12 - 4 x 0.11 - 3 x 0.12 - 2 x 0.12 = 10.96 V at C; two
/// more joints with two wire ends each add 0.02 ohm to the piece, and the lead has
/// 0.01 + 0.01 ohm: 9 V are left behind 1.92 ohm.
#[test]
fn an_extension_pays_for_its_joints() {
    let mut job = row();
    job.joints[0].contact.0 = Ohms::new(0.005);
    let advice = advise(&job, &chain(), CIRCUIT).expect("an operating point");
    let metres = advice.extension.expect("room for one more lamp").value();
    assert!((metres - 192.0).abs() < 1e-3, "{metres}");
}

/// The second circuit drops 0.2 x 2 + 0.1 + 0.01 V to its far lamp, the first 0.11 V.
#[test]
fn advice_is_about_the_circuit_asked_for() {
    for (circuit, drop) in [(0, 0.11), (1, 0.51)] {
        let advice = advise(&row(), &two_circuits(0, 0), CircuitId(circuit));
        let advice = advice.expect("an operating point");
        assert_near(advice.margins.above_min.value(), 3.0 - drop);
        let LoadingMargin::Fold { share } = advice.loading_margin else {
            panic!("a constant current cannot be drawn for ever");
        };
        // Dark, and so without an operating point, is a millionth of the source.
        let dark_v = 12.0 * (1.0 - 1e-6);
        assert!((share - (dark_v / drop - 1.0)).abs() < 1e-7, "{share}");
    }
}

/// The near lamp needs 11 V of its 11.69, the far one 9 V of its 11.39.
#[test]
fn the_weakest_fixture_is_nearest_to_its_own_least_voltage() {
    let mut job = row();
    let mut fussy = lamp("fussy", job.models[0].lead.expect("a lead").cable);
    fussy.window = Window::new(Volts::new(11.0), Volts::new(15.0)).expect("a lawful window");
    job.models.push(fussy);
    job.fixtures[0].model = ModelId(1);
    let advice = advise(&job, &chain(), CIRCUIT).expect("an operating point");
    assert_eq!(advice.weakest, 0);
    assert_near(advice.margins.above_min.value(), 0.69);
}

/// Source, three joints, three lamps.
#[test]
fn buses_of_a_circuit_are_numbered_joints_first() {
    let (job, plan) = (row(), chain());
    let mut built = CircuitFeeder::default();
    built.build(&job, &plan, &plan.circuits[0], &Conditions::low(&job.rules));
    assert_eq!(built.feeder.bus_count(), 7);
    assert_eq!(
        [0, 1, 2].map(|joint| built.joint_bus(JointId(joint))),
        [1, 2, 3]
    );
    assert_eq!([0, 1, 2].map(|lead| built.fixture_bus(lead)), [4, 5, 6]);
    assert_eq!((built.joint_buses(), built.fixture_buses()), (1..4, 4..7));
    assert_eq!([4, 5, 6].map(|bus| built.feeder.parent(bus)), [1, 2, 3]);
}

/// A line at 90 % leaves 10.8 V for the short behind 0.31 ohm.
#[test]
fn a_low_line_makes_a_short_smaller() {
    let mut job = row();
    job.rules.line.low = 0.9;
    let at = Conditions::low(&job.rules);
    assert_near(end_short(&job, &chain(), CIRCUIT, &at).value(), 10.8 / 0.31);
}

/// As much reactance as resistance makes the impedance 0.31 x sqrt(2) ohm.
#[test]
fn reactance_makes_a_short_smaller() {
    let mut job = row();
    for cable in &mut job.cables {
        cable.conductor.reactance = OhmsPerMetre::new(0.005);
    }
    let at = Conditions::low(&job.rules);
    let amps = end_short(&job, &chain(), CIRCUIT, &at).value();
    assert_near(amps, 12.0 / (0.31 * 2.0_f64.sqrt()));
}

/// 36 W at the terminals at an efficiency of 0.9 are 40 W; a new transformer loses 6 W more at no
/// load, one that stands already loses them without the plan.
#[test]
fn the_mains_bear_the_plan_and_what_it_adds() {
    let (mut job, mut plan) = (row(), chain());
    job.transformers[0].efficiency = 0.9;
    job.transformers[0].no_load_loss = Watts::new(6.0);
    let watts = |job: &Job, plan: &Plan| {
        let watts = mains_watts(job, plan);
        watts.expect("an operating point").value()
    };
    assert_near(watts(&job, &plan), 46.0);
    job.existing.push(Existing {
        tag: "old".to_owned(),
        site: SiteId(0),
        model: TransformerModelId(0),
        present_load: vec![VoltAmperes::new(5.0), VoltAmperes::ZERO],
        tap_lugs_used: vec![vec![0, 0], vec![0]],
        common_lugs_used: vec![vec![0], vec![0]],
        zone: None,
    });
    plan.transformers[0].source = TransformerSource::Existing(ExistingId(0));
    assert_near(watts(&job, &plan), 40.0);
}
