//! What several benches share: seeded garden-like jobs.

pub mod catalogue;
pub mod garden;
