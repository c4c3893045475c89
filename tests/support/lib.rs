//! What several test rooms share: small jobs built in code, reference data located.

pub mod bin_packing;
pub mod build;
pub mod cut_lists;
pub mod feeders;
mod full_job;
pub mod fuzz;
pub mod mutate;
pub mod optima;
pub mod random_trees;
pub mod reference;
mod small_job;

pub use full_job::{FULL_JOB_TOML, full_job};
pub use small_job::{JOB_TOML, TABLES, altered, small_job};
