//! Prints the bound alone on generated jobs, beside the best cost known: `SIZES=30 SEEDS=0,1
//! STEPS=1000,4000` says on which, and with how many steps.

use duskwright_benches::{best_known, garden};
use duskwright_solver::job::Layout;
use duskwright_solver::optimise::Silent;
use duskwright_solver::optimise::bound::{BoundWork, lower_bound};
use duskwright_solver::units::Cost;
use rayon::prelude::*;
use std::time::Instant;

fn numbers(name: &str, default: &str) -> Vec<f64> {
    let text = std::env::var(name).unwrap_or_else(|_| default.to_owned());
    text.split(',')
        .filter_map(|word| word.trim().parse().ok())
        .collect()
}

fn main() {
    let seeds = numbers("SEEDS", "0,1,2,3,4,5,6,7,8,9");
    for size in numbers("SIZES", "12,30,60") {
        for steps in numbers("STEPS", "4000") {
            let rows: Vec<String> = seeds
                .par_iter()
                .map(|&seed| {
                    let (size, seed) = (size as u64, seed as u64);
                    let job = garden::job(size as usize, seed);
                    let Some(best) = best_known::cost(size, seed) else {
                        return format!("{size:4} {seed:3} no plan known");
                    };
                    let work = BoundWork::for_steps(&job, steps as u32);
                    let started = Instant::now();
                    let bound =
                        lower_bound(&job, Layout::Mixed, Some(Cost::new(best)), work, &Silent);
                    format!(
                        "{size:4} {seed:3} steps {steps:6} best known {best:10.2} bound {:10.2} gap {:5.2} % time {:6.1} s",
                        bound.value.value(),
                        100.0 * (best - bound.value.value()) / best,
                        started.elapsed().as_secs_f64()
                    )
                })
                .collect();
            for row in rows {
                println!("{row}");
            }
        }
    }
}
