//! Ladders and the evenly spread load in closed form.
//!
//! The spread constant-power load obeys `v'' = R P / v`; with Dawson's integral
//! `D(s) = exp(-s²) integral_0^s exp(t²) dt` its end voltage is `V0 exp(-S²)` where
//! `D(S) = sqrt(R P / 2) / V0`. D as in Abramowitz and Stegun, Table 7.5, and NIST DLMF 7.2(ii).

use duskwright_solver::electrical::margin::{LoadingMargin, loading_margin};
use duskwright_solver::electrical::{Feeder, NoSolution, Physics, Sweep};
use duskwright_tests::feeders::{ladder, unity_load};

fn volts(feeder: &Feeder, source_v: f64) -> Vec<f64> {
    let mut sweep = Sweep::new();
    sweep
        .solve_arithmetic(feeder, source_v)
        .expect("an operating point");
    (0..feeder.bus_count())
        .map(|bus| sweep.volts(bus))
        .collect()
}

fn assert_close(found: &[f64], wanted: &[f64], tolerance: f64) {
    assert_eq!(found.len(), wanted.len());
    for (index, (found, wanted)) in found.iter().zip(wanted).enumerate() {
        assert!(
            (found - wanted).abs() <= tolerance,
            "{index}: {found}, {wanted}"
        );
    }
}

/// Dawson's integral by Simpson's rule on 2000 intervals.
fn dawson(s: f64) -> f64 {
    const INTERVALS: u32 = 2000;
    let step = s / f64::from(INTERVALS);
    let integrand = |k: u32| (f64::from(k) * step).powi(2).exp();
    let inner: f64 = (1..INTERVALS)
        .map(|k| integrand(k) * if k % 2 == 1 { 4.0 } else { 2.0 })
        .sum();
    (-s * s).exp() * (integrand(0) + inner + integrand(INTERVALS)) * step / 3.0
}

/// The operating root of `D(S) = value`, below the maximum of D.
fn inverse_dawson(value: f64) -> f64 {
    let (mut low, mut high) = (0.0, DAWSON_MAXIMUM_AT);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if dawson(middle) < value {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

const DAWSON_MAXIMUM_AT: f64 = 0.924_138_873_004_592;
const DAWSON_MAXIMUM: f64 = 0.541_044_224_635_182;

/// N equal lumps of total `watts`, each at the middle of its section of a run of `loop_ohm`.
fn at_mid_sections(lumps: usize, loop_ohm: f64, watts: f64) -> Feeder {
    let count = lumps as f64;
    let mut feeder = ladder(
        lumps,
        loop_ohm / count,
        unity_load(watts / count, 12.0, 0.0),
    );
    feeder.set_branch(1, 0.5 * loop_ohm / count, 0.0);
    feeder
}

#[test]
fn the_ladder_of_constant_currents_is_a_parabola() {
    // V_k = V0 - r i [k N - k (k - 1) / 2]
    let feeder = ladder(10, 0.05, unity_load(0.4 * 12.0, 12.0, 1.0));
    let wanted = [
        12.0, 11.8, 11.62, 11.46, 11.32, 11.2, 11.1, 11.02, 10.96, 10.92, 10.9,
    ];
    assert_close(&volts(&feeder, 12.0), &wanted, 1e-12);
}

#[test]
fn the_ladder_of_constant_resistances_is_a_hyperbolic_cosine() {
    // V_k = V0 cosh((N - k + 1/2) theta) / cosh((N + 1/2) theta), cosh theta = 1 + r / (2 q)
    for (v0, r, q, count) in [
        (12.0, 0.05, 28.8, 10_u32),
        (15.0, 0.1, 22.5, 8),
        (12.0, 1.0, 1.0, 4),
    ] {
        let theta = (1.0_f64 + r / (2.0 * q)).acosh();
        let shape = |k: u32| ((f64::from(count - k) + 0.5) * theta).cosh();
        let wanted: Vec<f64> = (0..=count).map(|k| v0 * shape(k) / shape(0)).collect();
        let feeder = ladder(count as usize, r, unity_load(v0 * v0 / q, v0, 2.0));
        assert_close(&volts(&feeder, v0), &wanted, 1e-12);
    }
}

#[test]
fn equal_resistances_make_fibonacci_numbers() {
    let feeder = ladder(4, 1.0, unity_load(1.0, 1.0, 2.0));
    let wanted = [34.0, 13.0, 5.0, 2.0, 1.0].map(|number| 12.0 * number / 34.0);
    assert_close(&volts(&feeder, 12.0), &wanted, 1e-12);
}

#[test]
fn the_ladder_of_constant_powers_agrees_with_its_computed_table() {
    let feeder = ladder(10, 0.05, unity_load(4.8, 12.0, 0.0));
    let wanted = [
        12.0, 11.784_814, 11.589_993, 11.415_879, 11.262_789, 11.131_008, 11.020_788, 10.932_345,
        10.865_856, 10.821_454, 10.799_230,
    ];
    assert_close(&volts(&feeder, 12.0), &wanted, 5.1e-7);
}

#[test]
fn dawson_has_its_published_maximum() {
    assert!((dawson(DAWSON_MAXIMUM_AT) - DAWSON_MAXIMUM).abs() < 1e-12);
}

/// Source voltage, loop ohms, watts, end voltage of the spread load, and of 5, 10, 20 equal
/// lumps at the ends of equal sections (0 where none exists). Computed independently by
/// shooting and by ladders of 4000 and 8000 sections.
const SPREAD: [(f64, f64, f64, f64, [f64; 3]); 8] = [
    (15.0, 1.188, 100.0, 9.035_782, [0.0, 6.988_838, 8.318_581]),
    (
        15.0,
        0.976_951_8,
        100.0,
        10.713_004,
        [9.121_964, 10.019_771, 10.383_627],
    ),
    (
        12.0,
        0.396,
        60.0,
        10.930_344,
        [10.691_102, 10.812_438, 10.871_789],
    ),
    (
        12.0,
        0.372,
        100.0,
        10.231_988,
        [9.796_662, 10.020_633, 10.127_722],
    ),
    (
        15.0,
        1.256,
        75.0,
        10.933_164,
        [9.524_258, 10.303_838, 10.632_024],
    ),
    (
        24.0,
        1.584,
        150.0,
        17.628_428,
        [15.472_517, 16.657_925, 17.162_920],
    ),
    (
        12.0,
        0.499,
        40.0,
        11.113_666,
        [10.919_685, 11.017_775, 11.065_978],
    ),
    (
        30.0,
        0.8892,
        200.0,
        26.739_844,
        [25.988_693, 26.371_254, 26.557_154],
    ),
];

#[test]
fn ten_hundred_and_a_thousand_lumps_converge_to_the_dawson_form() {
    for (v0, loop_ohm, watts, end_v, _) in SPREAD {
        let s = inverse_dawson((loop_ohm * watts / 2.0).sqrt() / v0);
        let exact = v0 * (-s * s).exp();
        assert!((exact - end_v).abs() <= 5.1e-7, "{exact}, {end_v}");
        // The last lump stands half a section before the end of the run, where the
        // voltage is level: its voltage tends to the end voltage with the square of the section.
        let error = |lumps: usize| {
            let feeder = at_mid_sections(lumps, loop_ohm, watts);
            let found = volts(&feeder, v0);
            (found[lumps] - exact).abs()
        };
        let errors = [error(10), error(100), error(1000)];
        assert!(errors[2] < 1e-4 * v0, "{errors:?}");
        for pair in errors.windows(2) {
            let gain = pair[0] / pair[1];
            assert!((50.0..200.0).contains(&gain), "{errors:?}");
        }
    }
}

#[test]
fn lumps_at_section_ends_agree_with_their_table_or_collapse_as_it_says() {
    for (v0, loop_ohm, watts, _, lumped) in SPREAD {
        for (lumps, end_v) in [5_usize, 10, 20].into_iter().zip(lumped) {
            let count = lumps as f64;
            let feeder = ladder(
                lumps,
                loop_ohm / count,
                unity_load(watts / count, 12.0, 0.0),
            );
            if end_v == 0.0 {
                let outcome = Sweep::new().solve_arithmetic(&feeder, v0);
                assert!(matches!(outcome, Err(NoSolution::Collapse { .. })));
            } else {
                let found = volts(&feeder, v0)[lumps];
                // The second case prints its loop resistance to seven digits.
                assert!((found - end_v).abs() <= 2e-6, "{found}, {end_v}");
            }
        }
    }
}

/// Limits of loading: `V0² / (4 R)` for one lump at the end, `2 Dmax² V0² / R` spread evenly.
#[test]
fn loading_margins_meet_both_folds_in_closed_form() {
    let share = |feeder: &Feeder, v0: f64| match loading_margin(Physics::Arithmetic, feeder, v0)
        .expect("an operating point")
    {
        LoadingMargin::Fold { share } => share,
        LoadingMargin::NoneFound => panic!("constant power always has a fold"),
    };
    for (v0, loop_ohm, watts) in [(15.0, 0.3, 50.0), (12.0, 0.396, 60.0), (24.0, 1.584, 50.0)] {
        let lumped = ladder(1, loop_ohm, unity_load(watts, 12.0, 0.0));
        let limit = v0 * v0 / (4.0 * loop_ohm);
        assert!((share(&lumped, v0) - (limit / watts - 1.0)).abs() <= 1e-8);
        let spread = at_mid_sections(1000, loop_ohm, watts);
        let limit = 2.0 * DAWSON_MAXIMUM * DAWSON_MAXIMUM * v0 * v0 / loop_ohm;
        assert!((share(&spread, v0) - (limit / watts - 1.0)).abs() <= 1e-5 * limit / watts);
    }
}

/// "About 100 W spread along 300 ft of 12-gauge from a 15 V tap stays above 9 V": common
/// practice, no source. With constant power and 75 °C copper (1.98 ohm/kFT) it holds by 36 mV
/// for a perfectly even load, from 7 lamps on if the first stands half a spacing out, for no
/// number below 300 if it stands a full spacing out, and not at all if lumped at the end.
#[test]
fn the_rule_of_a_hundred_watts_along_300_feet_is_judged_exactly() {
    let (v0, loop_ohm, watts) = (15.0, 1.188, 100.0);
    for (lamps, end_v) in [(5, 8.976), (6, 8.995), (7, 9.006), (10, 9.021), (20, 9.032)] {
        let found = volts(&at_mid_sections(lamps, loop_ohm, watts), v0)[lamps];
        assert!((found - end_v).abs() <= 6e-4, "{lamps}: {found}");
    }
    for (lamps, end_v) in [
        (20, 8.319),
        (50, 8.776),
        (100, 8.909),
        (300, 8.994),
        (400, 9.005),
    ] {
        let count = lamps as f64;
        let feeder = ladder(
            lamps,
            loop_ohm / count,
            unity_load(watts / count, 12.0, 0.0),
        );
        let found = volts(&feeder, v0)[lamps];
        assert!((found - end_v).abs() <= 6e-4, "{lamps}: {found}");
    }
    let lumped = ladder(1, loop_ohm, unity_load(watts, 12.0, 0.0));
    let outcome = Sweep::new().solve_arithmetic(&lumped, v0);
    assert_eq!(outcome, Err(NoSolution::Collapse { bus: 1 }));
}
