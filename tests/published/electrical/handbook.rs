//! Printed voltage-drop examples: one load taken as a constant current.
//!
//! `VD = 2 K I L / CM`, K = 12.9 ohm·cmil/ft for copper, L one way: public licence-exam
//! practice and training pages (W1 to W6) and a hobby page (W7).

use duskwright_solver::electrical::Sweep;
use duskwright_tests::feeders::{ladder, unity_load};

const K: f64 = 12.9;

/// Drop that the engine finds over one loop resistance with a constant current.
fn drop_v(source_v: f64, amps: f64, loop_ohm: f64) -> f64 {
    let feeder = ladder(1, loop_ohm, unity_load(source_v * amps, source_v, 1.0));
    let mut sweep = Sweep::new();
    sweep
        .solve_arithmetic(&feeder, source_v)
        .expect("a handbook example has an operating point");
    source_v - sweep.volts(1)
}

fn loop_ohm(feet: f64, circular_mils: f64) -> f64 {
    2.0 * K * feet / circular_mils
}

#[test]
fn printed_drops_are_reproduced() {
    // volts, amperes, feet, circular mils, printed drop, recomputed drop
    let examples = [
        (120.0, 16.0, 70.0, 6_530.0, 4.43, 4.425_11),
        (120.0, 20.0, 100.0, 10_380.0, 4.97, 4.971_10),
        (240.0, 24.0, 150.0, 10_380.0, 8.95, 8.947_98),
        (120.0, 20.0, 100.0, 6_530.0, 7.9, 7.901_99),
        (120.0, 20.0, 100.0, 16_510.0, 3.1, 3.125_38),
    ];
    for (volts, amps, feet, mils, printed, recomputed) in examples {
        let found = drop_v(volts, amps, loop_ohm(feet, mils));
        assert!((found - recomputed).abs() <= 1e-5, "{found}");
        assert!(
            (found - printed).abs() <= 0.026,
            "{found}, printed {printed}"
        );
    }
    // W5: 24 V, 4 A, 100 ft of stranded AWG 16, 4.99 ohm/kFT: 4.0 V, 16.7 % printed.
    let found = drop_v(24.0, 4.0, 2.0 * 0.1 * 4.99);
    assert!((found - 3.992).abs() <= 1e-9);
    // W7: 12 V, 1 A, 20 m of 1.3 mm² at 0.01785 ohm·mm²/m: 0.549 V, 4.58 % printed.
    let found = drop_v(12.0, 1.0, 2.0 * 20.0 * 0.017_85 / 1.3);
    assert!((found - 0.549_23).abs() <= 1e-5);
}

/// W6: 240 V, 40 A, 230 ft, at most 3 % (7.2 V) needs 32 967 circular mils: the next size of
/// Table 8 is AWG 4 (41 740), AWG 6 (26 240) is too thin.
#[test]
fn the_sizing_example_ends_at_the_printed_gauge() {
    let most = 7.2;
    assert!(drop_v(240.0, 40.0, loop_ohm(230.0, 26_240.0)) > most);
    assert!(drop_v(240.0, 40.0, loop_ohm(230.0, 41_740.0)) < most);
    let least = drop_v(240.0, 40.0, loop_ohm(230.0, 32_967.0));
    assert!((least - most).abs() < 1e-4);
}
