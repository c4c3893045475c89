//! Circuits of one transformer pull down one another's voltage.

use duskwright_solver::electrical::source::{Fed, solve};
use duskwright_solver::electrical::{Physics, Supply, Sweep};
use duskwright_tests::feeders::{ladder, unity_load};
use duskwright_tests::random_trees::{Draw, Kind, RandomTree};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    /// The settled terminals satisfy their own equations: `V_src = V_tap (1 + reg (1 - L))`,
    /// `L` = what the circuits draw plus the present load, over the rating.
    #[test]
    fn settled_terminals_satisfy_the_regulation_law(seed: u64, circuits in 1..6_usize) {
        let mut draw = Draw::new(seed);
        let supply = Supply {
            rated_va: draw.between(30.0, 600.0),
            regulation: draw.between(0.0, 0.12),
            present_va: draw.between(0.0, 60.0),
        };
        for physics in [Physics::Arithmetic, Physics::Phasor] {
            let feeders: Vec<_> = (0..circuits)
                .map(|index| {
                    let count = 1 + draw.below(40);
                    RandomTree::draw(seed ^ index as u64, count, Kind::Phasor).feeder(1.0)
                })
                .collect();
            let taps: Vec<f64> = (0..circuits).map(|_| draw.between(11.0, 15.0)).collect();
            let fed: Vec<Fed<'_>> = feeders
                .iter()
                .zip(&taps)
                .map(|(feeder, &tap_v)| Fed { feeder, tap_v })
                .collect();
            let mut sweeps = vec![Sweep::new(); circuits];
            let Ok(terminals) = solve(physics, &supply, &fed, &mut sweeps) else {
                continue;
            };
            let (mut real, mut reactive) = (0.0, 0.0);
            for sweep in &sweeps {
                let (watts, vars) = sweep.source_power();
                real += watts;
                reactive += vars;
            }
            let load = (f64::hypot(real, reactive) + supply.present_va) / supply.rated_va;
            let factor = 1.0 + supply.regulation * (1.0 - load);
            prop_assert!((terminals.voltage_factor - factor).abs() <= 1e-11);
            prop_assert!((terminals.apparent_va - load * supply.rated_va).abs() <= 1e-8);
            for (sweep, tap) in sweeps.iter().zip(&taps) {
                prop_assert!((sweep.volts(0) - tap * factor).abs() <= 1e-9);
            }
        }
    }
}

/// By hand: one 12 V tap of a 100 VA transformer, regulation 5 %, a lamp of 3 ohm at the
/// terminals: V = 12 (1.05 - 0.05 V² / 300), so V² / 500 + V - 12.6 = 0.
#[test]
fn one_resistance_at_the_terminals_is_worked_by_hand() {
    let feeder = ladder(1, 0.0, unity_load(12.0, 6.0, 2.0));
    let supply = Supply {
        rated_va: 100.0,
        regulation: 0.05,
        present_va: 0.0,
    };
    let fed = [Fed {
        feeder: &feeder,
        tap_v: 12.0,
    }];
    let wanted = 250.0 * (-1.0 + (1.0 + 4.0 * 12.6 / 500.0_f64).sqrt());
    for physics in [Physics::Arithmetic, Physics::Phasor] {
        let mut sweeps = [Sweep::new()];
        solve(physics, &supply, &fed, &mut sweeps).expect("an operating point");
        assert!((sweeps[0].volts(0) - wanted).abs() < 1e-9);
    }
}

/// Regulation alone can make a load collapse: 95 % of the fold of a stiff 12 V source is past
/// the fold of one that sags 10 % at the rated load.
#[test]
fn a_sagging_source_collapses_before_a_stiff_one() {
    let fold_w = 144.0 / (4.0 * 0.4);
    let feeder = ladder(1, 0.4, unity_load(0.95 * fold_w, 12.0, 0.0));
    let fed = [Fed {
        feeder: &feeder,
        tap_v: 12.0,
    }];
    let supply = |regulation| Supply {
        rated_va: 60.0,
        regulation,
        present_va: 0.0,
    };
    let mut sweeps = [Sweep::new()];
    assert!(solve(Physics::Arithmetic, &supply(0.0), &fed, &mut sweeps).is_ok());
    assert!(solve(Physics::Arithmetic, &supply(0.1), &fed, &mut sweeps).is_err());
    assert!(solve(Physics::Phasor, &supply(0.1), &fed, &mut sweeps).is_err());
}
