//! Bin-packing instances with published optima, through the cutting planner.
//!
//! Source: E. Falkenauer, "A hybrid grouping genetic algorithm for bin packing",
//! *J. Heuristics* 2 (1996) 5-30; OR-Library. Best values: proved optimal in the
//! reference list. Read in place; skipped when absent. All instances at hand are
//! run by the cutting bench; here those that between them take every path.

use duskwright_solver::cut::{CutEffort, cut};
use duskwright_solver::units::Money;
use duskwright_tests::bin_packing::falkenauer;
use duskwright_tests::cut_lists::assert_cuts;

/// Packed by construction, by the relaxation, by the dive; all sizes of both classes.
const REPRESENTATIVE: [&str; 16] = [
    "u120_00", "u120_02", "u120_08", "u120_12", "u120_18", "u250_00", "u250_08", "u250_12",
    "u500_00", "u500_04", "t60_00", "t60_12", "t60_16", "t120_00", "t120_08", "t249_04",
];

#[test]
fn published_bin_packing_optima_are_reached_and_proved() {
    let instances = falkenauer();
    if instances.is_empty() {
        eprintln!("skipped: no bin-packing instances at hand");
        return;
    }
    let mut seen = 0;
    for instance in &instances {
        if !REPRESENTATIVE.contains(&instance.name.as_str()) {
            continue;
        }
        seen += 1;
        let plan = cut(&instance.job, &CutEffort::default()).expect("every item fits");
        assert_cuts(&instance.job, &plan);
        assert_eq!(
            plan.cost,
            Money::new(instance.best.into()),
            "{}",
            instance.name
        );
        assert!(plan.proved, "{}: bound {}", instance.name, plan.bound);
    }
    assert_eq!(
        seen,
        REPRESENTATIVE.len(),
        "instances missing from the list"
    );
}
