//! Nothing is rejected wrongly: where the classical sweep undershoots, and where it does not.

use duskwright_solver::electrical::{Feeder, NoSolution, Rejected, Sweep};
use duskwright_tests::feeders::{ladder, unity_load};
use duskwright_tests::random_trees::{Kind, RandomTree};
use proptest::prelude::*;

/// Iterates of the classical sweep from the unloaded voltages, lowest voltage of each bus
/// over the iterates; every current is taken from the iterate before.
fn lowest_classical_iterates(tree: &RandomTree, factor: f64, passes: usize) -> Vec<f64> {
    let mut volts = vec![tree.source_v; tree.buses.len() + 1];
    let mut lowest = volts.clone();
    for _ in 0..passes {
        let mut amps = vec![0.0; volts.len()];
        for (index, bus) in tree.buses.iter().enumerate().rev() {
            let here = volts[index + 1];
            let drawn = bus
                .load
                .map_or(0.0, |load| factor * load.apparent_va_at(here) / here);
            amps[index + 1] += drawn;
            amps[bus.parent] += amps[index + 1];
        }
        for (index, bus) in tree.buses.iter().enumerate() {
            volts[index + 1] = volts[bus.parent] - bus.resistance_ohm * amps[index + 1];
            if !(volts[index + 1] > 0.0) {
                return lowest;
            }
            lowest[index + 1] = lowest[index + 1].min(volts[index + 1]);
        }
    }
    lowest
}

/// The loads multiplied so that the weakest bus falls to about `share` of the source, if they can be.
fn heavier(tree: &RandomTree, share: f64) -> f64 {
    let mut factor = 1.0;
    let mut sweep = Sweep::new();
    for _ in 0..60 {
        let feeder = tree.feeder(factor * 1.2);
        if sweep.solve_arithmetic(&feeder, tree.source_v).is_err() {
            break;
        }
        let lowest = (0..feeder.bus_count())
            .map(|bus| sweep.volts(bus))
            .fold(f64::INFINITY, f64::min);
        if lowest < share * tree.source_v {
            break;
        }
        factor *= 1.2;
    }
    factor
}

fn solved(feeder: &Feeder, source_v: f64) -> Vec<f64> {
    let mut sweep = Sweep::new();
    sweep
        .solve_arithmetic(feeder, source_v)
        .expect("the loads were raised only while they could be served");
    (0..feeder.bus_count())
        .map(|bus| sweep.volts(bus))
        .collect()
}

/// Floors that the solution just keeps are accepted, floors it just misses are refused.
fn assert_judged_rightly(feeder: &Feeder, source_v: f64, bus: usize) {
    let volts = solved(feeder, source_v);
    let mut sweep = Sweep::new();
    let mut floors: Vec<f64> = volts.iter().map(|volts| volts - 1e-8).collect();
    let kept = sweep.solve_arithmetic_above(feeder, source_v, &floors);
    assert_eq!(kept, Ok(()), "floors 1e-8 V below the solution");
    floors[bus] = volts[bus] + 1e-8;
    let missed = sweep.solve_arithmetic_above(feeder, source_v, &floors);
    assert!(
        matches!(missed, Err(Rejected::TooLow { .. })),
        "a floor 1e-8 V above the solution at bus {bus}: {missed:?}"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// With every exponent in 0..=1 the classical sweep falls to the solution from above.
    #[test]
    fn classical_iterates_stay_above_the_solution_of_falling_loads(
        seed: u64, count in 1..60_usize, share in 0.5..0.95_f64,
    ) {
        let tree = RandomTree::draw(seed, count, Kind::Falling);
        let factor = heavier(&tree, share);
        let feeder = tree.feeder(factor);
        let volts = solved(&feeder, tree.source_v);
        let lowest = lowest_classical_iterates(&tree, factor, 40);
        for (lowest, volts) in lowest.iter().zip(&volts) {
            prop_assert!(lowest >= &(volts - 1e-9));
        }
        assert_judged_rightly(&feeder, tree.source_v, 1 + (seed % count as u64) as usize);
    }

    /// Outside those exponents nothing is rejected that holds, whatever the iterates do.
    #[test]
    fn nothing_that_holds_is_rejected_with_any_exponent(
        seed: u64, count in 1..60_usize, share in 0.3..0.95_f64,
    ) {
        let tree = RandomTree::draw(seed, count, Kind::Resistive);
        let feeder = tree.feeder(heavier(&tree, share));
        assert_judged_rightly(&feeder, tree.source_v, 1 + (seed % count as u64) as usize);
    }
}

/// The trap itself: with constant resistances the classical sweep undershoots by volts, so an
/// iterate below a floor proves nothing; with rising exponents it does so more often than not.
#[test]
fn classical_iterates_undershoot_outside_the_conditions_yet_nothing_is_rejected() {
    let (count, section_ohm) = (6, 0.1);
    let load = unity_load(24.0, 12.0, 2.0);
    let feeder = ladder(count, section_ohm, load);
    let volts = solved(&feeder, 12.0);
    let current: f64 = count as f64 * load.apparent_va_at(12.0) / 12.0;
    let first_iterate_v = 12.0 - section_ohm * current;
    assert!(
        first_iterate_v < volts[1] - 0.2,
        "{first_iterate_v}, {}",
        volts[1]
    );
    let floors: Vec<f64> = volts.iter().map(|volts| volts - 1e-8).collect();
    let outcome = Sweep::new().solve_arithmetic_above(&feeder, 12.0, &floors);
    assert_eq!(outcome, Ok(()));

    let undershooting = (0..200)
        .filter(|&seed| {
            let tree = RandomTree::draw(seed, 20, Kind::Resistive);
            let factor = heavier(&tree, 0.6);
            let volts = solved(&tree.feeder(factor), tree.source_v);
            let lowest = lowest_classical_iterates(&tree, factor, 40);
            lowest
                .iter()
                .zip(&volts)
                .any(|(lowest, volts)| lowest < &(volts - 0.01))
        })
        .count();
    assert!(undershooting > 20, "{undershooting} of 200");
}

/// The squared-voltage inequality refuses before the first pass where it applies.
#[test]
fn a_hopeless_feeder_of_mixed_exponents_is_refused() {
    let mut feeder = ladder(10, 0.2, unity_load(20.0, 12.0, 0.0));
    feeder.set_load(10, unity_load(20.0, 12.0, 2.0));
    let floors = vec![10.0; feeder.bus_count()];
    let outcome = Sweep::new().solve_arithmetic_above(&feeder, 12.0, &floors);
    assert!(matches!(outcome, Err(Rejected::TooLow { .. })));
    let unasked = vec![0.0; feeder.bus_count()];
    let outcome = Sweep::new().solve_arithmetic_above(&feeder, 12.0, &unasked);
    let collapse = matches!(
        outcome,
        Err(Rejected::NoSolution(NoSolution::Collapse { .. }))
    );
    assert!(collapse, "{outcome:?}");
}
