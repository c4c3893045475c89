//! Choosing the gauge of every piece of one circuit: least cable cost that keeps
//! each fixture at or above its lowest voltage and each piece within its ampacity.
//!
//! The thinnest gauges are tried first. If they do not serve, pieces are thickened one at a time by
//! the best ratio of volts gained at fixtures still too low to money spent, on
//! currents of the last exact solution; each round ends in an exact solution,
//! and a last pass makes single pieces thinner again wherever that holds.
//! A heuristic: the bound and the other moves judge it.

mod refine;
mod thicken;

use super::context::CableFacts;
use crate::electrical::{Feeder, Sweep};
use thicken::Thickened;

/// Volts and amperes within which a limit counts as kept: inside the contract's
/// 1e-6 so that another method's rounding never overturns a plan.
pub(super) const KEPT: f64 = 2e-7;

/// Rounds of thickening on fresh currents before the thickest gauges are taken.
const MOST_ROUNDS: usize = 12;

/// Most secant steps between source voltage and load; regulation is small, so a few do.
const MOST_SETTLING_STEPS: usize = 12;

/// Source voltage within which load and regulation agree, V.
const SETTLED_V: f64 = 1e-8;

/// One piece as the gauge choice sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct PieceSpan {
    /// The piece that feeds its upstream joint, by position; `None` for the home run.
    pub parent: Option<u32>,
    /// Length bought, m.
    pub length_m: f64,
    /// Contact resistance of its ends, ohm of loop.
    pub contact_ohm: f64,
    /// Home run or branch: which of the two gauge lists applies.
    pub home_run: bool,
}

/// One fixture as the gauge choice sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tail {
    /// The piece that feeds its joint.
    pub piece: u32,
    /// Bus of its terminals in the feeder.
    pub bus: u32,
    /// Lowest voltage allowed, V.
    pub least_v: f64,
    /// Highest voltage allowed, V.
    pub most_v: f64,
}

/// Source of the circuit in the low case.
#[derive(Clone, Copy, Debug)]
pub(super) struct LowSource {
    /// Tap voltage at the low end of the line, V.
    pub tap_v: f64,
    /// Regulation of the transformer.
    pub regulation: f64,
    /// Rated VA of the transformer.
    pub rated_va: f64,
    /// VA of everything else on the transformer.
    pub other_va: f64,
    /// Most VA that the circuit may draw at the terminals.
    pub most_va: f64,
}

/// Gauge choice for one circuit. Bus `i + 1` of the feeder is the joint that
/// piece `i` feeds; fixture buses follow.
pub(super) struct GaugeFit<'g> {
    pub home: &'g [CableFacts],
    pub branch: &'g [CableFacts],
    pub pieces: &'g [PieceSpan],
    pub tails: &'g [Tail],
    pub source: LowSource,
    pub feeder: &'g mut Feeder,
    pub sweep: &'g mut Sweep,
    pub scratch: &'g mut Scratch,
    /// Exact solutions, and single pieces made thinner again at the end; without
    /// it two passes stand for a solution: quick, for ranking only.
    pub exact: bool,
    /// The gauges in the scratch memory are those of a smaller circuit: nothing thinner is tried.
    pub grown: bool,
    /// Money that thicker gauges may cost; beyond it the circuit is not wanted.
    pub most_spent: f64,
    /// VA of the circuit at its terminals, a guess before the first solution.
    pub own_va: f64,
}

/// Reusable memory of the gauge choice.
#[derive(Default)]
pub(super) struct Scratch {
    /// Chosen position in the gauge list, per piece.
    pub choice: Vec<usize>,
    amps: Vec<f64>,
    tail_v: Vec<f64>,
    /// Drop along each lead in the last solution, kept while pieces are thickened.
    lead_drop_v: Vec<f64>,
    joint_v: Vec<f64>,
    short_v: Vec<f64>,
    short_count: Vec<f64>,
    order: Vec<(usize, f64)>,
}

/// A solved state of the low case.
#[derive(Clone, Copy, Debug)]
pub(super) struct Solved {
    /// Least of (volts - lowest allowed) over the fixtures, V.
    pub margin_v: f64,
    /// Whether every piece is within its ampacity.
    pub within_ampacity: bool,
    /// Whether the transformer bears it beside everything else.
    pub within_va: bool,
    /// Current of the home run, A.
    pub amps: f64,
    /// VA at the terminals.
    pub va: f64,
}

/// Why no gauges suit a circuit on a tap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Refused {
    /// Some fixture stays below its lowest voltage.
    TooLow,
    /// Some fixture stands above its highest voltage.
    TooHigh,
    /// The gauges it takes cost more than the circuit is worth.
    TooDear,
    /// More current or apparent power than cable, secondary or transformer bears.
    TooMuch,
    /// No gauge fits the lugs, or no hardware holds the wires.
    NothingFits,
}

impl Solved {
    /// Why a state that does not hold with the thickest gauges never will.
    fn refused(self) -> Refused {
        if self.margin_v < -KEPT {
            Refused::TooLow
        } else {
            Refused::TooMuch
        }
    }
    fn good(self) -> bool {
        self.holds_but_va() && self.within_va
    }
    fn holds_but_va(self) -> bool {
        self.margin_v >= -KEPT && self.within_ampacity
    }
}

impl GaugeFit<'_> {
    fn gauges(&self, piece: usize) -> &[CableFacts] {
        if self.pieces[piece].home_run {
            self.home
        } else {
            self.branch
        }
    }

    fn cable(&self, piece: usize) -> &CableFacts {
        &self.gauges(piece)[self.scratch.choice[piece]]
    }

    fn set(&mut self, piece: usize, choice: usize) {
        self.scratch.choice[piece] = choice;
        let span = self.pieces[piece];
        let ohm = self.cable(piece).low_ohm_per_m * span.length_m + span.contact_ohm;
        self.feeder.set_branch(piece + 1, ohm, 0.0);
    }

    /// Solves the low case with the circuit's own share of the regulation.
    ///
    /// The load that the transformer sees and its source voltage settle by secant
    /// steps. A state that is too low by far more than settling can mend is
    /// returned as it is: it is refused either way.
    pub(super) fn solve(&mut self) -> Option<Solved> {
        if !self.exact {
            return self.solve_roughly();
        }
        let LowSource {
            tap_v,
            regulation,
            rated_va,
            other_va,
            ..
        } = self.source;
        let volts_per_va = tap_v * regulation / rated_va;
        let mut va = self.own_va;
        let mut before: Option<(f64, f64)> = None;
        let mut margin_v = f64::NEG_INFINITY;
        for _ in 0..MOST_SETTLING_STEPS {
            let source_v = tap_v * (1.0 + regulation) - volts_per_va * (other_va + va);
            self.sweep.solve_arithmetic(self.feeder, source_v).ok()?;
            let drawn = source_v * self.sweep.source_amps();
            margin_v = self.margin_v();
            let off_v = (volts_per_va * (drawn - va)).abs();
            if off_v < SETTLED_V || margin_v + 3.0 * off_v < -KEPT {
                va = drawn;
                break;
            }
            let slope = before.map_or(0.0, |(last_va, last_drawn)| {
                (drawn - last_drawn) / (va - last_va)
            });
            before = Some((va, drawn));
            va += (drawn - va) / (1.0 - slope.clamp(-0.5, 0.5));
        }
        self.own_va = va;
        self.remember();
        Some(Solved {
            margin_v,
            within_ampacity: self.within_ampacity(),
            within_va: va <= self.source.most_va + KEPT,
            amps: self.sweep.source_amps(),
            va,
        })
    }

    /// Two passes at the load guessed, and the regulation's answer to the load found.
    fn solve_roughly(&mut self) -> Option<Solved> {
        const PASSES: u32 = 2;
        let LowSource {
            tap_v,
            regulation,
            rated_va,
            other_va,
            ..
        } = self.source;
        let volts_per_va = tap_v * regulation / rated_va;
        let source_v = tap_v * (1.0 + regulation) - volts_per_va * (other_va + self.own_va);
        self.sweep
            .approach_arithmetic(self.feeder, source_v, PASSES)
            .ok()?;
        let va = source_v * self.sweep.source_amps();
        let margin_v = self.margin_v() - volts_per_va * (va - self.own_va);
        self.own_va = va;
        self.remember();
        Some(Solved {
            margin_v,
            within_ampacity: self.within_ampacity(),
            within_va: va <= self.source.most_va + KEPT,
            amps: self.sweep.source_amps(),
            va,
        })
    }

    fn within_ampacity(&self) -> bool {
        (0..self.pieces.len())
            .all(|piece| self.scratch.amps[piece] <= self.cable(piece).ampacity_a + KEPT)
    }

    /// Least of (volts - lowest allowed) over the fixtures in the last solution, V.
    fn margin_v(&self) -> f64 {
        let over = |tail: &Tail| self.sweep.volts(tail.bus as usize) - tail.least_v;
        self.tails.iter().map(over).fold(f64::INFINITY, f64::min)
    }

    /// Keeps currents, fixture voltages and lead drops of the last solution.
    fn remember(&mut self) {
        let (scratch, sweep) = (&mut *self.scratch, &*self.sweep);
        scratch.amps.clear();
        scratch
            .amps
            .extend((0..self.pieces.len()).map(|piece| sweep.branch_amps(piece + 1)));
        scratch.tail_v.clear();
        scratch
            .tail_v
            .extend(self.tails.iter().map(|tail| sweep.volts(tail.bus as usize)));
        scratch.lead_drop_v.clear();
        let joint_v = self
            .tails
            .iter()
            .map(|tail| sweep.volts(tail.piece as usize + 1));
        scratch.lead_drop_v.extend(
            joint_v
                .zip(&scratch.tail_v)
                .map(|(joint, terminal)| joint - terminal),
        );
    }

    /// Whether even the thinnest gauges leave a fixture above its highest voltage.
    ///
    /// In the low case every voltage is lower than in the high case with the same
    /// gauges (hotter, longer, more load, loads added arithmetically, lower line),
    /// and thicker gauges only raise it: then no choice of gauges suits the tap.
    fn stands_too_high(&self) -> bool {
        self.tails
            .iter()
            .zip(&self.scratch.tail_v)
            .any(|(tail, &volts)| volts > tail.most_v + KEPT)
    }

    /// Solves with the choice already in the scratch memory.
    pub(super) fn keep(&mut self) -> Option<Solved> {
        for piece in 0..self.pieces.len() {
            self.set(piece, self.scratch.choice[piece]);
        }
        self.solve().filter(|solved| solved.good())
    }

    /// Chooses the gauges; the choice is left in the scratch memory.
    pub(super) fn choose(&mut self) -> Result<Solved, Refused> {
        if self.home.is_empty() || (self.branch.is_empty() && self.pieces.len() > 1) {
            return Err(Refused::NothingFits);
        }
        if !self.grown {
            self.scratch.choice.fill(0);
        }
        for piece in 0..self.pieces.len() {
            self.set(piece, self.scratch.choice[piece]);
        }
        match self.solve() {
            Some(_) if self.stands_too_high() => return Err(Refused::TooHigh),
            Some(solved) if solved.good() => return Ok(solved),
            Some(_) => {}
            None => {
                // Collapsed: the currents to start from are those on the thickest gauges.
                self.hold_on_thickest()?;
            }
        }
        let mut solved = self.thicken()?;
        if !solved.within_va {
            solved = self.lose_less(solved).ok_or(Refused::TooMuch)?;
        }
        Ok(if self.exact {
            self.thin_out(solved)
        } else {
            solved
        })
    }

    /// The state on the thickest gauges, where voltages and ampacities hold there.
    fn hold_on_thickest(&mut self) -> Result<Solved, Refused> {
        self.take_thickest();
        match self.solve() {
            Some(solved) if solved.holds_but_va() => Ok(solved),
            Some(solved) => Err(solved.refused()),
            None => Err(Refused::TooLow),
        }
    }

    /// Thickens each piece to the gauge of least price and lost energy together
    /// (W. Thomson, Lord Kelvin, 1881: the most economical size of conductor), on
    /// the currents of the last solution. `per_watt`: worth of a watt saved, money.
    pub(super) fn thicken_while_it_pays(&mut self, per_watt: f64, solved: Solved) -> Solved {
        if per_watt <= 0.0 {
            return solved;
        }
        let before = self.scratch.choice.clone();
        for piece in 0..self.pieces.len() {
            let (length_m, amps) = (self.pieces[piece].length_m, self.scratch.amps[piece]);
            let now = *self.cable(piece);
            let worth = |cable: &CableFacts| {
                length_m * (cable.price_per_m + per_watt * cable.low_ohm_per_m * amps * amps)
            };
            let best = (0..self.gauges(piece).len())
                .filter(|&choice| {
                    let cable = &self.gauges(piece)[choice];
                    cable.low_ohm_per_m <= now.low_ohm_per_m && cable.ampacity_a + KEPT >= amps
                })
                .min_by(|&x, &y| {
                    let gauges = self.gauges(piece);
                    worth(&gauges[x]).total_cmp(&worth(&gauges[y]))
                });
            if let Some(best) = best {
                self.set(piece, best);
            }
        }
        if let Some(better) = self.solve().filter(|solved| solved.good()) {
            return better;
        }
        for (piece, choice) in before.into_iter().enumerate() {
            self.set(piece, choice);
        }
        self.solve().unwrap_or(solved)
    }

    fn take_thickest(&mut self) {
        for piece in 0..self.pieces.len() {
            let thickest = thickest(self.gauges(piece));
            self.set(piece, thickest);
        }
    }

    /// From the thinnest gauges that carry the present currents upwards, or from
    /// those that a smaller circuit had where they are thicker.
    fn thicken(&mut self) -> Result<Solved, Refused> {
        for piece in 0..self.pieces.len() {
            let amps = self.scratch.amps[piece];
            let carrying = self
                .gauges(piece)
                .iter()
                .position(|cable| cable.ampacity_a + KEPT >= amps)
                .ok_or(Refused::TooMuch)?;
            let had = self.scratch.choice[piece];
            self.scratch.choice[piece] = if self.grown {
                carrying.max(had)
            } else {
                carrying
            };
        }
        let source_v = self.sweep.volts(0);
        let mut hidden_v = 0.0;
        let mut left = self.most_spent;
        for _ in 0..MOST_ROUNDS {
            match self.thicken_linear(source_v - hidden_v, left) {
                Thickened::Serves { spent } => left -= spent,
                Thickened::TooDear => return Err(Refused::TooDear),
                Thickened::NothingHelps => break,
            }
            for piece in 0..self.pieces.len() {
                self.set(piece, self.scratch.choice[piece]);
            }
            match self.solve() {
                Some(solved) if solved.holds_but_va() => return Ok(solved),
                Some(solved) => {
                    for piece in 0..self.pieces.len() {
                        let amps = self.scratch.amps[piece];
                        if self.cable(piece).ampacity_a + KEPT < amps {
                            let carrying = self
                                .gauges(piece)
                                .iter()
                                .position(|cable| cable.ampacity_a + KEPT >= amps)
                                .ok_or(Refused::TooMuch)?;
                            self.scratch.choice[piece] = carrying;
                        }
                    }
                    // The fresh currents show most of what was missing; a little more hastens the end.
                    hidden_v += (-solved.margin_v).max(0.0) * 0.1 + 1e-4;
                }
                None => hidden_v += 0.25,
            }
        }
        self.hold_on_thickest()
    }
}

fn thickest(gauges: &[CableFacts]) -> usize {
    (0..gauges.len())
        .min_by(|&x, &y| gauges[x].low_ohm_per_m.total_cmp(&gauges[y].low_ohm_per_m))
        .expect("callers refuse empty gauge lists")
}
