//! Choosing runs, trenches and transformers at least cost; the proven bound.

pub mod bound;
mod effort;

pub use effort::{Effort, Observer, Progress, Settings, Silent};
