//! The 33-bus and 69-bus radial feeders.
//!
//! M. E. Baran, F. F. Wu, IEEE Trans. Power Delivery 4(2), 1401-1407, 1989 (33 buses) and
//! 4(1), 725-734, 1989 (69 buses); data and solutions (two public copies, solved by a
//! general-purpose library and by a separate sweep) are read in place. Balanced three-phase
//! quantities become one equivalent phase: line voltage with three-phase power.

use duskwright_solver::electrical::{BusLoad, Feeder, Sweep};
use duskwright_tests::reference::reference_rows;

const BASE_V: f64 = 12_660.0;

fn number(cell: &str) -> f64 {
    cell.parse().expect("the reference tables hold numbers")
}

/// A feeder of a reference table; its bus k is bus k - 1 here.
fn feeder(path: &str) -> Option<Feeder> {
    let rows = reference_rows(path)?;
    let mut places = vec![(1.0, 0)];
    let mut feeder = Feeder::new();
    for row in rows {
        let from = places.iter().find(|(bus, _)| *bus == number(&row[1]));
        let parent = from.expect("each branch leaves a bus already fed").1;
        let bus = feeder.add_bus(parent, number(&row[3]), number(&row[4]));
        let load = BusLoad {
            real_w: 1e3 * number(&row[5]),
            reactive_var: 1e3 * number(&row[6]),
            rated_v: BASE_V,
            exponent: 0.0,
        };
        feeder.set_load(bus, load);
        places.push((number(&row[2]), bus));
    }
    // The tables number buses in the order in which branches feed them.
    assert!(places.iter().all(|(bus, place)| *bus == (place + 1) as f64));
    Some(feeder)
}

struct Published {
    branches: &'static str,
    solution: &'static str,
    load_kw: f64,
    loss_kw: f64,
    loss_kvar: f64,
    lowest_bus: usize,
    lowest_pu: f64,
}

fn check(published: &Published) {
    let (Some(feeder), Some(solution)) = (
        feeder(published.branches),
        reference_rows(published.solution),
    ) else {
        return;
    };
    let mut sweep = Sweep::new();
    sweep
        .solve_phasor(&feeder, BASE_V)
        .expect("a published feeder has an operating point");
    for row in &solution {
        let bus = row[0].parse::<usize>().expect("a bus number") - 1;
        let (pu, degrees) = (number(&row[1]), number(&row[2]));
        assert!(
            (sweep.volts(bus) / BASE_V - pu).abs() <= 5.1e-7,
            "bus {}",
            row[0]
        );
        assert!(
            (sweep.angle(bus).to_degrees() - degrees).abs() <= 5.1e-7,
            "bus {}",
            row[0]
        );
    }
    let (watts, _) = sweep.source_power();
    let loss_kw = watts / 1e3 - published.load_kw;
    assert!((loss_kw - published.loss_kw).abs() <= 1e-6, "{loss_kw} kW");
    let reactive: f64 = (1..feeder.bus_count())
        .map(|bus| {
            sweep.branch_amps(bus).powi(2)
                * number(&reference_rows(published.branches).expect("read above")[bus - 1][4])
        })
        .sum();
    assert!((reactive / 1e3 - published.loss_kvar).abs() <= 1e-6);
    let lowest = (0..feeder.bus_count())
        .min_by(|&a, &b| sweep.volts(a).total_cmp(&sweep.volts(b)))
        .expect("a feeder has buses");
    assert_eq!(lowest + 1, published.lowest_bus);
    assert!((sweep.volts(lowest) / BASE_V - published.lowest_pu).abs() <= 5.1e-7);
}

#[test]
fn the_33_bus_feeder_agrees_at_every_bus() {
    check(&Published {
        branches: "feeder33.csv",
        solution: "feeder33-solution.csv",
        load_kw: 3715.0,
        loss_kw: 202.677_126,
        loss_kvar: 135.140_971,
        lowest_bus: 18,
        lowest_pu: 0.913_090,
    });
}

#[test]
fn the_69_bus_feeder_agrees_at_every_bus() {
    check(&Published {
        branches: "feeder69.csv",
        solution: "feeder69-solution.csv",
        load_kw: 3802.1,
        loss_kw: 224.991_694,
        loss_kvar: 102.158_050,
        lowest_bus: 65,
        lowest_pu: 0.909_188,
    });
}

/// The other data set in circulation for the 33-bus feeder: branch 7-8 as 1.7114 + j1.2351 ohm
/// gives 210.998336 kW and 0.903772 pu at bus 18.
#[test]
fn the_33_bus_variant_in_circulation_gives_its_own_losses() {
    let Some(mut feeder) = feeder("feeder33.csv") else {
        return;
    };
    feeder.set_branch(7, 1.7114, 1.2351);
    let mut sweep = Sweep::new();
    sweep
        .solve_phasor(&feeder, BASE_V)
        .expect("an operating point");
    assert!((sweep.source_power().0 / 1e3 - 3715.0 - 210.998_336).abs() <= 1e-6);
    assert!((sweep.volts(17) / BASE_V - 0.903_772).abs() <= 5.1e-7);
}
