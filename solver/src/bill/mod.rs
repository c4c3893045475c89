//! The bill: what the job costs, line by line, and the totals that follow.
//!
//! Every figure that an estimate shows is computed here once; the pages only
//! format it.

mod model;

pub use model::{
    Bill, CableSupply, DirectCost, DirectLine, DirectPart, Line, LineKind, PerFixture, Quantity,
    SpoolBought, StockDrawn, TaxLine, Unit,
};
