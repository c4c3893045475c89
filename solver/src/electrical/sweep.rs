//! Backward/forward sweep of a radial feeder. Not the nodal solution: that one
//! judges plans elsewhere, by other formulas.
//!
//! [`Sweep`] is the workspace and holds the figures of the feeder solved last. The
//! arithmetic case is solved in [`super::arithmetic`], where the method and its proof
//! stand; phasors in [`super::phasor`].

use super::arithmetic::{
    ArithmeticBus, Stopped, descend, flatten, solve_concave, squared_voltage_bound,
};
use super::feeder::Feeder;
use super::phasor::PhasorBus;

/// A voltage this far below a floor is below it, V: well above rounding, well
/// below the 1e-6 V by which plans are judged.
const FLOOR_TOLERANCE_V: f64 = 1e-9;

/// Remaining error at which a sweep stops, as a share of the source voltage.
const CONVERGED: f64 = 1e-13;

/// Step below which a sweep that no longer gains is at the floor of rounding, as a
/// share of the source voltage.
const STAGNATED: f64 = 1e-8;

/// A bus below this share of its source is dark, and there is no operating point.
///
/// Loads with `n > 1` lose their current with their voltage, and a heavy one can drag others
/// down toward zero without a fold. What is left there is rounding; the line is drawn where a
/// relative error of 1e-13 still says on which side a feeder stands.
const DARK: f64 = 1e-6;

/// Share of the source voltage at and below which a sag is deep: see [`exhaust`].
const DEEP: f64 = 0.01;

/// Most passes made by [`exhaust`]; two or three are usual.
const MOST_EXTRA_PASSES: u32 = 50;

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
    phasors: Vec<PhasorBus>,
    solved: Solved,
    passes: u32,
    scaled: Feeder,
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
        self.finish(feeder, source_v)
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
            let too_low = |buses: &[ArithmeticBus]| first_below(buses, floor_v);
            return match descend(&mut self.buses, feeder, source_v, too_low) {
                Ok(passes) => {
                    self.passes = passes;
                    self.lit(feeder, source_v).map_err(Rejected::from)
                }
                Err(Stopped::TooLow(bus)) => Err(Rejected::TooLow { bus }),
                Err(Stopped::NoSolution(reason)) => Err(reason.into()),
            };
        }
        let buses = &mut self.buses;
        if let Some(bus) =
            squared_voltage_bound(buses, feeder, source_v, floor_v, FLOOR_TOLERANCE_V)
        {
            return Err(Rejected::TooLow { bus });
        }
        self.finish(feeder, source_v)?;
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
        self.finish(feeder, source_v)
    }

    /// A few passes of the arithmetic case and no more: voltages a little too high.
    ///
    /// Each pass is a Newton step from above, so what two passes leave is of fourth
    /// order in the relative drop. For ranking candidates, never for a verdict.
    /// # Errors
    /// [`NoSolution`] when even these passes show a collapse.
    pub(crate) fn approach_arithmetic(
        &mut self,
        feeder: &Feeder,
        source_v: f64,
        passes: u32,
    ) -> Result<(), NoSolution> {
        self.start(feeder, source_v)?;
        self.passes = passes;
        super::arithmetic::approach(&mut self.buses, feeder, passes)
    }

    /// Checks the input and sets every bus to the source voltage.
    fn start(&mut self, feeder: &Feeder, source_v: f64) -> Result<(), NoSolution> {
        check_input(feeder, source_v)?;
        self.solved = Solved::Arithmetic;
        flatten(&mut self.buses, feeder.bus_count(), source_v);
        Ok(())
    }

    /// Goes down to the solution from the voltages in the workspace.
    fn finish(&mut self, feeder: &Feeder, source_v: f64) -> Result<(), NoSolution> {
        self.passes = if feeder.has_concave {
            solve_concave(&mut self.buses, &mut self.scaled, feeder, source_v)?
        } else {
            match descend(&mut self.buses, feeder, source_v, |_| None) {
                Ok(passes) => passes,
                Err(Stopped::NoSolution(reason)) => return Err(reason),
                Err(Stopped::TooLow(bus)) => return Err(NoSolution::Collapse { bus }),
            }
        };
        self.lit(feeder, source_v)
    }

    /// Refuses a solution with a dark bus.
    fn lit(&self, feeder: &Feeder, source_v: f64) -> Result<(), NoSolution> {
        let dark = |&bus: &usize| self.volts(bus) < DARK * source_v;
        match (1..feeder.bus_count()).find(dark) {
            Some(bus) => Err(NoSolution::Collapse { bus }),
            None => Ok(()),
        }
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
        let (buses, scaled) = (&mut self.phasors, &mut self.scaled);
        self.passes = super::phasor::solve(buses, scaled, feeder, source_v)?;
        self.lit(feeder, source_v)
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
            Solved::Arithmetic => self.buses[bus].branch_amps(),
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
/// Tangents converge quadratically: the next step is about `step (step/last)²` or less (at
/// the fold itself steps halve). Steps that no longer shrink are rounding.
pub(super) fn is_converged(step: f64, last: f64, source_v: f64) -> bool {
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
    step * ratio * ratio <= CONVERGED * source_v
}

/// Goes on, in a deep sag, until steps no longer shrink; returns the passes made.
///
/// Where a bus stands at a hundredth of its source or less, loads bend so sharply that the
/// estimate of [`is_converged`] misses by orders of magnitude.
pub(super) fn exhaust(
    lowest_v: f64,
    source_v: f64,
    mut step: f64,
    mut pass: impl FnMut() -> Result<f64, NoSolution>,
) -> Result<u32, NoSolution> {
    if lowest_v > DEEP * source_v {
        return Ok(0);
    }
    for made in 1..=MOST_EXTRA_PASSES {
        let next = pass()?;
        if next >= step || next == 0.0 {
            return Ok(made);
        }
        step = next;
    }
    Ok(MOST_EXTRA_PASSES)
}

fn first_below(buses: &[ArithmeticBus], floor_v: &[f64]) -> Option<usize> {
    buses
        .iter()
        .zip(floor_v)
        .position(|(bus, floor)| bus.volts < floor - FLOOR_TOLERANCE_V)
}

#[cfg(test)]
mod tests;
