//! The nodal solution against closed forms, published feeders and its own
//! equations: what it is compared with here shares no code with it.

use duskwright_solver::check::nodal::{Collapse, OperatingPoint, solve};
use duskwright_solver::check::{Bus, Feed, Load, Network, Phasor, Supply};
use duskwright_tests::reference::reference_text;
use proptest::prelude::*;

fn load(va: f64, rated_volts: f64, exponent: f64) -> Load {
    Load {
        rated_power: Phasor::real(va),
        rated_volts,
        exponent,
    }
}

/// `count` equal sections of loop resistance `ohms`, one load at the end of each.
fn ladder(source: f64, ohms: f64, count: usize, each: Load) -> Network {
    Network {
        supply: Supply::STIFF,
        source_volts: vec![source],
        buses: (0..count)
            .map(|k| Bus {
                feed: k.checked_sub(1).map_or(Feed::Source(0), Feed::Bus),
                impedance: Phasor::real(ohms),
                loads: vec![each],
            })
            .collect(),
    }
}

fn solved(network: &Network) -> OperatingPoint {
    solve(network).expect("an operating point")
}

fn assert_volts(point: &OperatingPoint, expected: &[f64], tolerance: f64) {
    for (bus, (found, wanted)) in point.volts.iter().zip(expected).enumerate() {
        let found = found.magnitude();
        assert!(
            (found - wanted).abs() <= tolerance,
            "bus {bus}: {found} V, expected {wanted} V"
        );
    }
}

#[test]
fn one_constant_power_load_takes_the_upper_root_and_collapses_past_the_limit() {
    // v = (V0 + sqrt(V0^2 - 4 R P)) / 2; no solution beyond P = V0^2 / (4 R).
    for (v0, r, p, v) in [
        (15.0, 0.3, 50.0, 13.922_616),
        (12.0, 0.396, 60.0, 9.498_571),
        (24.0, 1.584, 50.0, 20.049_845),
    ] {
        let point = solved(&ladder(v0, r, 1, load(p, 12.0, 0.0)));
        assert_volts(&point, &[v], 1e-6);
        let limit = v0 * v0 / (4.0 * r);
        let near = solved(&ladder(v0, r, 1, load(limit * (1.0 - 1e-6), 12.0, 0.0)));
        // At a margin m below the limit the voltage is V0 (1 + sqrt(m)) / 2.
        assert_volts(&near, &[v0 * (1.0 + 1e-3) / 2.0], 1e-7);
        let Err(Collapse { at_load_share }) =
            solve(&ladder(v0, r, 1, load(limit * 1.01, 12.0, 0.0)))
        else {
            panic!("a number past the fold");
        };
        assert!((at_load_share - 1.0 / 1.01).abs() < 1e-6);
    }
}

#[test]
fn a_constant_current_load_beyond_the_short_circuit_current_collapses() {
    // 12 V behind 1 ohm drives at most 12 A.
    let network = |amps: f64| ladder(12.0, 1.0, 1, load(amps * 12.0, 12.0, 1.0));
    assert_volts(&solved(&network(11.0)), &[1.0], 1e-9);
    assert!(solve(&network(12.5)).is_err());
}

#[test]
fn ladders_follow_their_closed_forms() {
    // Constant current: V_k = V0 - r i (k N - k (k - 1) / 2).
    let (v0, r, i, n) = (12.0, 0.05, 0.4, 10);
    let expected: Vec<f64> = (1..=n)
        .map(|k| v0 - r * i * f64::from(k * n - k * (k - 1) / 2))
        .collect();
    let point = solved(&ladder(v0, r, 10, load(i * 12.0, 12.0, 1.0)));
    assert_volts(&point, &expected, 1e-10);
    // Constant resistance with r = q: V0 times a ratio of Fibonacci numbers.
    let point = solved(&ladder(12.0, 1.0, 4, load(144.0, 12.0, 2.0)));
    let expected = [13.0, 5.0, 2.0, 1.0].map(|f| 12.0 * f / 34.0);
    assert_volts(&point, &expected, 1e-10);
    // Constant power, 4.8 W each: solved by an independent nodal Newton and a circuit simulator.
    let point = solved(&ladder(12.0, 0.05, 10, load(4.8, 12.0, 0.0)));
    let expected = [
        11.784814, 11.589993, 11.415879, 11.262789, 11.131008, 11.020788, 10.932345, 10.865856,
        10.821454, 10.799230,
    ];
    assert_volts(&point, &expected, 1e-6);
}

#[test]
fn the_33_bus_feeder_has_its_published_losses_and_lowest_voltage() {
    // M. E. Baran, F. F. Wu, IEEE Trans. Power Delivery 4(2), 1401-1407, 1989:
    // losses 202.67 kW, lowest voltage 0.9131 pu at bus 18; six digits by two
    // independent programs on the same public data.
    let Some(text) = reference_text("feeder33.csv") else {
        return;
    };
    let rows: Vec<Vec<f64>> = text
        .lines()
        .skip(1)
        .map(|line| {
            line.split(',')
                .map(|x| x.trim().parse().expect("a number"))
                .collect()
        })
        .collect();
    // Line-to-line volts and three-phase powers solve the same equations as one phase.
    let source = 12_660.0;
    let mut position = std::collections::BTreeMap::from([(1, Feed::Source(0))]);
    let mut buses: Vec<Bus> = Vec::new();
    for row in &rows {
        let key = |x: f64| x as i64;
        let feed = position[&key(row[1])];
        position.insert(key(row[2]), Feed::Bus(buses.len()));
        buses.push(Bus {
            feed,
            impedance: Phasor::new(row[3], row[4]),
            loads: vec![Load {
                rated_power: Phasor::new(row[5] * 1e3, row[6] * 1e3),
                rated_volts: source,
                exponent: 0.0,
            }],
        });
    }
    let load_kw: f64 = rows.iter().map(|row| row[5]).sum();
    let point = solved(&Network {
        supply: Supply::STIFF,
        source_volts: vec![source],
        buses,
    });
    let losses = point.terminal_va.re / 1e3 - load_kw;
    assert!((losses - 202.677_126).abs() < 1e-4, "losses {losses} kW");
    let per_unit = |bus: i64| match position[&bus] {
        Feed::Bus(index) => point.volts[index].magnitude() / source,
        Feed::Source(_) => 1.0,
    };
    for (bus, expected) in [
        (18, 0.913_090),
        (33, 0.916_590),
        (25, 0.969_356),
        (22, 0.991_584),
    ] {
        assert!((per_unit(bus) - expected).abs() < 1e-6, "bus {bus}");
    }
}

#[test]
fn regulation_and_a_constant_current_load_have_a_closed_form() {
    // s = 1 + g (1 - (E s i + present) / rated)  =>  s = (1 + g (1 - present / rated)) / (1 + g E i / rated).
    let (e, i, g, rated, present) = (12.0, 10.0, 0.05, 300.0, 40.0);
    let mut network = ladder(e, 0.1, 1, load(i * 12.0, 12.0, 1.0));
    network.supply = Supply {
        regulation: g,
        rated_va: rated,
        present_va: present,
    };
    let s = (1.0 + g * (1.0 - present / rated)) / (1.0 + g * e * i / rated);
    let point = solved(&network);
    assert!((point.source_scale - s).abs() < 1e-12);
    assert_volts(&point, &[e * s - 0.1 * i], 1e-10);
}

#[test]
fn a_bus_without_impedance_stands_at_its_feed() {
    let mut network = ladder(12.0, 0.0, 2, load(24.0, 12.0, 0.0));
    network.buses[1].impedance = Phasor::real(0.5);
    let point = solved(&network);
    // 24 W behind 0.5 ohm: v = (12 + sqrt(144 - 48)) / 2; the other 24 W sit on the source.
    let v = (12.0 + 96.0_f64.sqrt()) / 2.0;
    assert_volts(&point, &[12.0, v], 1e-10);
    assert!((point.branch_amps[0].re - (2.0 + 24.0 / v)).abs() < 1e-9);
}

#[test]
fn two_thousand_buses_are_solved() {
    // Evenly spread constant power: end voltage V0 exp(-S^2), D(S) = sqrt(R P / 2) / V0
    // (Dawson's integral). 2000 sections approach it as 1/N.
    let (v0, p, sections) = (15.0_f64, 100.0, 2000);
    let s: f64 = 0.4;
    let dawson = 0.359_943_481_934_888_1; // D(0.4), Abramowitz & Stegun Table 7.5
    let r = 2.0 * (dawson * v0).powi(2) / p;
    let n = sections as f64;
    let mut network = ladder(v0, r / n, sections, load(p / n, 12.0, 0.0));
    network.buses[0].impedance = Phasor::real(r / n / 2.0);
    let point = solved(&network);
    let end = point.volts[sections - 1].magnitude();
    assert!((end - v0 * (-s * s).exp()).abs() < 1e-4, "{end}");
}

prop_compose! {
    fn any_network()(
        count in 1_usize..40,
    )(
        feeds in prop::collection::vec(any::<prop::sample::Index>(), count),
        ohms in prop::collection::vec((0.0..0.08, 0.0..0.02), count),
        loads in prop::collection::vec((1.0..12.0, 0.0..8.0, 0.0..2.5), count),
        regulation in 0.0..0.1,
        present in 0.0..100.0,
    ) -> Network {
        let buses = (0..loads.len())
            .map(|k| {
                let pick = feeds[k].index(k + 2);
                let (watts, vars, exponent) = loads[k];
                Bus {
                    feed: if pick < 2 { Feed::Source(pick) } else { Feed::Bus(pick - 2) },
                    impedance: Phasor::new(ohms[k].0, ohms[k].1),
                    loads: vec![Load {
                        rated_power: Phasor::new(watts, vars),
                        rated_volts: 12.0,
                        exponent,
                    }],
                }
            })
            .collect();
        Network {
            supply: Supply { regulation, rated_va: 600.0, present_va: present },
            source_volts: vec![12.0, 14.0],
            buses,
        }
    }
}

proptest! {
    /// The operating point satisfies Ohm's and Kirchhoff's laws, the load law and the regulation, each recomputed here.
    #[test]
    fn an_operating_point_satisfies_the_equations(network in any_network()) {
        let Ok(point) = solve(&network) else {
            return Ok(());
        };
        prop_assert!(point.residual_volts < 1e-9, "{}", point.residual_volts);
        let mut drawn = Phasor::ZERO;
        for (bus, &volts) in network.buses.iter().zip(&point.volts) {
            for load in &bus.loads {
                let factor = (volts.magnitude() / load.rated_volts).powf(load.exponent);
                drawn += load.rated_power * factor;
            }
        }
        let lost: Phasor = network
            .buses
            .iter()
            .zip(&point.branch_amps)
            .map(|(bus, amps)| bus.impedance * amps.square())
            .sum();
        prop_assert!((drawn + lost - point.terminal_va).magnitude() < 1e-7);
        let supply = network.supply;
        let level = (point.terminal_va.magnitude() + supply.present_va) / supply.rated_va;
        let scale = 1.0 + supply.regulation * (1.0 - level);
        prop_assert!((scale - point.source_scale).abs() < 1e-10);
    }

    /// More load never helps: every bus of a resistive constant-power network falls.
    #[test]
    fn more_load_lowers_every_voltage(count in 1_usize..20, ohms in 0.001..0.02, va in 1.0..6.0) {
        let less = solve(&ladder(12.0, ohms, count, load(va, 12.0, 0.0)));
        let more = solve(&ladder(12.0, ohms, count, load(va * 1.1, 12.0, 0.0)));
        match (less, more) {
            (Ok(less), Ok(more)) => {
                for (a, b) in less.volts.iter().zip(&more.volts) {
                    prop_assert!(b.magnitude() < a.magnitude());
                }
            }
            (Err(_), Ok(_)) => prop_assert!(false, "less load collapses, more does not"),
            _ => {}
        }
    }
}
