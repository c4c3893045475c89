//! What holds for any radial feeder, tried on random trees.

mod agreement;
mod coupling;
mod early_rejection;
mod existence;
