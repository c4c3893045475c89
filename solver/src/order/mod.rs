//! What several planned jobs need bought together: one purchase list, one
//! cutting over all of them, and what that leaves on hand.
//!
//! Cable is bought by the spool where spools are on sale and drawn from the
//! remnants on hand first; the cutting over all jobs is never dearer than the
//! jobs cut one after another (see [`crate::cut::cut_order`]). A cable without
//! any spool on sale is bought by length, and remnants of it are left alone.
//! Jobs ordered together must agree on what the things they use cost.

mod agree;
mod compose;
mod error;
mod goods;
mod lot;
mod model;
mod refusal;
mod sheet;
mod stock;
mod tables;

pub use compose::OrderChoice;
pub use error::{OrderError, PieceNamed};
pub use model::{
    CableOrder, CutLine, CutRef, Goods, Order, OrderLine, OrderedJob, PieceLabel, PlannedJob,
    SpoolCut, StockRow,
};
pub use refusal::cutting_refused;
