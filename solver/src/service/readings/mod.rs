//! Expected readings: an order of work that lets the crew test early, and at each step
//! what a meter should show, with bands.
//!
//! Order: for each transformer its taps without load; then for each run its first
//! fixture, then the whole run alone; last everything together. A mistake shows while
//! only what was just wired can be its cause.

mod bands;
mod order;
mod sheet;

pub use bands::{Band, Draws};
pub use order::{Stage, Step, steps};
pub use sheet::{ReadingRow, Sheet, StepRows};
