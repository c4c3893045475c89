//! Voltages, currents and limits of circuits in each load case. No graph, no money.

pub mod feeder;
mod load;
mod phasor;
pub mod sweep;

pub use feeder::Feeder;
pub use load::BusLoad;
pub use sweep::{NoSolution, Rejected, Sweep};
