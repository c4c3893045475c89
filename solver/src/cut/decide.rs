//! Whether a given purchase packs.

use super::cover::Cover;
use super::model::CutEffort;
use super::packing::{Load, Packing};

/// What is known of a purchase.
#[derive(Clone, Debug)]
pub(super) enum Verdict {
    /// It packs, so.
    Packed(Vec<Load>),
    /// It violates this inequality, newly found.
    Excluded(Cover),
    /// No packing exists (closing integer programme).
    Impossible,
    /// Not settled within the effort.
    Undecided,
}

/// The judge of purchases of one packing problem.
pub(super) struct Decision<'a> {
    packing: &'a Packing,
    effort: CutEffort,
}

impl<'a> Decision<'a> {
    pub(super) fn new(packing: &'a Packing, effort: &CutEffort) -> Self {
        Self {
            packing,
            effort: *effort,
        }
    }
    pub(super) fn cost_covers(&mut self, _price: i64) -> Vec<Cover> {
        Vec::new()
    }
    pub(super) fn judge(&mut self, _counts: &[u32]) -> Verdict {
        Verdict::Undecided
    }
    pub(super) fn pack_some(&mut self, _demand: &[u32], _counts: &[u32]) -> Option<Vec<Load>> {
        None
    }
}
