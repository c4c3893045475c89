//! The bill: what the job costs, line by line, and the totals that follow.
//!
//! Every figure that an estimate shows is computed here once; the pages only
//! format it.

mod exact;
mod ground;
mod lines;
mod model;
mod offer;
mod sheet;
#[cfg(test)]
pub(crate) mod specimen;
mod spools;
mod takeoff;
#[cfg(test)]
mod tests;
mod totals;

pub(crate) use exact::{hundredths, shown_length};
pub(crate) use ground::{GroundPart, GroundSurface};
pub use model::{
    Bill, CableSupply, DirectCost, DirectLine, DirectPart, GENERAL, Line, LineKind, PerFixture,
    Quantity, SpoolBought, StockDrawn, TaxLine, Unit, class_symbol,
};
pub use offer::{Offer, OfferPart, Share};
pub use spools::CableCutting;
pub(crate) use takeoff::{SegmentTake, Takeoff};
