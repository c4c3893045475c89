//! The transformer as a source: all its circuits pull down one another's voltage
//! through regulation.

use super::feeder::Feeder;
use super::sweep::{NoSolution, Sweep};

/// How loads add up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Physics {
    /// Apparent powers as if all at unity power factor, no reactance.
    Arithmetic,
    /// Phasors.
    Phasor,
}

/// A transformer as its circuits see it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// Rated apparent power, VA, > 0.
    pub rated_va: f64,
    /// Regulation, >= 0: a tap stands at `tap_v (1 + regulation (1 - L))`.
    pub regulation: f64,
    /// Load on the terminals besides the circuits, VA, >= 0; its VA are added to `L` as they are.
    pub present_va: f64,
}

/// A circuit on a tap.
#[derive(Clone, Copy, Debug)]
pub struct Fed<'a> {
    /// The circuit.
    pub feeder: &'a Feeder,
    /// Tap voltage at rated load, line factor included, V, > 0.
    pub tap_v: f64,
}

/// The settled transformer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terminals {
    /// Apparent power of everything on the terminals, VA: the sum of VA (arithmetic),
    /// or the magnitude of the complex sum (phasor), plus the present load.
    pub apparent_va: f64,
    /// Tap voltages are multiplied by this.
    pub voltage_factor: f64,
}

/// The circuits of a transformer have no common operating point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("circuit {circuit} of the transformer: {reason}")]
pub struct Unserved {
    /// Position of the circuit.
    pub circuit: usize,
    /// Why.
    #[source]
    pub reason: NoSolution,
}

/// Changes of the voltage factor below this are none: 1e-12 V at 15 V.
const FACTOR_SETTLED: f64 = 1e-13;
/// Most rounds before giving up.
const MOST_ROUNDS: u32 = 200;
/// Smallest advance of the load fraction that is still tried when circuits collapse.
const LEAST_ADVANCE: f64 = 1e-12;

/// Solves all circuits of a transformer together; the results stay in `sweeps`, by circuit.
///
/// The unknown is the load fraction `L`; `g(L)` is the fraction that the circuits draw
/// with their taps at `L`. The search starts at the lightest load, where every voltage is
/// highest, and advances by secants of `g(L) - L`: for constant-power loads `g` is convex
/// and rising, secants from the left never pass its first crossing, and every round
/// bounds the voltages from above. If an advance makes a circuit collapse it is halved;
/// when nothing is left of it, there is no operating point.
///
/// # Errors
/// [`Unserved`]; input out of range is reported as in [`Sweep::solve_arithmetic`].
/// # Panics
/// When there are fewer sweeps than circuits.
pub fn solve(
    physics: Physics,
    supply: &Supply,
    circuits: &[Fed<'_>],
    sweeps: &mut [Sweep],
) -> Result<Terminals, Unserved> {
    assert!(sweeps.len() >= circuits.len(), "one sweep per circuit");
    let mut load = supply.present_va / supply.rated_va;
    let mut drawn = drawn_fraction(physics, supply, load, circuits, sweeps, false)?;
    let mut before: Option<(f64, f64)> = None;
    for _ in 0..MOST_ROUNDS {
        if ((drawn - load) * supply.regulation).abs() <= FACTOR_SETTLED {
            return Ok(Terminals {
                apparent_va: drawn * supply.rated_va,
                voltage_factor: supply.voltage_factor(load),
            });
        }
        let mut advance = (drawn - load) / (1.0 - slope(before, load, drawn));
        before = Some((load, drawn));
        let mut resume = advance >= 0.0;
        (load, drawn) = loop {
            let tried = load + advance;
            match drawn_fraction(physics, supply, tried, circuits, sweeps, resume) {
                Ok(drawn) => break (tried, drawn),
                Err(unserved) if advance.abs() < LEAST_ADVANCE => return Err(unserved),
                Err(_) => (advance, resume) = (0.5 * advance, false),
            }
        };
    }
    Err(Unserved {
        circuit: 0,
        reason: NoSolution::PassLimit {
            passes: MOST_ROUNDS,
        },
    })
}

impl Supply {
    /// Factor on every tap voltage at a load fraction.
    #[must_use]
    pub fn voltage_factor(&self, load_fraction: f64) -> f64 {
        1.0 + self.regulation * (1.0 - load_fraction)
    }
}

/// Secant slope of `g`, kept below 1 so that the search goes on upward.
fn slope(before: Option<(f64, f64)>, load: f64, drawn: f64) -> f64 {
    const STEEPEST: f64 = 0.999;
    match before {
        Some((last_load, last_drawn)) if last_load != load => {
            ((drawn - last_drawn) / (load - last_load)).min(STEEPEST)
        }
        _ => 0.0,
    }
}

fn drawn_fraction(
    physics: Physics,
    supply: &Supply,
    load: f64,
    circuits: &[Fed<'_>],
    sweeps: &mut [Sweep],
    resume: bool,
) -> Result<f64, Unserved> {
    let factor = supply.voltage_factor(load);
    let (mut real, mut reactive) = (0.0, 0.0);
    for (index, (fed, sweep)) in circuits.iter().zip(sweeps).enumerate() {
        let source_v = fed.tap_v * factor;
        let solved = match (physics, resume) {
            (Physics::Arithmetic, true) => sweep.resume_arithmetic(fed.feeder, source_v),
            (Physics::Arithmetic, false) => sweep.solve_arithmetic(fed.feeder, source_v),
            (Physics::Phasor, _) => sweep.solve_phasor(fed.feeder, source_v),
        };
        solved.map_err(|reason| Unserved {
            circuit: index,
            reason,
        })?;
        let (watts, vars) = sweep.source_power();
        real += watts;
        reactive += vars;
    }
    Ok((real.hypot(reactive) + supply.present_va) / supply.rated_va)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::electrical::specimen::{load_on_12_v, one_load};

    const BOTH: [Physics; 2] = [Physics::Arithmetic, Physics::Phasor];

    /// One lamp behind a resistance: constant power (exponent 0), or a resistance (exponent 2).
    fn lamp(watts: f64, ohm: f64, exponent: f64) -> Feeder {
        one_load((ohm, 0.0), load_on_12_v(watts, 0.0, exponent))
    }

    fn on_12_volts(feeder: &Feeder) -> Fed<'_> {
        Fed {
            feeder,
            tap_v: 12.0,
        }
    }

    /// Constant power P behind R on a 12 V tap that sags by a tenth at 100 VA. With the current I,
    /// the terminals stand at `P/I + R I` and deliver `P + R I²`, so
    /// `P (1/I + k) = 13.2 - R I - k R I²` with `k = 12 x 0.1 / 100`. P is largest at the fold
    /// current, and I is the current of the operating point for any P on this side of it.
    fn watts_at(amps: f64) -> f64 {
        (13.2 - OHM * amps - SAG * OHM * amps * amps) / (amps.recip() + SAG)
    }
    const OHM: f64 = 0.4;
    const SAG: f64 = 0.012;

    /// Where the derivative of [`watts_at`] is zero, by bisection.
    fn fold_amps() -> f64 {
        let (mut low, mut high) = (1.0, 33.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            // d/dI [N(I) / D(I)] has the sign of N' D - N D'.
            let (n, d) = (
                13.2 - OHM * middle - SAG * OHM * middle * middle,
                middle.recip() + SAG,
            );
            let (dn, dd) = (-OHM - 2.0 * SAG * OHM * middle, -(middle * middle).recip());
            if dn * d - n * dd > 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }

    #[test]
    fn a_sagging_transformer_settles_up_to_its_fold_and_no_further() {
        let supply = Supply {
            rated_va: 100.0,
            regulation: 0.1,
            present_va: 0.0,
        };
        for physics in BOTH {
            let mut sweeps = [Sweep::new()];
            for share in [0.1, 0.5, 0.9, 0.99, 0.999] {
                let amps = share * fold_amps();
                let watts = watts_at(amps);
                let feeder = lamp(watts, OHM, 0.0);
                let settled = solve(physics, &supply, &[on_12_volts(&feeder)], &mut sweeps);
                let terminals = settled.expect("short of the fold");
                let delivered = watts + OHM * amps * amps;
                assert!(
                    (terminals.apparent_va - delivered).abs() < 1e-6,
                    "{physics:?}, {share}: {terminals:?} against {delivered} VA"
                );
                assert!((sweeps[0].source_amps() - amps).abs() < 1e-6);
            }
            let feeder = lamp(watts_at(fold_amps()) * (1.0 + 1e-6), OHM, 0.0);
            let past = solve(physics, &supply, &[on_12_volts(&feeder)], &mut sweeps);
            let unserved = past.expect_err("past the fold");
            assert_eq!(unserved.reason, NoSolution::Collapse { bus: 1 });
        }
    }

    /// A heavy resistance draws most before the voltage falls: going straight to what it draws
    /// there would take the second circuit past its fold, though at the 12 V where both settle
    /// it still holds. With P behind R at 12 V: `I = (12 - sqrt(144 - 4 R P)) / 2 R`, and the
    /// rating is chosen so that the terminals settle at 12 V, rated load.
    #[test]
    fn a_circuit_near_its_fold_is_reached_in_smaller_steps() {
        let fold_w = 144.0 / (4.0 * OHM);
        let watts = 0.99 * fold_w;
        let amps = (12.0 - (144.0 - 4.0 * OHM * watts).sqrt()) / (2.0 * OHM);
        let resistive_va = 400.0;
        let supply = Supply {
            rated_va: resistive_va + 12.0 * amps,
            regulation: 0.5,
            present_va: 0.0,
        };
        let (heavy, near) = (lamp(resistive_va, 0.0, 2.0), lamp(watts, OHM, 0.0));
        let fed = [on_12_volts(&heavy), on_12_volts(&near)];
        for physics in BOTH {
            let mut sweeps = [Sweep::new(), Sweep::new()];
            let terminals = solve(physics, &supply, &fed, &mut sweeps).expect("an operating point");
            assert!((terminals.voltage_factor - 1.0).abs() < 1e-9, "{physics:?}");
            assert!((sweeps[1].source_amps() - amps).abs() < 1e-6);
            // A little more than the fold at 12 V, and the second circuit is named.
            let over = lamp(1.2 * fold_w, OHM, 0.0);
            let fed = [on_12_volts(&heavy), on_12_volts(&over)];
            let unserved = solve(physics, &supply, &fed, &mut sweeps).expect_err("too much");
            assert_eq!(
                unserved,
                Unserved {
                    circuit: 1,
                    reason: NoSolution::Collapse { bus: 1 }
                }
            );
        }
    }
}
