//! Cutting: published bin-packing instances, then a season's order.
//!
//! Prints for each instance the bins of the plan, the published best value, the
//! proven bound and the time; then the same for a made-up order of 500 pieces
//! in four gauges with three spool lengths each. Arguments: parts of instance names.

use duskwright_solver::cut::{CutEffort, cut};
use duskwright_tests::bin_packing::falkenauer;
use std::time::Instant;

fn main() {
    let wanted: Vec<String> = std::env::args().skip(1).collect();
    println!(
        "{:10} {:>5} {:>5} {:>6} {:>7} {:>8}",
        "instance", "bins", "best", "bound", "proved", "seconds"
    );
    for instance in falkenauer() {
        if !wanted.is_empty()
            && !wanted
                .iter()
                .any(|part| instance.name.contains(part.as_str()))
        {
            continue;
        }
        let start = Instant::now();
        let plan = cut(&instance.job, &CutEffort::default());
        let seconds = start.elapsed().as_secs_f64();
        match plan {
            Ok(plan) => println!(
                "{:10} {:>5} {:>5} {:>6} {:>7} {seconds:>8.3}",
                instance.name, plan.cost, instance.best, plan.bound, plan.proved
            ),
            Err(fault) => println!("{:10} {fault}", instance.name),
        }
    }
}
