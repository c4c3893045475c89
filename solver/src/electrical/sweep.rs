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

    /// By hand, with `P / V` drawn at 12 V: the tangent of the current is `2 P / 12 - P V / 144`,
    /// so the first pass ends at `V = (12 - 2 R P / 12) / (1 - R P / 144)`, a little too high.
    #[test]
    fn a_few_passes_are_newton_steps_from_above() {
        let (ohm, watts) = (0.396, 60.0);
        let feeder = lumped(watts, ohm, 0.0);
        let step = |v: f64| (12.0 - 2.0 * ohm * watts / v) / (1.0 - ohm * watts / (v * v));
        let exact = f64::midpoint(12.0, (144.0_f64 - 4.0 * ohm * watts).sqrt());
        let mut sweep = Sweep::new();
        let mut by_hand = 12.0;
        for passes in 1..=2 {
            by_hand = step(by_hand);
            let approached = sweep.approach_arithmetic(&feeder, 12.0, passes);
            approached.expect("below the fold");
            assert!((sweep.volts(1) - by_hand).abs() < 1e-12);
            assert!(sweep.volts(1) > exact);
            assert_eq!(sweep.passes(), passes);
        }
        // A current that bends down is taken for the resistance it is at the present voltage:
        // 60 VA at 12 V are 2.4 ohm.
        let bent = lumped(watts, ohm, 1.5);
        let approached = sweep.approach_arithmetic(&bent, 12.0, 1);
        approached.expect("no fold");
        assert!((sweep.volts(1) - 12.0 * 2.4 / (2.4 + ohm)).abs() < 1e-12);
        // One that bends up keeps its tangent: 5 A and 5/6 S at 12 V for exponent 3.
        let steep = lumped(watts, ohm, 3.0);
        let approached = sweep.approach_arithmetic(&steep, 12.0, 1);
        approached.expect("no fold");
        let tangent = (12.0 + 5.0 * ohm) / (1.0 + ohm * 5.0 / 6.0);
        assert!((sweep.volts(1) - tangent).abs() < 1e-12);
        // Past the fold a tangent falls below zero at once.
        let past = sweep.approach_arithmetic(&lumped(200.0, ohm, 0.0), 12.0, 1);
        assert_eq!(past, Err(NoSolution::Collapse { bus: 1 }));
    }

    #[test]
    fn passes_are_as_few_as_the_method_promises() {
        let mut sweep = Sweep::new();
        // A current or a resistance is its own tangent.
        for exponent in [1.0, 2.0] {
            let feeder = lumped(60.0, 0.3, exponent);
            sweep.solve_arithmetic(&feeder, 12.0).expect("no fold");
            assert_eq!(sweep.passes(), 1, "exponent {exponent}");
        }
        for (exponent, watts) in [(0.0, 20.0), (0.0, 60.0), (0.5, 60.0), (3.0, 60.0)] {
            let feeder = lumped(watts, 0.3, exponent);
            sweep.solve_arithmetic(&feeder, 12.0).expect("no fold");
            assert!((3..=5).contains(&sweep.passes()), "{}", sweep.passes());
            sweep.solve_phasor(&feeder, 12.0).expect("no fold");
            assert!((3..=5).contains(&sweep.passes()), "{}", sweep.passes());
        }
        // Without a drop one chord and one tangent find nothing to change.
        let feeder = lumped(60.0, 0.0, 1.5);
        sweep.solve_arithmetic(&feeder, 12.0).expect("no fold");
        assert_eq!(sweep.passes(), 2);
        // With one, chords come before tangents: a few more passes.
        let feeder = lumped(60.0, 0.3, 1.5);
        sweep.solve_arithmetic(&feeder, 12.0).expect("no fold");
        assert!((4..=9).contains(&sweep.passes()), "{}", sweep.passes());
    }

    /// Only a lower source may go on from the last solution; a higher one starts afresh.
    #[test]
    fn a_source_a_little_lower_is_settled_in_fewer_passes() {
        let feeder = lumped(60.0, 0.396, 0.0);
        let afresh = |source_v| {
            let mut sweep = Sweep::new();
            sweep.solve_arithmetic(&feeder, source_v).expect("no fold");
            (sweep.volts(1), sweep.passes())
        };
        let resumed = |source_v| {
            let mut sweep = Sweep::new();
            sweep.solve_arithmetic(&feeder, 12.0).expect("no fold");
            let outcome = sweep.resume_arithmetic(&feeder, source_v);
            outcome.map(|()| (sweep.volts(1), sweep.passes()))
        };
        let ((lower, fewer), (wanted, passes)) =
            (resumed(11.999).expect("no fold"), afresh(11.999));
        assert!((lower - wanted).abs() < 1e-10);
        assert!(fewer < passes, "{fewer} passes against {passes}");
        assert_eq!(resumed(13.0), Ok(afresh(13.0)));
        for source_v in [0.0, -12.0, f64::NAN, f64::INFINITY] {
            assert_eq!(resumed(source_v), Err(NoSolution::BadSource));
        }
    }

    #[test]
    fn a_step_is_the_last_where_the_next_would_be_below_a_1e13th_of_the_source() {
        // With no step before, only a step as small as that.
        assert!(is_converged(1.1e-12, f64::INFINITY, 12.0));
        assert!(!is_converged(1.3e-12, f64::INFINITY, 12.0));
        // The next of 1e-3 and 1e-7 is about 1e-15, of 1e-3 and 1e-6 about 1e-12.
        assert!(is_converged(1e-7, 1e-3, 1.0));
        assert!(!is_converged(1e-6, 1e-3, 1.0));
        assert!(is_converged(1e-6, 1e-3, 12.0));
        // Steps that no longer shrink are rounding where they are small, else not.
        assert!(is_converged(9.5e-9, 1e-8, 1.0));
        assert!(is_converged(9.5e-8, 9.5e-8, 12.0));
        assert!(!is_converged(9.5e-8, 1e-7, 1.0));
        assert!(!is_converged(1e-2, 1e-3, 1.0));
    }

    /// Passes made in a sag of a share of the source when steps after 1e-3 are these.
    fn extra_passes(share: f64, steps: &[f64]) -> u32 {
        let mut steps = steps.iter();
        let pass = || Ok(*steps.next().expect("no more passes than steps"));
        exhaust(share * 12.0, 12.0, 1e-3, pass).expect("every pass succeeds")
    }

    #[test]
    fn a_deep_sag_is_passed_until_steps_no_longer_shrink() {
        assert_eq!(extra_passes(0.011, &[]), 0);
        assert_eq!(extra_passes(0.01, &[1e-5, 1e-9, 1e-9]), 3);
        assert_eq!(extra_passes(0.001, &[1e-5, 2e-5]), 2);
        assert_eq!(extra_passes(0.001, &[0.0]), 1);
        let halves: Vec<f64> = (1..=60).map(|times| 1e-3 * 0.5_f64.powi(times)).collect();
        assert_eq!(extra_passes(0.001, &halves), 50);
        let collapse = NoSolution::Collapse { bus: 3 };
        assert_eq!(exhaust(0.0, 12.0, 1.0, || Err(collapse)), Err(collapse));
    }

    /// 12 var at 12 V, constant current: 1 A at a right angle to the voltage, so that 0.5 ohm of
    /// reactance take 0.5 V straight off it.
    #[test]
    fn a_load_that_only_lags_drops_voltage_over_reactance() {
        let mut feeder = Feeder::new();
        let bus = feeder.add_bus(0, 0.0, 0.5);
        let load = BusLoad {
            real_w: 0.0,
            reactive_var: 12.0,
            rated_v: 12.0,
            exponent: 1.0,
        };
        feeder.set_load(bus, load);
        let mut sweep = Sweep::new();
        sweep.solve_phasor(&feeder, 12.0).expect("no fold");
        assert!((sweep.volts(bus) - 11.5).abs() < 1e-12);
        assert!(sweep.angle(bus).abs() < 1e-12);
        let (watts, vars) = sweep.source_power();
        assert!(watts.abs() < 1e-12 && (vars - 12.0).abs() < 1e-12);
    }

    /// Without resistance the lamp stands at the 12 V of its source.
    #[test]
    fn a_floor_is_missed_by_more_than_a_billionth_of_a_volt() {
        let mut sweep = Sweep::new();
        for exponent in [0.0, 2.0] {
            let feeder = lumped(60.0, 0.0, exponent);
            for floor in [12.0, 12.0 + 0.5e-9] {
                let kept = sweep.solve_arithmetic_above(&feeder, 12.0, &[0.0, floor]);
                assert_eq!(kept, Ok(()));
            }
            let missed = sweep.solve_arithmetic_above(&feeder, 12.0, &[0.0, 12.0 + 2e-9]);
            assert_eq!(missed, Err(Rejected::TooLow { bus: 1 }));
        }
    }
}
