//! What a cutting plan buys and draws, as the bill takes it.

use super::model::{CableSupply, SpoolBought, StockDrawn};
use crate::cut::{CutJob, CutPlan};
use crate::ids::CableId;

/// The cutting of one cable of a plan: its problem, as [`crate::cut::cut_jobs`] states it, and the answer.
#[derive(Clone, Debug, PartialEq)]
pub struct CableCutting {
    /// The cable.
    pub cable: CableId,
    /// Pieces, spools on sale, remnants on hand.
    pub problem: CutJob,
    /// Which piece is cut from which spool.
    pub plan: CutPlan,
}

impl CableSupply {
    /// Spools bought and remnants drawn, by cable as given, then in catalogue order; by length where nothing is cut.
    #[must_use]
    pub fn of(cuttings: &[CableCutting]) -> Self {
        if cuttings.is_empty() {
            return Self::ByLength;
        }
        let bought = cuttings.iter().flat_map(|cutting| {
            let counts = cutting.plan.bought(&cutting.problem);
            let spools = cutting.problem.spools.iter().zip(counts);
            spools.map(|(spool, count)| SpoolBought {
                cable: cutting.cable,
                length: spool.length,
                count,
                price: spool.price,
            })
        });
        let drawn = cuttings.iter().flat_map(|cutting| {
            let counts = cutting.plan.drawn(&cutting.problem);
            let stock = cutting.problem.stock.iter().zip(counts);
            stock.map(|(remnant, count)| StockDrawn {
                cable: cutting.cable,
                length: remnant.length,
                count,
            })
        });
        Self::BySpool {
            bought: bought.filter(|spool| spool.count > 0).collect(),
            drawn: drawn.filter(|remnant| remnant.count > 0).collect(),
        }
    }
}
