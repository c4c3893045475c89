//! Prints cost, bound, gap, regret and time of generated jobs: `SIZES=12,30 SEEDS=0,1`.
//! `WITHOUT=joints,transformers` leaves costs and rules out first (`duskwright_benches::stripped`):
//! what the gap is then tells what the bound misses. The regret is that of whole jobs only.

use duskwright_benches::{best_known, garden, stripped};
use duskwright_solver::job::Layout;
use duskwright_solver::optimise::{Effort, Settings, Silent};
use duskwright_solver::solve::{self, Outcome};
use std::time::Instant;

fn numbers(name: &str, default: &str) -> Vec<u64> {
    let text = std::env::var(name).unwrap_or_else(|_| default.to_owned());
    text.split(',')
        .filter_map(|word| word.trim().parse().ok())
        .collect()
}

fn main() -> Result<(), String> {
    let effort = match std::env::var("EFFORT").as_deref() {
        Ok("quick") => Effort::Quick,
        Ok("thorough") => Effort::Thorough,
        _ => Effort::Standard,
    };
    let left_out = std::env::var("WITHOUT").unwrap_or_default();
    let left_out: Vec<&str> = left_out
        .split(',')
        .filter(|word| !word.is_empty())
        .collect();
    for size in numbers("SIZES", "12,30,60,120") {
        for seed in numbers("SEEDS", "0,1,2,3,4,5,6,7,8,9") {
            let mut job = garden::job(size as usize, seed);
            for word in &left_out {
                stripped::without(&mut job, word)?;
            }
            let started = Instant::now();
            let settings = Settings {
                effort,
                layout: Layout::Mixed,
                seed: 1,
            };
            let outcome = solve::plan(&job, &settings, &Silent);
            let seconds = started.elapsed().as_secs_f64();
            match outcome {
                Outcome::Feasible(solution) => {
                    let cost = &solution.cost;
                    println!(
                        "{size:4} {seed:3} {} cost {:10.2} bound {:10.2} gap {:5.2} % regret {} trench {:9.2} cable {:8.2} joints {:7.2} hubs {:7.2} transformers {:8.2} circuits {:3} segments {:5} time {seconds:6.1} s",
                        if garden::is_binding(seed) {
                            "binding"
                        } else {
                            "slack  "
                        },
                        cost.total().value(),
                        solution.bound.value.value(),
                        100.0 * solution.gap(),
                        match left_out.is_empty() {
                            true => best_known::regret(size, seed, cost.total().value()),
                            false => "-".to_owned(),
                        },
                        cost.trench.value(),
                        cost.cable.value(),
                        cost.joints.value(),
                        cost.hubs.value(),
                        cost.transformers.value(),
                        solution.plan.circuits.len(),
                        job.segments.len(),
                    );
                }
                Outcome::NotFound { unserved, .. } => {
                    println!(
                        "{size:4} {seed:3} unserved {} time {seconds:6.1} s",
                        unserved.len()
                    );
                }
                Outcome::Unsound { verdict, .. } => {
                    println!("{size:4} {seed:3} fails the check:");
                    for violation in &verdict.violations {
                        println!("    {violation}");
                    }
                }
            }
        }
    }
    Ok(())
}
