//! Trenches in sparse graphs.

use super::{ROUNDING, within};
use duskwright_tests::optima;

/// No cable cost and no limits: a Steiner tree. Series B of J. E. Beasley,
/// Networks 19 (1989) 1-16, optima of OR-Library and SteinLib.
#[test]
fn steiner_trees_of_series_b_are_optimal() {
    within(&optima::steiner_trees("b"), ROUNDING);
}

/// A cable for every fixture, trench and cable cost: the Steiner cable trench
/// (F. J. Vasko et al. 2002) on the same graphs; optima proved for this project.
#[test]
fn steiner_cable_trenches_are_optimal() {
    within(&optima::cable_trenches(), ROUNDING);
}

/// Digging for nothing: every home run takes a shortest path.
#[test]
fn without_digging_every_home_run_is_a_shortest_path() {
    within(&optima::shortest_paths(), ROUNDING);
}
