//! The second opinion: re-verifies a plan from the inputs alone, by its own
//! formulas and a nodal solution. Imports `units`, `ids`, `job`, `plan` types only.

mod network;
pub mod nodal;
mod phasor;

pub use network::{Bus, Feed, Load, Network, Supply};
pub use phasor::Phasor;
