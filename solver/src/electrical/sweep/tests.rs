//! The sweep against figures worked by hand.

use super::*;
use crate::electrical::specimen::{load_on_12_v, one_load};

fn lumped(power_w: f64, loop_ohm: f64, exponent: f64) -> Feeder {
    one_load((loop_ohm, 0.0), load_on_12_v(power_w, 0.0, exponent))
}

#[test]
fn a_lumped_load_stands_at_the_high_root_and_collapses_past_its_fold() {
    let high_root = |v0: f64, r: f64, p: f64| f64::midpoint(v0, (v0 * v0 - 4.0 * r * p).sqrt());
    let mut sweep = Sweep::new();
    for (v0, r, p) in [(15.0, 0.3, 50.0), (12.0, 0.396, 60.0), (24.0, 1.584, 50.0)] {
        let feeder = lumped(p, r, 0.0);
        sweep.solve_arithmetic(&feeder, v0).expect("below the fold");
        assert!((sweep.volts(1) - high_root(v0, r, p)).abs() < 1e-10);
        sweep.solve_phasor(&feeder, v0).expect("below the fold");
        assert!((sweep.volts(1) - high_root(v0, r, p)).abs() < 1e-10);
        let most = v0 * v0 / (4.0 * r);
        for (share, exists) in [(1.0 - 1e-6, true), (1.0 + 1e-6, false)] {
            let feeder = lumped(most * share, r, 0.0);
            let arithmetic = sweep.solve_arithmetic(&feeder, v0);
            assert_eq!(arithmetic.is_ok(), exists, "{share}: {arithmetic:?}");
            let phasor = sweep.solve_phasor(&feeder, v0);
            assert_eq!(phasor.is_ok(), exists, "{share}: {phasor:?}");
        }
    }
}

#[test]
fn nonsense_is_refused_and_never_hangs() {
    let mut sweep = Sweep::new();
    let bad = [
        (f64::NAN, 1.0),
        (1.0, f64::NAN),
        (1.0, -0.1),
        (-1.0, 1.0),
        (1.0, f64::INFINITY),
    ];
    for (power_w, loop_ohm) in bad {
        let feeder = lumped(power_w, loop_ohm, 0.0);
        let refused = Err(NoSolution::BadInput { bus: 1 });
        assert_eq!(sweep.solve_arithmetic(&feeder, 12.0), refused);
        assert_eq!(sweep.solve_phasor(&feeder, 12.0), refused);
    }
    let fine = lumped(10.0, 0.1, 0.0);
    for source_v in [f64::NAN, 0.0, -12.0, f64::INFINITY] {
        let refused = Err(NoSolution::BadSource);
        assert_eq!(sweep.solve_arithmetic(&fine, source_v), refused);
        assert_eq!(sweep.solve_phasor(&fine, source_v), refused);
    }
    for exponent in [0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 40.0, 1e6] {
        for loop_ohm in [0.0, 1e-300, 1.0, 1e30, f64::MAX] {
            for power_w in [0.0, 1e-300, 10.0, f64::MAX] {
                let feeder = lumped(power_w, loop_ohm, exponent);
                let _ = sweep.solve_arithmetic(&feeder, 12.0);
                let _ = sweep.solve_phasor(&feeder, 12.0);
            }
        }
    }
}

/// By hand, with `P / V` drawn at 12 V: the tangent of the current is `2 P / 12 - P V / 144`,
/// so the first pass ends at `V = (12 - 2 R P / 12) / (1 - R P / 144)`, a little too high.
#[test]
fn a_few_passes_are_newton_steps_from_above() {
    let (ohm, watts) = (0.396, 60.0);
    let feeder = lumped(watts, ohm, 0.0);
    let step = |v: f64| (12.0 - 2.0 * ohm * watts / v) / (1.0 - ohm * watts / (v * v));
    let exact = f64::midpoint(12.0, (144.0_f64 - 4.0 * ohm * watts).sqrt());
    let mut sweep = Sweep::new();
    let mut by_hand = 12.0;
    for passes in 1..=2 {
        by_hand = step(by_hand);
        let approached = sweep.approach_arithmetic(&feeder, 12.0, passes);
        approached.expect("below the fold");
        assert!((sweep.volts(1) - by_hand).abs() < 1e-12);
        assert!(sweep.volts(1) > exact);
        assert_eq!(sweep.passes(), passes);
    }
    // A current that bends down is taken for the resistance it is at the present voltage:
    // 60 VA at 12 V are 2.4 ohm.
    let bent = lumped(watts, ohm, 1.5);
    let approached = sweep.approach_arithmetic(&bent, 12.0, 1);
    approached.expect("no fold");
    assert!((sweep.volts(1) - 12.0 * 2.4 / (2.4 + ohm)).abs() < 1e-12);
    // One that bends up keeps its tangent: 5 A and 5/6 S at 12 V for exponent 3.
    let steep = lumped(watts, ohm, 3.0);
    let approached = sweep.approach_arithmetic(&steep, 12.0, 1);
    approached.expect("no fold");
    let tangent = (12.0 + 5.0 * ohm) / (1.0 + ohm * 5.0 / 6.0);
    assert!((sweep.volts(1) - tangent).abs() < 1e-12);
    // Past the fold a tangent falls below zero at once.
    let past = sweep.approach_arithmetic(&lumped(200.0, ohm, 0.0), 12.0, 1);
    assert_eq!(past, Err(NoSolution::Collapse { bus: 1 }));
}

#[test]
fn passes_are_as_few_as_the_method_promises() {
    let mut sweep = Sweep::new();
    // A current or a resistance is its own tangent.
    for exponent in [1.0, 2.0] {
        let feeder = lumped(60.0, 0.3, exponent);
        sweep.solve_arithmetic(&feeder, 12.0).expect("no fold");
        assert_eq!(sweep.passes(), 1, "exponent {exponent}");
    }
    for (exponent, watts) in [(0.0, 20.0), (0.0, 60.0), (0.5, 60.0), (3.0, 60.0)] {
        let feeder = lumped(watts, 0.3, exponent);
        sweep.solve_arithmetic(&feeder, 12.0).expect("no fold");
        assert!((3..=5).contains(&sweep.passes()), "{}", sweep.passes());
        sweep.solve_phasor(&feeder, 12.0).expect("no fold");
        assert!((3..=5).contains(&sweep.passes()), "{}", sweep.passes());
    }
    // Without a drop one chord and one tangent find nothing to change.
    let feeder = lumped(60.0, 0.0, 1.5);
    sweep.solve_arithmetic(&feeder, 12.0).expect("no fold");
    assert_eq!(sweep.passes(), 2);
    // With one, chords come before tangents: a few more passes.
    let feeder = lumped(60.0, 0.3, 1.5);
    sweep.solve_arithmetic(&feeder, 12.0).expect("no fold");
    assert!((4..=9).contains(&sweep.passes()), "{}", sweep.passes());
}

/// Only a lower source may go on from the last solution; a higher one starts afresh.
#[test]
fn a_source_a_little_lower_is_settled_in_fewer_passes() {
    let feeder = lumped(60.0, 0.396, 0.0);
    let afresh = |source_v| {
        let mut sweep = Sweep::new();
        sweep.solve_arithmetic(&feeder, source_v).expect("no fold");
        (sweep.volts(1), sweep.passes())
    };
    let resumed = |source_v| {
        let mut sweep = Sweep::new();
        sweep.solve_arithmetic(&feeder, 12.0).expect("no fold");
        let outcome = sweep.resume_arithmetic(&feeder, source_v);
        outcome.map(|()| (sweep.volts(1), sweep.passes()))
    };
    let ((lower, fewer), (wanted, passes)) = (resumed(11.999).expect("no fold"), afresh(11.999));
    assert!((lower - wanted).abs() < 1e-10);
    assert!(fewer < passes, "{fewer} passes against {passes}");
    assert_eq!(resumed(13.0), Ok(afresh(13.0)));
    for source_v in [0.0, -12.0, f64::NAN, f64::INFINITY] {
        assert_eq!(resumed(source_v), Err(NoSolution::BadSource));
    }
}

#[test]
fn a_step_is_the_last_where_the_next_would_be_below_a_1e13th_of_the_source() {
    // With no step before, only a step as small as that.
    assert!(is_converged(1.1e-12, f64::INFINITY, 12.0));
    assert!(!is_converged(1.3e-12, f64::INFINITY, 12.0));
    // The next of 1e-3 and 1e-7 is about 1e-15, of 1e-3 and 1e-6 about 1e-12.
    assert!(is_converged(1e-7, 1e-3, 1.0));
    assert!(!is_converged(1e-6, 1e-3, 1.0));
    assert!(is_converged(1e-6, 1e-3, 12.0));
    // Steps that no longer shrink are rounding where they are small, else not.
    assert!(is_converged(9.5e-9, 1e-8, 1.0));
    assert!(is_converged(9.5e-8, 9.5e-8, 12.0));
    assert!(!is_converged(9.5e-8, 1e-7, 1.0));
    assert!(!is_converged(1e-2, 1e-3, 1.0));
}

/// Passes made in a sag of a share of the source when steps after 1e-3 are these.
fn extra_passes(share: f64, steps: &[f64]) -> u32 {
    let mut steps = steps.iter();
    let pass = || Ok(*steps.next().expect("no more passes than steps"));
    exhaust(share * 12.0, 12.0, 1e-3, pass).expect("every pass succeeds")
}

#[test]
fn a_deep_sag_is_passed_until_steps_no_longer_shrink() {
    assert_eq!(extra_passes(0.011, &[]), 0);
    assert_eq!(extra_passes(0.01, &[1e-5, 1e-9, 1e-9]), 3);
    assert_eq!(extra_passes(0.001, &[1e-5, 2e-5]), 2);
    assert_eq!(extra_passes(0.001, &[0.0]), 1);
    let halves: Vec<f64> = (1..=60).map(|times| 1e-3 * 0.5_f64.powi(times)).collect();
    assert_eq!(extra_passes(0.001, &halves), 50);
    let collapse = NoSolution::Collapse { bus: 3 };
    assert_eq!(exhaust(0.0, 12.0, 1.0, || Err(collapse)), Err(collapse));
}

/// 12 var at 12 V, constant current: 1 A at a right angle to the voltage, so that 0.5 ohm of
/// reactance take 0.5 V straight off it.
#[test]
fn a_load_that_only_lags_drops_voltage_over_reactance() {
    let feeder = one_load((0.0, 0.5), load_on_12_v(0.0, 12.0, 1.0));
    let mut sweep = Sweep::new();
    sweep.solve_phasor(&feeder, 12.0).expect("no fold");
    assert!((sweep.volts(1) - 11.5).abs() < 1e-12);
    assert!(sweep.angle(1).abs() < 1e-12);
    let (watts, vars) = sweep.source_power();
    assert!(watts.abs() < 1e-12 && (vars - 12.0).abs() < 1e-12);
}

/// Without resistance the lamp stands at the 12 V of its source.
#[test]
fn a_floor_is_missed_by_more_than_a_billionth_of_a_volt() {
    let mut sweep = Sweep::new();
    for exponent in [0.0, 2.0] {
        let feeder = lumped(60.0, 0.0, exponent);
        for floor in [12.0, 12.0 + 0.5e-9] {
            let kept = sweep.solve_arithmetic_above(&feeder, 12.0, &[0.0, floor]);
            assert_eq!(kept, Ok(()));
        }
        let missed = sweep.solve_arithmetic_above(&feeder, 12.0, &[0.0, 12.0 + 2e-9]);
        assert_eq!(missed, Err(Rejected::TooLow { bus: 1 }));
    }
}
