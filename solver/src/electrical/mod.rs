//! Voltages, currents and limits of circuits in each load case. No graph, no money.
//!
//! [`sweep`] solves one radial [`feeder`]; [`source`] couples the circuits of a
//! transformer; [`cases`] solves a whole plan in the low, high and expected case;
//! [`advice`] says what a circuit would still bear.

pub mod advice;
pub mod arithmetic;
pub mod cases;
pub mod circuit;
pub mod conditions;
pub mod conductor;
pub mod continuation;
pub mod energy;
pub mod feeder;
pub mod limits;
mod load;
pub mod margin;
pub mod network;
pub mod phasor;
pub mod short;
pub mod source;
#[cfg(test)]
mod specimen;
pub mod sweep;
pub mod switching;

pub use conditions::Conditions;
pub use feeder::Feeder;
pub use load::BusLoad;
pub(crate) use load::power;
pub use source::{Physics, Supply, Terminals, Unserved};
pub use sweep::{NoSolution, Rejected, Sweep};
