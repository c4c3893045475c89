//! What several test rooms share: small jobs built in code, reference data located.

pub mod bin_packing;
pub mod build;
pub mod cut_lists;
pub mod feeders;
pub mod full_job;
pub mod random_trees;
pub mod reference;
pub mod small_job;
