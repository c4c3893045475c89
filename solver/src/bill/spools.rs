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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::{CutSource, CutSpool};
    use crate::job::{Remnant, Spool};
    use crate::units::{GridSteps, Money};
    use rust_decimal::dec;

    fn from(source: CutSource, length: i64) -> CutSpool {
        CutSpool {
            source,
            length: GridSteps(length),
            cuts: Vec::new(),
            remnant: GridSteps(0),
        }
    }

    /// Three lengths on sale and two on hand; two of the second spool and one of the first
    /// remnant are used.
    #[test]
    fn only_what_the_cutting_plan_uses_is_bought_or_drawn() {
        let spool = |length, price| Spool {
            length: GridSteps(length),
            price: Money::new(price),
        };
        let remnant = |length| Remnant {
            length: GridSteps(length),
            count: 3,
        };
        let (bought, drawn) = (CutSource::Bought(1), CutSource::Stock(0));
        let cutting = CableCutting {
            cable: CableId(4),
            problem: CutJob {
                spools: vec![
                    spool(1000, dec!(70)),
                    spool(2500, dec!(150)),
                    spool(5000, dec!(280)),
                ],
                stock: vec![remnant(300), remnant(600)],
                ..CutJob::default()
            },
            plan: CutPlan {
                spools: vec![from(drawn, 300), from(bought, 2500), from(bought, 2500)],
                cost: Money::new(dec!(300)),
                bound: Money::new(dec!(300)),
                proved: true,
                partings: 0,
                waste: GridSteps(0),
                usable: Vec::new(),
            },
        };
        let expected = CableSupply::BySpool {
            bought: vec![SpoolBought {
                cable: CableId(4),
                length: GridSteps(2500),
                count: 2,
                price: Money::new(dec!(150)),
            }],
            drawn: vec![StockDrawn {
                cable: CableId(4),
                length: GridSteps(300),
                count: 1,
            }],
        };
        assert_eq!(CableSupply::of(&[cutting]), expected);
        assert_eq!(CableSupply::of(&[]), CableSupply::ByLength);
    }
}
