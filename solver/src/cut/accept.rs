//! From the cutting problem as asked to the bare packing problem: checks,
//! common divisor, equal lengths, dominated spools.

use super::error::{CutError, MOST_DECIMALS, MOST_PRICE};
use super::model::{CutJob, CutPiece, CutSource};
use super::packing::{Kind, Packing};
use crate::units::{GridSteps, Money};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// Most pieces of one cable.
const MOST_PIECES: u64 = 50_000;
/// Longest spool, grid steps (10 km or 100,000 ft).
const LONGEST_SPOOL: u64 = 1_000_000;

/// Kinds of spools and where single spools of each come from.
#[derive(Clone, Debug)]
pub(super) struct Shelf {
    /// Grid steps in one unit of length of the packing problem.
    pub(super) divisor: i64,
    /// As in [`Packing::kinds`].
    pub(super) kinds: Vec<Kind>,
    /// Sources of each kind: one per spool for stock, a single repeatable one on sale.
    pub(super) sources: Vec<Vec<CutSource>>,
    /// Decimals of the whole-number prices of the kinds.
    pub(super) decimals: u32,
}

impl Shelf {
    /// A price in money again.
    pub(super) fn money(&self, cost: i64) -> Money {
        Money::new(Decimal::new(cost, self.decimals).normalize())
    }
    /// The source of the `nth` spool used of a kind.
    pub(super) fn source(&self, kind: usize, nth: usize) -> CutSource {
        let sources = &self.sources[kind];
        sources[nth.min(sources.len() - 1)]
    }
    /// The packing problem of these lengths, with the positions that make each class.
    pub(super) fn packing(&self, lengths: &[GridSteps]) -> (Packing, Vec<Vec<usize>>) {
        let mut order: Vec<usize> = (0..lengths.len()).collect();
        order.sort_by_key(|&position| (std::cmp::Reverse(lengths[position]), position));
        let mut members: Vec<Vec<usize>> = Vec::new();
        let mut sizes = Vec::new();
        for position in order {
            let size = lengths[position].0 / self.divisor;
            if sizes.last() == Some(&size) {
                if let Some(class) = members.last_mut() {
                    class.push(position);
                }
            } else {
                sizes.push(size);
                members.push(vec![position]);
            }
        }
        let demand = members
            .iter()
            .map(|class| u32::try_from(class.len()).unwrap_or(u32::MAX));
        let packing = Packing {
            demand: demand.collect(),
            sizes,
            kinds: self.kinds.clone(),
        };
        (packing, members)
    }
}

/// Checks the problem and lays out its spools.
pub(super) fn shelf(job: &CutJob) -> Result<Shelf, CutError> {
    check_lengths(job)?;
    check_pieces_fit(job)?;
    let decimals = check_prices(job)?;
    let divisor = job
        .pieces
        .iter()
        .fold(0, |divisor, piece| gcd(divisor, piece.length.0))
        .max(1);
    let total: i64 = job.pieces.iter().map(|piece| piece.length.0).sum();
    let shortest = job
        .pieces
        .iter()
        .map(|piece| piece.length.0)
        .min()
        .unwrap_or(1);
    let capacity = |length: GridSteps| length.0.min(total) / divisor;
    let mut offers = Vec::new();
    for (index, remnant) in job.stock.iter().enumerate() {
        let most = u32::try_from(job.pieces.len()).unwrap_or(u32::MAX);
        if remnant.length.0 >= shortest && remnant.count > 0 {
            let count = remnant.count.min(most);
            offers.push((
                capacity(remnant.length),
                0,
                Some(count),
                CutSource::Stock(index),
            ));
        }
    }
    for (index, spool) in job.spools.iter().enumerate() {
        if spool.length.0 < shortest {
            continue;
        }
        let cost = whole(spool.price, decimals);
        // A free spool on sale is stock that lasts: one for each piece is enough.
        let limit = (cost == 0).then(|| u32::try_from(job.pieces.len()).unwrap_or(u32::MAX));
        offers.push((
            capacity(spool.length),
            cost,
            limit,
            CutSource::Bought(index),
        ));
    }
    Ok(arranged(offers, divisor, decimals))
}

type Offer = (i64, i64, Option<u32>, CutSource);

/// Stock by rising length, equal lengths together; then kinds on sale that no other kind dominates.
fn arranged(offers: Vec<Offer>, divisor: i64, decimals: u32) -> Shelf {
    let (mut held, sold): (Vec<Offer>, Vec<Offer>) =
        offers.into_iter().partition(|offer| offer.2.is_some());
    held.sort_by_key(|&(capacity, _, _, source)| (capacity, source));
    let mut shelf = Shelf {
        divisor,
        kinds: Vec::new(),
        sources: Vec::new(),
        decimals,
    };
    for (capacity, cost, limit, source) in held {
        let count = limit.unwrap_or(0);
        let sources = std::iter::repeat_n(source, count as usize);
        match (shelf.kinds.last_mut(), shelf.sources.last_mut()) {
            (Some(last), Some(known)) if last.capacity == capacity => {
                last.limit = last.limit.map(|limit| limit.saturating_add(count));
                known.extend(sources);
            }
            _ => {
                shelf.kinds.push(Kind {
                    capacity,
                    cost,
                    limit,
                });
                shelf.sources.push(sources.collect());
            }
        }
    }
    for (position, &(capacity, cost, limit, source)) in sold.iter().enumerate() {
        let dominated = sold
            .iter()
            .enumerate()
            .any(|(other, &(length, price, ..))| {
                let no_worse = length >= capacity && price <= cost;
                no_worse && ((length, price) != (capacity, cost) || other < position)
            });
        if !dominated {
            shelf.kinds.push(Kind {
                capacity,
                cost,
                limit,
            });
            shelf.sources.push(vec![source]);
        }
    }
    shelf
}

fn check_lengths(job: &CutJob) -> Result<(), CutError> {
    if let Some(piece) = job.pieces.iter().find(|piece| piece.length.0 <= 0) {
        return Err(CutError::PieceLength {
            id: piece.id.clone(),
            length: piece.length,
        });
    }
    let spools = job.spools.iter().map(|spool| spool.length).enumerate();
    let stock = job.stock.iter().map(|remnant| remnant.length).enumerate();
    let both = spools
        .map(|each| ("spool", each))
        .chain(stock.map(|each| ("remnant", each)));
    for (what, (position, length)) in both {
        if length.0 <= 0 {
            return Err(CutError::SpoolLength {
                what,
                position,
                length,
            });
        }
        let steps = length.0.unsigned_abs();
        if steps > LONGEST_SPOOL {
            return Err(CutError::TooLarge {
                what: "the length of a spool in grid steps",
                given: steps,
                most: LONGEST_SPOOL,
            });
        }
    }
    let pieces = job.pieces.len() as u64;
    if pieces > MOST_PIECES {
        return Err(CutError::TooLarge {
            what: "the number of pieces of one cable",
            given: pieces,
            most: MOST_PIECES,
        });
    }
    Ok(())
}

fn check_pieces_fit(job: &CutJob) -> Result<(), CutError> {
    let on_sale = job.spools.iter().map(|spool| spool.length);
    let held = job.stock.iter().filter(|remnant| remnant.count > 0);
    let longest = on_sale.chain(held.map(|remnant| remnant.length)).max();
    let longest = longest.unwrap_or_default();
    let pieces = named(job.pieces.iter().filter(|piece| piece.length > longest));
    if pieces.is_empty() {
        Ok(())
    } else {
        Err(CutError::PieceTooLong { pieces, longest })
    }
}

/// Names and lengths for a message.
pub(super) fn named<'a>(pieces: impl Iterator<Item = &'a CutPiece>) -> Vec<(String, GridSteps)> {
    pieces
        .map(|piece| (piece.id.clone(), piece.length))
        .collect()
}

/// Decimals needed to make every price whole.
fn check_prices(job: &CutJob) -> Result<u32, CutError> {
    let mut decimals = 0;
    for (position, spool) in job.spools.iter().enumerate() {
        let price = spool.price.decimal().normalize();
        let lawful = price >= Decimal::ZERO && price <= Decimal::from(MOST_PRICE);
        if !lawful || price.scale() > MOST_DECIMALS {
            return Err(CutError::SpoolPrice {
                position,
                price: spool.price,
            });
        }
        decimals = decimals.max(price.scale());
    }
    Ok(decimals)
}

fn whole(price: Money, decimals: u32) -> i64 {
    let scaled = price.decimal() * Decimal::from(10_i64.pow(decimals));
    scaled
        .to_i64()
        .expect("check_prices bounds every price and its decimals")
}

const fn gcd(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}
