//! What several benches share: seeded garden-like jobs, and the samples.

pub mod best_known;
pub mod catalogue;
pub mod garden;
pub mod processor;
pub mod sample;
pub mod stripped;
