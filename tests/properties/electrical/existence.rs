//! Where an operating point exists, and that nothing hangs where none does.

use duskwright_solver::electrical::margin::{LoadingMargin, loading_margin};
use duskwright_solver::electrical::{BusLoad, Feeder, NoSolution, Physics, Sweep};
use duskwright_tests::feeders::{ladder, unity_load};
use duskwright_tests::random_trees::{Kind, RandomTree};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    /// The margin found is the border: solved below, collapsed above.
    #[test]
    fn the_loading_margin_is_the_border_of_existence(seed: u64, count in 1..60_usize) {
        let tree = RandomTree::draw(seed, count, Kind::Falling);
        let margin = loading_margin(Physics::Arithmetic, &tree.feeder(1.0), tree.source_v);
        if let Ok(LoadingMargin::Fold { share }) = margin {
            let mut sweep = Sweep::new();
            let mut at = |factor: f64| sweep.solve_arithmetic(&tree.feeder(factor), tree.source_v);
            prop_assert!(at((1.0 + share) * (1.0 - 1e-6)).is_ok());
            let collapsed = matches!(at((1.0 + share) * (1.0 + 1e-6)), Err(NoSolution::Collapse { .. }));
            prop_assert!(collapsed);
        }
    }

    /// Arithmetic and phasor solutions are one where the power factor is 1 and X is 0.
    #[test]
    fn both_physics_agree_without_reactance(seed: u64, count in 1..200_usize) {
        let tree = RandomTree::draw(seed, count, Kind::Resistive);
        let feeder = tree.feeder(1.0);
        let (mut arithmetic, mut phasor) = (Sweep::new(), Sweep::new());
        let real = arithmetic.solve_arithmetic(&feeder, tree.source_v);
        let complex = phasor.solve_phasor(&feeder, tree.source_v);
        prop_assert_eq!(real.is_ok(), complex.is_ok());
        if real.is_ok() {
            for bus in 0..feeder.bus_count() {
                prop_assert!((arithmetic.volts(bus) - phasor.volts(bus)).abs() <= 1e-10);
                prop_assert!((arithmetic.branch_amps(bus) - phasor.branch_amps(bus)).abs() <= 1e-9);
            }
        }
    }

    /// Where currents do not fall with voltage and X is 0, no bus stands higher in the
    /// arithmetic case than with phasors: magnitudes of phasor sums are at most sums of magnitudes.
    #[test]
    fn the_arithmetic_case_is_the_lower_one(seed: u64, count in 1..100_usize) {
        let mut tree = RandomTree::draw(seed, count, Kind::Phasor);
        for bus in &mut tree.buses {
            bus.reactance_ohm = 0.0;
            bus.load = bus.load.map(|load| BusLoad { exponent: load.exponent.min(1.0), ..load });
        }
        let feeder = tree.feeder(1.0);
        let (mut arithmetic, mut phasor) = (Sweep::new(), Sweep::new());
        if arithmetic.solve_arithmetic(&feeder, tree.source_v).is_ok() {
            phasor.solve_phasor(&feeder, tree.source_v).expect("the lighter case");
            for bus in 0..feeder.bus_count() {
                prop_assert!(arithmetic.volts(bus) <= phasor.volts(bus) + 1e-9);
            }
        }
    }

    /// Absurd numbers give an answer or a reason, and never a hang or a not-a-number.
    #[test]
    fn absurd_numbers_end_with_an_answer_or_a_reason(
        exponents in prop::collection::vec(prop_oneof![0.0..5.0_f64, Just(1e3), Just(1e300), Just(f64::NAN)], 1..6),
        magnitudes in prop::collection::vec(prop_oneof![Just(0.0), Just(1e-308), 0.0..100.0_f64, Just(1e300), Just(f64::INFINITY)], 6),
        ohms in prop::collection::vec(prop_oneof![Just(0.0), Just(5e-324), 0.0..2.0_f64, Just(1e300)], 6),
        source_v in prop_oneof![Just(1e-300), 1.0..40.0_f64, Just(1e300)],
    ) {
        let mut feeder = Feeder::new();
        for (index, exponent) in exponents.iter().enumerate() {
            let bus = feeder.add_bus(index, ohms[index], ohms[5 - index]);
            let load = BusLoad {
                real_w: magnitudes[index],
                reactive_var: magnitudes[5 - index],
                rated_v: 12.0,
                exponent: *exponent,
            };
            feeder.set_load(bus, load);
        }
        let mut sweep = Sweep::new();
        if sweep.solve_arithmetic(&feeder, source_v).is_ok() {
            for bus in 0..feeder.bus_count() {
                prop_assert!(sweep.volts(bus) > 0.0);
            }
        }
        if sweep.solve_phasor(&feeder, source_v).is_ok() {
            for bus in 0..feeder.bus_count() {
                prop_assert!(sweep.volts(bus) > 0.0);
            }
        }
    }
}

/// Zero-length pieces and zero-watt loads are ordinary: no drop, no current.
#[test]
fn zero_lengths_and_zero_watts_are_solved_exactly() {
    let mut sweep = Sweep::new();
    let short = ladder(5, 0.0, unity_load(10.0, 12.0, 0.0));
    sweep.solve_arithmetic(&short, 12.0).expect("no drop");
    assert!((1..6).all(|bus| sweep.volts(bus) == 12.0));
    assert!((sweep.source_amps() - 50.0 / 12.0).abs() < 1e-12);
    let idle = ladder(5, 0.1, unity_load(0.0, 12.0, 0.0));
    sweep.solve_arithmetic(&idle, 12.0).expect("no current");
    assert!((1..6).all(|bus| sweep.volts(bus) == 12.0));
    assert_eq!(sweep.source_amps(), 0.0);
    assert_eq!(
        loading_margin(Physics::Arithmetic, &idle, 12.0),
        Ok(LoadingMargin::NoneFound)
    );
    sweep
        .solve_arithmetic(&Feeder::new(), 12.0)
        .expect("a source alone");
    assert_eq!(sweep.source_power(), (0.0, 0.0));
}
