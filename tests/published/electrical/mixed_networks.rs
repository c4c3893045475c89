//! Small radial networks of mixed loads, solved elsewhere by a circuit simulator
//! (ngspice 39.3, behavioural current sources), a general-purpose power-flow library
//! (pandapower 3.5.6) and a nodal Newton method (scipy 1.17): they agree to 5e-9 V.
//! Loop resistance = 2 x one-way length x ohm per length; AWG 10, 12, 14, 16 stranded at 75 °C.

use duskwright_solver::electrical::{BusLoad, Feeder, Sweep};
use duskwright_tests::feeders::unity_load;

/// Printed to six places.
const PRINTED_V: f64 = 5.1e-7;

fn radial(branches: &[(usize, f64, f64)]) -> Feeder {
    let mut feeder = Feeder::new();
    for &(parent, resistance_ohm, reactance_ohm) in branches {
        feeder.add_bus(parent, resistance_ohm, reactance_ohm);
    }
    feeder
}

fn power(watts: f64) -> BusLoad {
    unity_load(watts, 12.0, 0.0)
}
fn current(amps: f64) -> BusLoad {
    unity_load(amps, 1.0, 1.0)
}
fn resistance(ohm: f64) -> BusLoad {
    unity_load(ohm.recip(), 1.0, 2.0)
}
fn lagging(watts: f64, power_factor: f64) -> BusLoad {
    BusLoad {
        reactive_var: watts * power_factor.acos().tan(),
        ..power(watts)
    }
}

fn solved(feeder: &Feeder, source_v: f64, volts: &[f64]) -> Sweep {
    let mut sweep = Sweep::new();
    sweep
        .solve_phasor(feeder, source_v)
        .expect("an operating point");
    for (bus, wanted) in volts.iter().enumerate() {
        let found = sweep.volts(bus);
        assert!(
            (found - wanted).abs() <= PRINTED_V,
            "bus {bus}: {found}, {wanted}"
        );
    }
    sweep
}

#[test]
fn constant_power_and_resistance_on_15_volts() {
    let mut feeder = radial(&[
        (0, 0.1488, 0.0),
        (1, 0.0744, 0.0),
        (2, 0.062, 0.0),
        (3, 0.1256, 0.0),
        (4, 0.0942, 0.0),
        (2, 0.2512, 0.0),
        (6, 0.0628, 0.0),
        (1, 0.2198, 0.0),
        (8, 0.1256, 0.0),
        (9, 0.07536, 0.0),
    ]);
    for (bus, load) in [
        (2, power(8.0)),
        (3, resistance(18.0)),
        (4, power(6.0)),
        (5, power(10.0)),
        (6, resistance(24.0)),
        (7, power(12.0)),
        (8, power(4.0)),
        (9, resistance(30.0)),
        (10, power(9.0)),
    ] {
        feeder.set_load(bus, load);
    }
    let volts = [
        15.0, 14.200_124, 13.904_581, 13.784_123, 13.636_280, 13.566_846, 13.539_307, 13.483_416,
        13.891_709, 13.751_638, 13.702_139,
    ];
    let mut sweep = solved(&feeder, 15.0, &volts);
    assert!((sweep.source_amps() - 5.375_509).abs() <= PRINTED_V);
    assert!((sweep.source_power().0 - 80.632_641).abs() <= 1e-6);
    let phasor: Vec<f64> = (0..volts.len()).map(|bus| sweep.volts(bus)).collect();
    sweep
        .solve_arithmetic(&feeder, 15.0)
        .expect("an operating point");
    for (bus, volts) in phasor.iter().enumerate() {
        assert!((sweep.volts(bus) - volts).abs() <= 1e-10, "bus {bus}");
    }
}

#[test]
fn all_three_kinds_of_load_on_13_volts_two_at_one_bus() {
    let mut feeder = radial(&[
        (0, 0.1782, 0.0),
        (1, 0.07128, 0.0),
        (2, 0.21956, 0.0),
        (3, 0.13972, 0.0),
        (2, 0.1188, 0.0),
        (5, 0.15968, 0.0),
        (1, 0.198, 0.0),
        (7, 0.2495, 0.0),
    ]);
    for (bus, load) in [
        (1, resistance(36.0)),
        (2, current(0.35)),
        (3, power(5.0)),
        (4, resistance(40.0)),
        (4, power(3.0)),
        (5, current(0.7)),
        (6, power(7.5)),
        (7, resistance(20.0)),
        (8, current(0.5)),
    ] {
        feeder.add_load(bus, load);
    }
    let volts = [
        13.0, 12.269_663, 12.080_414, 11.867_324, 11.790_589, 11.921_877, 11.820_562, 12.051_355,
        11.926_605,
    ];
    let sweep = solved(&feeder, 13.0, &volts);
    assert!((sweep.source_amps() - 4.098_409).abs() <= PRINTED_V);
    assert!((sweep.source_power().0 - 53.279_320).abs() <= 1e-6);
}

#[test]
fn lagging_loads_behind_reactance_on_12_volts() {
    let mut feeder = radial(&[
        (0, 0.198, 0.0054),
        (1, 0.1188, 0.003_24),
        (2, 0.1256, 0.002_32),
        (1, 0.157, 0.0029),
        (4, 0.0942, 0.001_74),
        (2, 0.113_04, 0.002_088),
    ]);
    for (bus, load) in [
        (2, lagging(9.0, 0.9)),
        (3, lagging(6.0, 0.6)),
        (4, resistance(24.0)),
        (5, lagging(12.0, 0.75)),
        (6, lagging(7.0, 0.95)),
    ] {
        feeder.set_load(bus, load);
    }
    let volts = [
        12.0, 11.266_200, 11.022_066, 10.951_185, 11.016_493, 10.910_839, 10.949_337,
    ];
    let degrees = [
        0.0, 2.028_574, 2.799_202, 3.269_556, 2.772_787, 3.238_044, 2.915_739,
    ];
    let sweep = solved(&feeder, 12.0, &volts);
    for (bus, wanted) in degrees.iter().enumerate() {
        assert!(
            (sweep.angle(bus).to_degrees() - wanted).abs() <= PRINTED_V,
            "bus {bus}"
        );
    }
    assert!((sweep.source_amps() - 4.247_800).abs() <= PRINTED_V);
    let (watts, vars) = sweep.source_power();
    assert!((watts - 44.208_577).abs() <= 1e-6 && (vars - 25.375_373).abs() <= 1e-6);
}
