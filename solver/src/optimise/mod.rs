//! Choosing runs, trenches and transformers at least cost; the proven bound.

pub mod bound;
mod drive;
mod effort;
mod finish;
mod fleet;
mod guided;
mod insert;
pub mod leftover;
mod master;
mod nearest;
mod polish;
mod pool;
mod reconnect;
mod regions;
mod reroute;
mod resize;
mod room;
mod ruin;
mod scout;
mod search;
mod settle;
mod state;

pub(crate) use drive::search;
pub use effort::{Effort, Observer, Progress, Settings, Silent};
pub(crate) use finish::plan_of;
pub use nearest::nearest_neighbour_chains;
pub(crate) use search::Trial;
