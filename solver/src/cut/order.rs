//! Cutting over several jobs at once, beside the same jobs cut one after another.

use super::error::CutError;
use super::layout::assembled;
use super::model::{CutEffort, CutJob, CutPiece, CutPlan, CutSource};
use super::solve::cut;
use crate::job::{Remnant, Spool};
use crate::units::{GridSteps, Money};
use std::ops::Range;

/// The cut lists of several jobs for one cable.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CutOrder {
    /// One list a job, in the order in which the jobs would be cut one by one.
    pub lists: Vec<Vec<CutPiece>>,
    /// Spools on sale.
    pub spools: Vec<Spool>,
    /// Remnants on hand before the first job.
    pub stock: Vec<Remnant>,
    /// Shortest length worth keeping.
    pub shortest_useful: GridSteps,
}

/// The consolidated plan, and what it saves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutOrderPlan {
    /// Cutting of all lists together; positions count through the lists one after another.
    pub plan: CutPlan,
    /// Position of the first piece of each list.
    pub starts: Vec<usize>,
    /// Price of the spools each job buys when the jobs are cut one by one, each
    /// drawing on what the earlier ones left of the stock and on their useful
    /// remnants. `None`: one of them cannot be cut that way (a piece that fits on
    /// a remnant only, which an earlier job used).
    pub separately: Option<Vec<Money>>,
}

impl CutOrderPlan {
    /// What consolidation saves; never below zero.
    #[must_use]
    pub fn saving(&self) -> Option<Money> {
        let separately: Money = self.separately.as_ref()?.iter().copied().sum();
        Some(separately - self.plan.cost)
    }
}

impl CutOrder {
    fn offer(&self, pieces: Vec<CutPiece>, stock: Vec<Remnant>) -> CutJob {
        CutJob {
            pieces,
            spools: self.spools.clone(),
            stock,
            shortest_useful: self.shortest_useful,
        }
    }
    /// All lists in one, with the position of the first piece of each.
    fn joined(&self) -> (CutJob, Vec<usize>) {
        let mut pieces = Vec::new();
        let mut starts = Vec::with_capacity(self.lists.len());
        for list in &self.lists {
            starts.push(pieces.len());
            pieces.extend(list.iter().cloned());
            // A pull never reaches from one job into the next.
            if let Some(first) = list.first() {
                let start = pieces.len() - list.len();
                pieces[start] = CutPiece::new(first.id.clone(), first.length);
            }
        }
        (self.offer(pieces, self.stock.clone()), starts)
    }
}

/// Cuts several jobs together: never dearer than one by one.
///
/// The jobs are first cut one by one, then all at once; the cheaper plan is
/// returned (at equal price the one made all at once), with the bound of the latter.
///
/// # Errors
/// As [`cut`], for all lists together.
pub fn cut_order(order: &CutOrder, effort: &CutEffort) -> Result<CutOrderPlan, CutError> {
    let (all, starts) = order.joined();
    let mut plan = cut(&all, effort)?;
    let one_by_one = one_by_one(order, &starts, effort).ok();
    if let Some((spools, prices)) = &one_by_one {
        let price: Money = prices.iter().copied().sum();
        if price < plan.cost {
            let sourced = spools
                .iter()
                .map(|spool| (spool.source, spool.pieces.clone()));
            plan = assembled(&all, sourced.collect(), price, plan.bound);
        }
    }
    Ok(CutOrderPlan {
        plan,
        starts,
        separately: one_by_one.map(|(_, prices)| prices),
    })
}

/// A spool as the jobs one after another cut it.
#[derive(Clone, Debug)]
struct Opened {
    source: CutSource,
    /// Positions through all lists.
    pieces: Vec<Range<usize>>,
    left: GridSteps,
}

fn one_by_one(
    order: &CutOrder,
    starts: &[usize],
    effort: &CutEffort,
) -> Result<(Vec<Opened>, Vec<Money>), CutError> {
    let mut held: Vec<u32> = order.stock.iter().map(|remnant| remnant.count).collect();
    let mut opened: Vec<Opened> = Vec::new();
    let mut prices = Vec::with_capacity(order.lists.len());
    for (list, &start) in order.lists.iter().zip(starts) {
        let mut stock: Vec<Remnant> = order.stock.clone();
        for (remnant, &count) in stock.iter_mut().zip(&held) {
            remnant.count = count;
        }
        let shelf: Vec<usize> = (0..opened.len())
            .filter(|&spool| opened[spool].left.0 >= order.shortest_useful.0.max(1))
            .collect();
        stock.extend(shelf.iter().map(|&spool| Remnant {
            length: opened[spool].left,
            count: 1,
        }));
        let plan = cut(&order.offer(list.clone(), stock), effort)?;
        prices.push(plan.cost);
        for spool in plan.spools {
            let cuts = spool.cuts.iter();
            let pieces = cuts.map(|cut| cut.pieces.start + start..cut.pieces.end + start);
            match spool.source {
                CutSource::Stock(index) if index >= order.stock.len() => {
                    let earlier = &mut opened[shelf[index - order.stock.len()]];
                    earlier.pieces.extend(pieces);
                    earlier.left = spool.remnant;
                }
                source => {
                    if let CutSource::Stock(index) = source {
                        held[index] -= 1;
                    }
                    opened.push(Opened {
                        source,
                        pieces: pieces.collect(),
                        left: spool.remnant,
                    });
                }
            }
        }
    }
    Ok((opened, prices))
}
