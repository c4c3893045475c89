//! What is asked and what is answered: cut list, spools, cutting plan.

use crate::job::{Remnant, Spool};
use crate::units::{GridSteps, Money};
use std::ops::Range;

/// A piece of cable to be cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutPiece {
    /// Name on the label.
    pub id: String,
    /// Length as bought, > 0.
    pub length: GridSteps,
    /// Whether it may come off the spool in one length with the piece before it
    /// in the list (the two meet in a joint: one pull, marked there).
    pub joined: bool,
}

impl CutPiece {
    /// A piece that starts a pull of its own.
    #[must_use]
    pub fn new(id: impl Into<String>, length: GridSteps) -> Self {
        Self {
            id: id.into(),
            length,
            joined: false,
        }
    }
    /// The same piece, continuing the pull of the piece before it.
    #[must_use]
    pub fn joined(self) -> Self {
        Self {
            joined: true,
            ..self
        }
    }
}

/// The cutting problem of one cable.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CutJob {
    /// Pieces, those of one pull next to each other and in laying order.
    pub pieces: Vec<CutPiece>,
    /// Spools on sale, any number of each.
    pub spools: Vec<Spool>,
    /// Remnants on hand, free.
    pub stock: Vec<Remnant>,
    /// Shortest length worth keeping; what is left of a spool below it is waste.
    pub shortest_useful: GridSteps,
}

/// How much work may go into one cable. Counts, not seconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutEffort {
    /// Purchases whose packing is examined in full.
    pub purchases: u32,
    /// Rounds of sequential value correction for each.
    pub value_rounds: u32,
    /// Linear relaxations solved in all.
    pub relaxations: u32,
    /// Patterns listed at most for the closing integer programme.
    pub patterns: usize,
    /// Nodes of the closing integer programme.
    pub nodes: u32,
    /// Steps of the own search that confirms a programme without a solution.
    pub steps: u64,
}

impl Default for CutEffort {
    /// Enough to prove every bin-packing instance of the published classes that are tested.
    fn default() -> Self {
        Self {
            purchases: 40,
            value_rounds: 12,
            relaxations: 4_000,
            patterns: 30_000,
            nodes: 20_000,
            steps: 300_000_000,
        }
    }
}

/// Where a spool comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CutSource {
    /// On hand: position in [`CutJob::stock`] (one of its `count`).
    Stock(usize),
    /// Bought: position in [`CutJob::spools`].
    Bought(usize),
}

/// One length off a spool: one piece, or several pieces of a pull marked at the joints between them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// Positions in [`CutJob::pieces`], in laying order.
    pub pieces: Range<usize>,
    /// Sum of their lengths.
    pub length: GridSteps,
}

/// A spool and what is cut from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutSpool {
    /// Bought or on hand.
    pub source: CutSource,
    /// Length before the first cut.
    pub length: GridSteps,
    /// Cuts in order, at least one.
    pub cuts: Vec<Cut>,
    /// What is left after the last cut, >= 0.
    pub remnant: GridSteps,
}

/// A cutting plan of one cable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutPlan {
    /// Spools in use: stock first, then bought, each in table order.
    pub spools: Vec<CutSpool>,
    /// Price of the spools bought.
    pub cost: Money,
    /// No plan costs less than this.
    pub bound: Money,
    /// Whether `cost` is proved least (then `bound == cost`).
    pub proved: bool,
    /// Joints inside a pull at which it had to be parted.
    pub partings: usize,
    /// Sum of the remnants shorter than the shortest useful length.
    pub waste: GridSteps,
    /// Remnants of at least the shortest useful length, in the order of `spools`.
    pub usable: Vec<GridSteps>,
}

impl CutPlan {
    /// How many spools of each entry of [`CutJob::spools`] are bought.
    #[must_use]
    pub fn bought(&self, job: &CutJob) -> Vec<u32> {
        let mut counts = vec![0; job.spools.len()];
        for spool in &self.spools {
            if let CutSource::Bought(index) = spool.source {
                counts[index] += 1;
            }
        }
        counts
    }
    /// How many remnants of each entry of [`CutJob::stock`] are used up.
    #[must_use]
    pub fn drawn(&self, job: &CutJob) -> Vec<u32> {
        let mut counts = vec![0; job.stock.len()];
        for spool in &self.spools {
            if let CutSource::Stock(index) = spool.source {
                counts[index] += 1;
            }
        }
        counts
    }
}
