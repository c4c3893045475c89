//! What several test rooms share: small jobs built in code, reference data located.

pub mod bin_packing;
pub mod build;
pub mod feeders;
pub mod random_trees;
pub mod reference;
