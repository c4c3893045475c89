//! Backward/forward sweep of a radial feeder. Not the nodal solution: that one
//! judges plans elsewhere, by other formulas.
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
//! `F(v) = Y v + f(v) - b` with `b >= 0` the source injection. `Y` is a
//! nonsingular symmetric M-matrix. A solution is `F(v) = 0`, `v > 0`; let `w` be any.
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
//! Early rejection by an iterate below a window is nevertheless used only where every
//! exponent lies in `0..=1`, the condition under which the classical sweep has the same
//! property; elsewhere [`Sweep::solve_arithmetic_above`] uses the squared-voltage
//! inequality before the first pass, and otherwise the finished solution.

use super::feeder::Feeder;
use super::phasor::PhasorBus;

/// Most passes before a solution is given up with [`NoSolution::PassLimit`].
pub const MOST_PASSES: u32 = 400;

/// A voltage this far below a floor is below it, V: well above rounding, well
/// below the 1e-6 V by which plans are judged.
const FLOOR_TOLERANCE_V: f64 = 1e-9;

/// Remaining error at which a sweep stops, as a share of the source voltage.
const CONVERGED: f64 = 1e-13;

/// Step below which a sweep that no longer gains is at the floor of rounding, as a
/// share of the source voltage.
const STAGNATED: f64 = 1e-8;

/// Why a feeder has no operating point, or none that could be found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoSolution {
    /// The load exceeds what the feeder can carry: there is no operating point.
    #[error("no operating point: the load collapses at bus {bus}")]
    Collapse {
        /// Bus at which it showed.
        bus: usize,
    },
    /// A resistance, reactance or load of the feeder is not finite or is negative.
    #[error("bus {bus} has a branch or load that is negative or not a number")]
    BadInput {
        /// First such bus.
        bus: usize,
    },
    /// The source voltage is not a positive number.
    #[error("the source voltage is not a positive number")]
    BadSource,
    /// The numbers overflowed on the way (an absurd exponent or impedance).
    #[error("the currents at bus {bus} exceed the range of numbers")]
    Overflow {
        /// Bus at which it showed.
        bus: usize,
    },
    /// The passes ran out.
    #[error("no operating point found within {passes} passes")]
    PassLimit {
        /// How many were made.
        passes: u32,
    },
}

/// Why a feeder cannot serve the lowest voltages asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Rejected {
    /// The voltage at this bus is below its floor, or provably will be.
    #[error("the voltage at bus {bus} is too low")]
    TooLow {
        /// The bus.
        bus: usize,
    },
    /// There is no operating point.
    #[error(transparent)]
    NoSolution(#[from] NoSolution),
}

/// What a bus carries through an arithmetic pass.
#[derive(Clone, Copy, Debug, Default)]
struct ArithmeticBus {
    /// Voltage, V.
    volts: f64,
    /// Norton current of everything at and below the bus, A.
    amps: f64,
    /// Slope of that current in the voltage of the bus, S.
    siemens: f64,
    /// `volts = share * parent volts - drop`.
    share: f64,
    /// See `share`, V.
    drop: f64,
}

/// Which case was solved last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Solved {
    Arithmetic,
    Phasor,
}

/// Workspace of the sweep, and the figures of the feeder solved last.
///
/// Grows to the largest feeder seen and allocates no more after that. After an `Err`
/// the figures are those of an unfinished pass and mean nothing.
#[derive(Clone, Debug)]
pub struct Sweep {
    buses: Vec<ArithmeticBus>,
    pub(super) phasors: Vec<PhasorBus>,
    solved: Solved,
    passes: u32,
    pub(super) scaled: Feeder,
}

impl Default for Sweep {
    fn default() -> Self {
        Self::new()
    }
}

impl Sweep {
    /// An empty workspace.
    #[must_use]
    pub fn new() -> Self {
        Self {
            buses: Vec::new(),
            phasors: Vec::new(),
            solved: Solved::Arithmetic,
            passes: 0,
            scaled: Feeder::new(),
        }
    }

    /// Solves the arithmetic case: every load at unity power factor and its VA, no reactance.
    ///
    /// `source_v` > 0. O(buses) per pass, usually three to five passes, no allocation
    /// once grown.
    /// # Errors
    /// [`NoSolution`]; a collapse is proved (see the module).
    pub fn solve_arithmetic(&mut self, feeder: &Feeder, source_v: f64) -> Result<(), NoSolution> {
        self.start(feeder, source_v)?;
        self.finish(feeder, source_v, |_| None)
            .map_err(|rejected| match rejected {
                Rejected::NoSolution(reason) => reason,
                Rejected::TooLow { bus } => NoSolution::Collapse { bus },
            })
    }

    /// Solves the arithmetic case unless some bus falls below its floor.
    ///
    /// `floor_v[bus]`: lowest voltage asked for, V; 0 where none is; as many as buses.
    /// Returns as soon as a bus is provably too low.
    ///
    /// # Proof of the squared-voltage inequality
    /// Over a branch of resistance `R` delivering power `P` at its far end,
    /// `V_i² = (V_j + R I)² = V_j² + 2 R P + (R I)² >= V_j² + 2 R P`. Along a path
    /// `V_f² <= V_src² - 2 sum R P`, `P` the power delivered below each branch: at least
    /// the sum of the least powers of the loads there, and a load whose bus is at or
    /// above its floor draws at least `S(floor)` since `n >= 0`. So if the bound falls
    /// below a floor, not all floors can hold.
    /// # Errors
    /// [`Rejected`].
    /// # Panics
    /// When `floor_v` is shorter than the feeder.
    pub fn solve_arithmetic_above(
        &mut self,
        feeder: &Feeder,
        source_v: f64,
        floor_v: &[f64],
    ) -> Result<(), Rejected> {
        assert!(floor_v.len() >= feeder.bus_count(), "one floor per bus");
        self.start(feeder, source_v)?;
        if feeder.falls_monotonically {
            return self.finish(feeder, source_v, |buses| first_below(buses, floor_v));
        }
        if let Some(bus) = self.squared_voltage_bound(feeder, source_v, floor_v) {
            return Err(Rejected::TooLow { bus });
        }
        self.finish(feeder, source_v, |_| None)?;
        match first_below(&self.buses, floor_v) {
            Some(bus) => Err(Rejected::TooLow { bus }),
            None => Ok(()),
        }
    }

    /// Continues from the voltages of the last arithmetic solution of the same feeder.
    ///
    /// Only for a source voltage at or below the last one: then the last solution `v`
    /// satisfies `F(v) >= 0` and bounds every solution from above, as the proof asks.
    pub(super) fn resume_arithmetic(
        &mut self,
        feeder: &Feeder,
        source_v: f64,
    ) -> Result<(), NoSolution> {
        if !(source_v > 0.0 && source_v <= self.buses[0].volts) {
            return self.solve_arithmetic(feeder, source_v);
        }
        self.buses[0].volts = source_v;
        self.finish(feeder, source_v, |_| None)
            .map_err(|rejected| match rejected {
                Rejected::NoSolution(reason) => reason,
                Rejected::TooLow { bus } => NoSolution::Collapse { bus },
            })
    }

    fn start(&mut self, feeder: &Feeder, source_v: f64) -> Result<(), NoSolution> {
        check_input(feeder, source_v)?;
        self.solved = Solved::Arithmetic;
        self.buses.clear();
        let flat = ArithmeticBus {
            volts: source_v,
            ..ArithmeticBus::default()
        };
        self.buses.resize(feeder.bus_count(), flat);
        Ok(())
    }

    /// Passes until the remaining error is below [`CONVERGED`], or `too_low` names a bus.
    #[inline]
    fn finish(
        &mut self,
        feeder: &Feeder,
        source_v: f64,
        too_low: impl Fn(&[ArithmeticBus]) -> Option<usize>,
    ) -> Result<(), Rejected> {
        let concave = feeder
            .power_laws
            .iter()
            .any(super::load::PowerLaw::is_concave);
        let mut last = f64::INFINITY;
        for pass in 1..=MOST_PASSES {
            self.passes = pass;
            let step = self.pass(feeder)?;
            if let Some(bus) = too_low(&self.buses) {
                return Err(Rejected::TooLow { bus });
            }
            if feeder.is_linear || is_converged(step, last, concave, source_v) {
                return Ok(());
            }
            last = step;
        }
        Err(NoSolution::PassLimit {
            passes: MOST_PASSES,
        }
        .into())
    }

    /// One backward and one forward half; returns the largest change of a voltage, V.
    #[inline]
    fn pass(&mut self, feeder: &Feeder) -> Result<f64, NoSolution> {
        let buses = &mut self.buses[..];
        let branches = &feeder.branches[..buses.len()];
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
            if law.is_concave() {
                bus.siemens += amps / bus.volts;
            } else {
                bus.amps += (2.0 - law.exponent) * amps;
                bus.siemens += (law.exponent - 1.0) * amps / bus.volts;
            }
        }
        for (index, branch) in branches.iter().enumerate().skip(1).rev() {
            let bus = buses[index];
            let pivot = 1.0 + branch.resistance_ohm * bus.siemens;
            if !(pivot > 0.0) {
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
            if !(volts > 0.0) {
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
    fn squared_voltage_bound(
        &mut self,
        feeder: &Feeder,
        source_v: f64,
        floor_v: &[f64],
    ) -> Option<usize> {
        let buses = &mut self.buses[..];
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
            let bound = buses[branch.parent as usize].drop
                - 2.0 * branch.resistance_ohm * buses[index].siemens;
            buses[index].drop = bound;
            let floor = floor_v[index] - FLOOR_TOLERANCE_V;
            if floor > 0.0 && bound < floor * floor {
                return Some(index);
            }
        }
        None
    }

    /// Solves with phasors: reactance and power factor count.
    ///
    /// `source_v` > 0, angle 0. The solution returned is the operating point, the one
    /// that grows out of the unloaded feeder; see [`super::phasor`].
    /// # Errors
    /// [`NoSolution`].
    pub fn solve_phasor(&mut self, feeder: &Feeder, source_v: f64) -> Result<(), NoSolution> {
        check_input(feeder, source_v)?;
        self.solved = Solved::Phasor;
        self.passes = super::phasor::solve(self, feeder, source_v)?;
        Ok(())
    }

    /// Voltage magnitude at a bus, V.
    ///
    /// # Panics
    /// When the feeder solved last has no such bus.
    #[must_use]
    pub fn volts(&self, bus: usize) -> f64 {
        match self.solved {
            Solved::Arithmetic => self.buses[bus].volts,
            Solved::Phasor => self.phasors[bus].volts.abs(),
        }
    }
    /// Voltage angle at a bus against the source, radians; 0 in the arithmetic case.
    ///
    /// # Panics
    /// When the feeder solved last has no such bus.
    #[must_use]
    pub fn angle(&self, bus: usize) -> f64 {
        match self.solved {
            Solved::Arithmetic => 0.0,
            Solved::Phasor => self.phasors[bus].volts.angle(),
        }
    }
    /// Magnitude of the current in the branch that feeds a bus, A; for bus 0 the source current.
    ///
    /// # Panics
    /// When the feeder solved last has no such bus.
    #[must_use]
    pub fn branch_amps(&self, bus: usize) -> f64 {
        match self.solved {
            Solved::Arithmetic => {
                let here = &self.buses[bus];
                here.amps + here.siemens * here.volts
            }
            Solved::Phasor => self.phasors[bus].branch_amps().abs(),
        }
    }
    /// Magnitude of the current delivered by the source, A.
    #[must_use]
    pub fn source_amps(&self) -> f64 {
        self.branch_amps(0)
    }
    /// Real and reactive power at the source terminals, W and var (arithmetic: VA and 0).
    #[must_use]
    pub fn source_power(&self) -> (f64, f64) {
        match self.solved {
            Solved::Arithmetic => (self.buses[0].volts * self.branch_amps(0), 0.0),
            Solved::Phasor => self.phasors[0].power(),
        }
    }
    /// Passes made by the last solution.
    #[must_use]
    pub fn passes(&self) -> u32 {
        self.passes
    }
}

pub(super) fn check_input(feeder: &Feeder, source_v: f64) -> Result<(), NoSolution> {
    if !(source_v > 0.0 && source_v.is_finite()) {
        return Err(NoSolution::BadSource);
    }
    match feeder.unlawful {
        Some(bus) => Err(NoSolution::BadInput { bus }),
        None => Ok(()),
    }
}

/// What a pivot or voltage that is not positive means.
pub(super) fn failure(bus: usize, value: f64) -> NoSolution {
    if value.is_nan() {
        NoSolution::Overflow { bus }
    } else {
        NoSolution::Collapse { bus }
    }
}

/// Judges the remaining error from the last two steps.
///
/// Tangents converge quadratically: the next step is about `step (step/last)²` or less.
/// Chords converge linearly: what remains is about `step q / (1 - q)`, `q = step/last`.
pub(super) fn is_converged(step: f64, last: f64, linear_rate: bool, source_v: f64) -> bool {
    if step <= CONVERGED * source_v {
        return true;
    }
    if last == f64::INFINITY {
        return false;
    }
    let ratio = step / last;
    if ratio > 0.9 {
        return step < STAGNATED * source_v;
    }
    let remaining = if linear_rate {
        step * ratio / (1.0 - ratio)
    } else {
        step * ratio * ratio
    };
    remaining <= CONVERGED * source_v
}

fn first_below(buses: &[ArithmeticBus], floor_v: &[f64]) -> Option<usize> {
    buses
        .iter()
        .zip(floor_v)
        .position(|(bus, floor)| bus.volts < floor - FLOOR_TOLERANCE_V)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::electrical::BusLoad;

    fn lumped(power_w: f64, loop_ohm: f64, exponent: f64) -> Feeder {
        let mut feeder = Feeder::new();
        let end = feeder.add_bus(0, loop_ohm, 0.0);
        let load = BusLoad {
            real_w: power_w,
            reactive_var: 0.0,
            rated_v: 12.0,
            exponent,
        };
        feeder.set_load(end, load);
        feeder
    }

    #[test]
    fn a_lumped_load_stands_at_the_high_root_and_collapses_past_its_fold() {
        let high_root = |v0: f64, r: f64, p: f64| f64::midpoint(v0, (v0 * v0 - 4.0 * r * p).sqrt());
        let mut sweep = Sweep::new();
        for (v0, r, p) in [(15.0, 0.3, 50.0), (12.0, 0.396, 60.0), (24.0, 1.584, 50.0)] {
            let feeder = lumped(p, r, 0.0);
            sweep.solve_arithmetic(&feeder, v0).expect("below the fold");
            assert!((sweep.volts(1) - high_root(v0, r, p)).abs() < 1e-10);
            sweep.solve_phasor(&feeder, v0).expect("below the fold");
            assert!((sweep.volts(1) - high_root(v0, r, p)).abs() < 1e-10);
            let most = v0 * v0 / (4.0 * r);
            for (share, exists) in [(1.0 - 1e-6, true), (1.0 + 1e-6, false)] {
                let feeder = lumped(most * share, r, 0.0);
                let arithmetic = sweep.solve_arithmetic(&feeder, v0);
                assert_eq!(arithmetic.is_ok(), exists, "{share}: {arithmetic:?}");
                let phasor = sweep.solve_phasor(&feeder, v0);
                assert_eq!(phasor.is_ok(), exists, "{share}: {phasor:?}");
            }
        }
    }

    #[test]
    fn nonsense_is_refused_and_never_hangs() {
        let mut sweep = Sweep::new();
        let bad = [
            (f64::NAN, 1.0),
            (1.0, f64::NAN),
            (1.0, -0.1),
            (-1.0, 1.0),
            (1.0, f64::INFINITY),
        ];
        for (power_w, loop_ohm) in bad {
            let feeder = lumped(power_w, loop_ohm, 0.0);
            let refused = Err(NoSolution::BadInput { bus: 1 });
            assert_eq!(sweep.solve_arithmetic(&feeder, 12.0), refused);
            assert_eq!(sweep.solve_phasor(&feeder, 12.0), refused);
        }
        let fine = lumped(10.0, 0.1, 0.0);
        for source_v in [f64::NAN, 0.0, -12.0, f64::INFINITY] {
            let refused = Err(NoSolution::BadSource);
            assert_eq!(sweep.solve_arithmetic(&fine, source_v), refused);
            assert_eq!(sweep.solve_phasor(&fine, source_v), refused);
        }
        for exponent in [0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 40.0, 1e6] {
            for loop_ohm in [0.0, 1e-300, 1.0, 1e30, f64::MAX] {
                for power_w in [0.0, 1e-300, 10.0, f64::MAX] {
                    let feeder = lumped(power_w, loop_ohm, exponent);
                    let _ = sweep.solve_arithmetic(&feeder, 12.0);
                    let _ = sweep.solve_phasor(&feeder, 12.0);
                }
            }
        }
    }
}
