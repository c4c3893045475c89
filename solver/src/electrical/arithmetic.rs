//! Passes of the arithmetic case: every load at unity power factor and its VA, no reactance.
//!
//! # Method
//! Each pass replaces every load by its Norton equivalent at the voltages of the
//! previous pass, gathers currents and incremental conductances from the ends to
//! the source (backward), and sets the voltages from the source to the ends
//! (forward). Both halves cost one step per bus; the whole pass is one Newton step
//! on the feeder, solved exactly in O(buses) because the feeder is a tree. The
//! classical sweep (D. Shirmohammadi, H. W. Hong, A. Semlyen, G. X. Luo, IEEE
//! Trans. Power Systems 3(2), 1988; from memory) keeps the currents of the
//! previous pass and forgets how they answer to voltage: it slows down near the
//! fold and diverges with heavy constant-resistance loads; this one does neither.
//!
//! # Monotone fall (arithmetic case)
//! Let `Y` be the nodal conductance matrix of the resistive tree without its source
//! bus, `f_k(v_k) >= 0` the current of the loads at bus `k`, and
//! `F(v) = Y v + f(v) - b` with `b >= 0` the source injection; buses joined by no
//! resistance count as one. `Y` is a nonsingular symmetric M-matrix. A solution is `F(v) = 0`, `v > 0`; let `w` be any.
//! Suppose `v >= w` and `F(v) >= 0`; this holds at the start, `v` = source voltage
//! everywhere: there `F(v) = f(v) >= 0`, and `w <= V_src` since every current flows
//! outward. A load with `n <= 1` or `n >= 2` has a convex current `a v^(n-1)` and is
//! replaced by its tangent at `v`; a load with `1 < n < 2` has a concave current with
//! `f(0) = 0` and is replaced by the chord from 0 to `v`. On `[0, v]` both lie on or
//! below the true current, so with `D` the slopes and `v'` the next iterate,
//! `(Y + D)(w - v') <= F(w) = 0`. If `Y + D` is an M-matrix its inverse is nonnegative
//! and `w <= v'`; and `(Y + D)(v' - v) = -F(v) <= 0` gives `v' <= v`. Tangent and chord
//! below the current at `v'` give `F(v') >= 0`, so the induction goes on.
//! `Y + D` has nonpositive off-diagonals, hence is an M-matrix exactly when all pivots of
//! its elimination are positive; the pivots of the backward half are `1 + r g`, `g` the
//! gathered slope, times positive numbers. If a solution `w <= v` exists they are all
//! positive: tangents and chords touch the current at `v` and lie on or below it at `w`,
//! so `(Y + D)(v - w) >= F(v) - F(w) = F(v) >= 0` with `v - w >= 0`; where `v - w` is 0 at
//! one bus, the row of that bus makes it 0 at the neighbours and so on the whole connected
//! part, which is then solved; elsewhere `v - w > 0`, and a matrix of this sign pattern that
//! carries a positive vector to a nonnegative, nonzero one is a nonsingular M-matrix.
//! Hence iterates bound the highest solution from above and fall to it, and a pivot or
//! voltage `<= 0` proves that there is no solution. (At the fold itself, where the loading
//! margin is 0, rounding decides.)
//!
//! # Incandescent exponents
//! Chords (`1 < n < 2`) converge only linearly. After a few passes they have done their
//! part, and tangents take over for all loads: quadratic, but no bound from above any more.
//! If that fails the loads are raised from zero along the branch that grows out of the
//! unloaded feeder ([`super::continuation`]), which decides on existence there.
//!
//! # Early rejection
//! An iterate below a window is taken as proof only where every exponent lies in `0..=1`, the
//! condition under which the classical sweep has the same property; elsewhere
//! [`super::Sweep::solve_arithmetic_above`] uses the squared-voltage inequality before the
//! first pass, and otherwise the finished solution.

use super::continuation::follow_branch;
use super::feeder::Feeder;
use super::load::PowerLaw;
use super::sweep::{NoSolution, exhaust, failure, is_converged};

/// Most passes before a solution is given up with [`NoSolution::PassLimit`].
const MOST_PASSES: u32 = 200;
/// Passes with chords before tangents take over.
const CHORD_PASSES: u32 = 6;
/// Step, as a share of the source voltage, at which tangents take over earlier.
const CHORDS_DONE: f64 = 1e-3;

/// What a bus carries through an arithmetic pass.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct ArithmeticBus {
    /// Voltage, V.
    pub volts: f64,
    /// Norton current of everything at and below the bus, A.
    pub amps: f64,
    /// Slope of that current in the voltage of the bus, S.
    pub siemens: f64,
    /// `volts = share * parent volts - drop`.
    share: f64,
    /// See `share`, V.
    pub drop: f64,
}

impl ArithmeticBus {
    /// Current of everything at and below the bus, A.
    pub(super) fn branch_amps(&self) -> f64 {
        self.amps + self.siemens * self.volts
    }
}

/// Norton equivalents of loads with a concave current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Concave {
    /// From the origin through the present point: never above the current below it.
    Chord,
    /// Along the current.
    Tangent,
}

/// Sets every bus to the source voltage.
pub(super) fn flatten(buses: &mut Vec<ArithmeticBus>, count: usize, source_v: f64) {
    let flat = ArithmeticBus {
        volts: source_v,
        ..ArithmeticBus::default()
    };
    buses.clear();
    buses.resize(count, flat);
}

/// Makes a few passes and no more.
pub(super) fn approach(
    buses: &mut [ArithmeticBus],
    feeder: &Feeder,
    passes: u32,
) -> Result<(), NoSolution> {
    for _ in 0..passes {
        pass(buses, feeder, Concave::Chord)?;
    }
    Ok(())
}

/// What ended a descent early.
pub(super) enum Stopped {
    /// `too_low` named this bus.
    TooLow(usize),
    /// No solution.
    NoSolution(NoSolution),
}

impl From<NoSolution> for Stopped {
    fn from(reason: NoSolution) -> Self {
        Self::NoSolution(reason)
    }
}

/// Passes down to the solution, or until `too_low` names a bus; returns how many.
///
/// `buses` start at or above the highest solution with `F >= 0` (flat, or a solution at a
/// higher source voltage).
#[inline]
pub(super) fn descend(
    buses: &mut [ArithmeticBus],
    feeder: &Feeder,
    source_v: f64,
    too_low: impl Fn(&[ArithmeticBus]) -> Option<usize>,
) -> Result<u32, Stopped> {
    let mut last = f64::INFINITY;
    for count in 1..=MOST_PASSES {
        let step = pass(buses, feeder, Concave::Tangent)?;
        if let Some(bus) = too_low(buses) {
            return Err(Stopped::TooLow(bus));
        }
        if feeder.is_linear {
            return Ok(count);
        }
        if is_converged(step, last, source_v) {
            let lowest_v = buses.iter().map(|bus| bus.volts).fold(source_v, f64::min);
            let more = exhaust(lowest_v, source_v, step, || {
                pass(buses, feeder, Concave::Tangent)
            })?;
            return Ok(count + more);
        }
        last = step;
    }
    Err(Stopped::NoSolution(NoSolution::PassLimit {
        passes: MOST_PASSES,
    }))
}

/// Solves a feeder that has exponents between 1 and 2; returns the passes made.
pub(super) fn solve_concave(
    buses: &mut Vec<ArithmeticBus>,
    scaled: &mut Feeder,
    feeder: &Feeder,
    source_v: f64,
) -> Result<u32, NoSolution> {
    let mut passes = 0;
    while passes < CHORD_PASSES {
        passes += 1;
        if pass(buses, feeder, Concave::Chord)? <= CHORDS_DONE * source_v {
            break;
        }
    }
    let settle = |buses: &mut [ArithmeticBus], feeder: &Feeder| {
        descend(buses, feeder, source_v, |_| None).map_err(|stopped| match stopped {
            Stopped::NoSolution(reason) => reason,
            Stopped::TooLow(bus) => NoSolution::Collapse { bus },
        })
    };
    if let Ok(more) = settle(buses, feeder) {
        return Ok(passes + more);
    }
    flatten(buses, feeder.bus_count(), source_v);
    let more = follow_branch(buses, scaled, feeder, settle)?;
    Ok(passes + more)
}

/// Replaces every load by its Norton equivalent at the present voltage of its bus.
#[inline]
fn linearise(buses: &mut [ArithmeticBus], feeder: &Feeder, concave: Concave) {
    for (bus, load) in buses.iter_mut().zip(&feeder.loads) {
        let [power_va, amps, siemens] = load.apparent;
        let per_volt = bus.volts.recip();
        let power_amps = power_va * per_volt;
        bus.amps = 2.0 * power_amps + amps;
        bus.siemens = siemens - power_amps * per_volt;
    }
    for law in &feeder.power_laws {
        let bus = &mut buses[law.bus as usize];
        let amps = law.amps(bus.volts);
        if concave == Concave::Chord && PowerLaw::is_concave(law) {
            bus.siemens += amps / bus.volts;
        } else {
            bus.amps += (2.0 - law.exponent) * amps;
            bus.siemens += (law.exponent - 1.0) * amps / bus.volts;
        }
    }
}

/// One backward and one forward half; returns the largest change of a voltage, V.
#[inline]
fn pass(buses: &mut [ArithmeticBus], feeder: &Feeder, concave: Concave) -> Result<f64, NoSolution> {
    linearise(buses, feeder, concave);
    let branches = &feeder.branches[..buses.len()];
    for (index, branch) in branches.iter().enumerate().skip(1).rev() {
        let bus = buses[index];
        let pivot = 1.0 + branch.resistance_ohm * bus.siemens;
        if pivot.is_nan() || pivot <= 0.0 {
            return Err(failure(index, pivot));
        }
        let share = pivot.recip();
        let amps = bus.amps * share;
        buses[index].share = share;
        buses[index].drop = branch.resistance_ohm * amps;
        let parent = &mut buses[branch.parent as usize];
        parent.amps += amps;
        parent.siemens += bus.siemens * share;
    }
    let mut largest_step: f64 = 0.0;
    for (index, branch) in branches.iter().enumerate().skip(1) {
        let parent_v = buses[branch.parent as usize].volts;
        let bus = &mut buses[index];
        let volts = bus.share * parent_v - bus.drop;
        if volts.is_nan() || volts <= 0.0 {
            return Err(failure(index, volts));
        }
        largest_step = largest_step.max((bus.volts - volts).abs());
        bus.volts = volts;
    }
    Ok(largest_step)
}

/// First bus whose floor the squared-voltage inequality shows to be out of reach.
///
/// Uses the workspace: `siemens` holds watts below, `drop` squared volts.
pub(super) fn squared_voltage_bound(
    buses: &mut [ArithmeticBus],
    feeder: &Feeder,
    source_v: f64,
    floor_v: &[f64],
    tolerance_v: f64,
) -> Option<usize> {
    for ((bus, load), floor) in buses.iter_mut().zip(&feeder.loads).zip(floor_v) {
        let [power, amps, siemens] = load.apparent;
        bus.siemens = power + floor * (amps + floor * siemens);
    }
    for law in &feeder.power_laws {
        let floor = floor_v[law.bus as usize];
        if floor > 0.0 {
            buses[law.bus as usize].siemens += floor * law.amps(floor);
        }
    }
    for (index, branch) in feeder.branches.iter().enumerate().skip(1).rev() {
        buses[branch.parent as usize].siemens += buses[index].siemens;
    }
    buses[0].drop = source_v * source_v;
    for (index, branch) in feeder.branches.iter().enumerate().skip(1) {
        let bound =
            buses[branch.parent as usize].drop - 2.0 * branch.resistance_ohm * buses[index].siemens;
        buses[index].drop = bound;
        let floor = floor_v[index] - tolerance_v;
        if floor > 0.0 && bound < floor * floor {
            return Some(index);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::electrical::BusLoad;

    fn load(apparent_va: f64, exponent: f64) -> BusLoad {
        BusLoad {
            real_w: apparent_va,
            reactive_var: 0.0,
            rated_v: 12.0,
            exponent,
        }
    }

    /// Two sections. At 10 V the first bus draws 20 + 12 (10/12) + 14.4 (10/12)² = 40 VA, at 8 V
    /// the second 27 (8/12)³ = 8 VA: with R in each section V1² is at most 144 - 96 R, and V2²
    /// 16 R less.
    fn two_sections(ohm: f64) -> Feeder {
        let mut feeder = Feeder::new();
        let first = feeder.add_bus(0, ohm, 0.0);
        let second = feeder.add_bus(first, ohm, 0.0);
        for (apparent_va, exponent) in [(20.0, 0.0), (12.0, 1.0), (14.4, 2.0)] {
            feeder.add_load(first, load(apparent_va, exponent));
        }
        feeder.add_load(second, load(27.0, 3.0));
        feeder
    }

    fn bound(feeder: &Feeder, floor_v: &[f64]) -> (Option<usize>, Vec<f64>) {
        let mut buses = Vec::new();
        flatten(&mut buses, feeder.bus_count(), 12.0);
        let found = squared_voltage_bound(&mut buses, feeder, 12.0, floor_v, 1e-9);
        (found, buses.iter().map(|bus| bus.drop).collect())
    }

    #[test]
    fn squared_voltages_fall_by_twice_the_resistance_times_the_power_below() {
        let (found, squares) = bound(&two_sections(0.1), &[0.0, 10.0, 8.0]);
        assert_eq!(found, None);
        for (found, expected) in squares.iter().zip([144.0, 134.4, 132.8]) {
            assert!((found - expected).abs() < 1e-9, "{squares:?}");
        }
        // Where no voltage is asked for, only constant power is sure to be drawn.
        let (found, squares) = bound(&two_sections(0.1), &[0.0, 0.0, 0.0]);
        assert_eq!(found, None);
        assert!((squares[2] - 140.0).abs() < 1e-9, "{squares:?}");
    }

    #[test]
    fn a_floor_is_out_of_reach_where_the_bound_falls_below_it() {
        // 144 - 96 R = 100.
        let border = 44.0 / 96.0;
        let floors = [0.0, 10.0, 8.0];
        assert_eq!(bound(&two_sections(border * (1.0 - 1e-6)), &floors).0, None);
        assert_eq!(
            bound(&two_sections(border * (1.0 + 1e-6)), &floors).0,
            Some(1)
        );
        // Where nothing is asked for, nothing is out of reach, though the bound is below zero.
        assert_eq!(bound(&two_sections(9.0), &[0.0, 0.0, 0.0]).0, None);
    }

    /// A lamp of exponent 0.5 that asks for no voltage may draw nothing; the one behind it needs
    /// 144 - 2 x 2 R x 50 = 121 at 11 V.
    #[test]
    fn a_load_without_a_floor_hides_no_floor_behind_it() {
        let sections = |ohm: f64| {
            let mut feeder = Feeder::new();
            let first = feeder.add_bus(0, ohm, 0.0);
            let second = feeder.add_bus(first, ohm, 0.0);
            feeder.add_load(first, load(30.0, 0.5));
            feeder.add_load(second, load(50.0, 0.0));
            feeder
        };
        let floors = [0.0, 0.0, 11.0];
        assert_eq!(bound(&sections(0.114), &floors).0, None);
        assert_eq!(bound(&sections(0.116), &floors).0, Some(2));
    }
}
