//! Where transformers stand.

use super::within;
use duskwright_tests::optima::{self, Optimum};

/// Uncapacitated warehouse location (J. E. Beasley, OR-Library uncap: 16 sites, 50 customers).
#[test]
fn transformer_sites_are_near_the_best_warehouse_locations() {
    let small = |one: &Optimum| ["cap71", "cap73"].contains(&one.name.as_str());
    let instances: Vec<Optimum> = optima::warehouses().into_iter().filter(small).collect();
    within(&instances, 0.03);
}
