//! Purchases in order of price until one packs.

use super::accept;
use super::assortment::{Cheapest, Judged, cheapest};
use super::cover;
use super::decide::{Decision, Verdict};
use super::error::CutError;
use super::fill;
use super::layout;
use super::model::{CutEffort, CutJob, CutPlan};
use super::packing::{Load, Packing};
use crate::units::GridSteps;

/// Plans the cutting of one cable: least cost, with a proven bound.
///
/// The result is deterministic. Its cost is never above that of a first-fit
/// filling, its bound never above the least cost; `proved` says that they meet.
///
/// # Errors
/// [`CutError`] for lengths or prices out of range and for pieces that no spool holds.
///
/// # Example
/// ```
/// use duskwright_solver::cut::{CutEffort, CutJob, CutPiece, cut};
/// use duskwright_solver::job::Spool;
/// use duskwright_solver::units::{GridSteps, Money};
/// use rust_decimal::dec;
///
/// let job = CutJob {
///     pieces: vec![
///         CutPiece::new("A", GridSteps(600)),
///         CutPiece::new("B", GridSteps(500)).joined(),
///         CutPiece::new("C", GridSteps(400)),
///     ],
///     // Invented prices.
///     spools: vec![
///         Spool { length: GridSteps(1000), price: Money::new(dec!(30)) },
///         Spool { length: GridSteps(2500), price: Money::new(dec!(70)) },
///     ],
///     ..CutJob::default()
/// };
/// let plan = cut(&job, &CutEffort::default())?;
/// assert_eq!(plan.cost, Money::new(dec!(60)));
/// assert!(plan.proved);
/// # Ok::<(), duskwright_solver::cut::CutError>(())
/// ```
pub fn cut(job: &CutJob, effort: &CutEffort) -> Result<CutPlan, CutError> {
    let shelf = accept::shelf(job)?;
    let lengths: Vec<GridSteps> = job.pieces.iter().map(|piece| piece.length).collect();
    let (packing, members) = shelf.packing(&lengths);
    let solved = least_cost(&packing, effort).map_err(|classes| {
        let pieces = classes.iter().flat_map(|&class| &members[class]);
        let mut positions: Vec<usize> = pieces.copied().collect();
        positions.sort_unstable();
        CutError::StockTooSmall {
            pieces: accept::named(positions.iter().map(|&position| &job.pieces[position])),
        }
    })?;
    debug_assert!(
        packing.is_packed_by(&solved.loads),
        "every piece once, within its spool and the supply"
    );
    Ok(layout::plan(
        job, &shelf, &packing, &members, &solved, effort,
    ))
}

/// A packing with its bound.
#[derive(Clone, Debug)]
pub(super) struct Solved {
    pub(super) loads: Vec<Load>,
    /// No packing costs less.
    pub(super) bound: i64,
}

/// Least-cost packing.
///
/// # Errors
/// The classes that fit on stock only and for which the stock was not found to suffice.
pub(super) fn least_cost(packing: &Packing, effort: &CutEffort) -> Result<Solved, Vec<usize>> {
    let mut decision = Decision::new(packing, effort);
    let mut best = first(packing, &mut decision, effort)?;
    let mut covers = vec![cover::by_length(packing)];
    let mut judged = Judged::default();
    let mut bound = None;
    let mut strengthened = false;
    for _ in 0..effort.purchases {
        let price = packing.cost(&best);
        let (counts, cost) = match cheapest(packing, &covers, &judged, price) {
            Cheapest::Purchase(counts, cost) => (counts, cost),
            Cheapest::NoneBelow => {
                return Ok(Solved {
                    bound: bound.unwrap_or(price).min(price),
                    loads: best,
                });
            }
            Cheapest::CutShort(floor) => {
                bound = Some(bound.map_or(floor, |known: i64| known.min(floor)));
                break;
            }
        };
        // Value correction is dear: it waits until the inequalities have ruled out the hopeless purchases.
        let rounds = if strengthened { effort.value_rounds } else { 0 };
        if let Some(loads) = fill::pack(packing, &packing.demand, &counts, rounds) {
            best = loads;
            continue;
        }
        if !strengthened {
            strengthened = true;
            covers.extend(cover::by_thresholds(packing));
            covers.extend(decision.cost_cover(&best));
            continue;
        }
        match decision.judge(&counts) {
            Verdict::Packed(loads) => best = loads,
            Verdict::Excluded(cover) => covers.push(cover),
            Verdict::Impossible => judged.impossible.push(counts),
            Verdict::Undecided => {
                bound = Some(bound.map_or(cost, |known: i64| known.min(cost)));
                judged.undecided.push(counts);
            }
        }
    }
    let price = packing.cost(&best);
    let open = match cheapest(packing, &covers, &judged, price) {
        Cheapest::Purchase(_, cost) => cost,
        Cheapest::NoneBelow => price,
        Cheapest::CutShort(floor) => floor,
    };
    Ok(Solved {
        bound: bound.unwrap_or(open).min(open).min(price),
        loads: best,
    })
}

/// A first packing. Pieces longer than every spool on sale go onto stock before anything else does.
fn first(
    packing: &Packing,
    decision: &mut Decision<'_>,
    effort: &CutEffort,
) -> Result<Vec<Load>, Vec<usize>> {
    let stock = packing.stock_only();
    if let Some(loads) = fill::first_purchase(packing, &packing.demand, &stock) {
        return Ok(loads);
    }
    let on_sale = packing
        .on_sale()
        .map(|kind| packing.kinds[kind].capacity)
        .max()
        .unwrap_or(0);
    let is_long = |class: usize| packing.sizes[class] > on_sale;
    let split = |long: bool| -> Vec<u32> {
        let each = packing.demand.iter().enumerate();
        each.map(|(class, &count)| if is_long(class) == long { count } else { 0 })
            .collect()
    };
    let failed = || {
        (0..packing.sizes.len())
            .filter(|&class| is_long(class))
            .collect::<Vec<_>>()
    };
    let long = fill::pack(packing, &split(true), &stock, effort.value_rounds)
        .or_else(|| decision.pack_some(&split(true), &stock))
        .ok_or_else(failed)?;
    let mut left = stock;
    for load in &long {
        left[load.kind] -= 1;
    }
    let mut loads = fill::first_purchase(packing, &split(false), &left).ok_or_else(failed)?;
    loads.extend(long);
    Ok(loads)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::packing::Kind;

    /// The classical gap of cutting stock: lengths 44, 33, 12 from 132 (from memory
    /// of M. Fieldhouse, *SICUP Bulletin* 5 (1990)). With 5, 7, 17 of them the
    /// relaxation needs 5/3 + 7/4 + 17/11 = 4.96 spools. Five spools leave 660 - 655 = 5
    /// to waste. The patterns wasting at most 5 hold three of 44 (waste 0), one of 44 and
    /// seven of 12 (waste 4), or none of 44; five of 44 then waste 8 or more: six are needed.
    #[test]
    fn a_gap_of_the_relaxation_is_closed_by_listing_patterns() {
        let packing = Packing {
            sizes: vec![44, 33, 12],
            demand: vec![5, 7, 17],
            kinds: vec![Kind {
                capacity: 132,
                cost: 1,
                limit: None,
            }],
        };
        let solved = least_cost(&packing, &CutEffort::default()).expect("every piece fits");
        assert_eq!((packing.cost(&solved.loads), solved.bound), (6, 6));
        assert!(packing.is_packed_by(&solved.loads));
    }

    #[test]
    fn a_purchase_is_chosen_by_price_and_not_by_fit() {
        // 11 of length 9: one spool of 100 (price 50) holds all; ten of 10 (price 4.6 each) hold ten only.
        let on_sale = |capacity, cost| Kind {
            capacity,
            cost,
            limit: None,
        };
        let packing = Packing {
            sizes: vec![9],
            demand: vec![11],
            kinds: vec![on_sale(10, 46), on_sale(100, 500)],
        };
        let solved = least_cost(&packing, &CutEffort::default()).expect("every piece fits");
        assert_eq!((packing.cost(&solved.loads), solved.bound), (500, 500));
    }
}
