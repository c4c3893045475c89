//! The engine beside the textbook formulation given to HiGHS, on the same small jobs:
//! `SEEDS=0,1 SIZES=6,8,10 TIMES=20` (the time that HiGHS gets, as a multiple of the engine's).
//!
//! Grid gardens, three gauges, one site, joints free, constant power, windows of 11 to 15 V.

mod formulation;
mod gardens;

use duskwright_solver::check::verify;
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::{Effort, Settings, Silent};
use duskwright_solver::plan::Plan;
use duskwright_solver::solve::{self, Outcome};
use formulation::Proposal;
use std::time::Instant;

fn numbers(name: &str, default: &str) -> Vec<u64> {
    let text = std::env::var(name).unwrap_or_else(|_| default.to_owned());
    text.split(',')
        .filter_map(|word| word.trim().parse().ok())
        .collect()
}

/// Lowest volts at a fixture in the low case; `None` where the load collapses.
fn lowest_volts(job: &Job, plan: &Plan) -> Option<f64> {
    let figures = verify(job, plan).figures;
    let mut volts = figures.fixtures.iter().map(|fixture| fixture.low);
    volts.try_fold(f64::INFINITY, |least, volts| {
        Some(least.min(volts?.value()))
    })
}

fn main() {
    let times = numbers("TIMES", "20").first().copied().unwrap_or(20);
    println!(
        "| fixtures | nodes | load | cost here | bound here | s here | textbook value | status | s | its plan: lowest V | lawful | its true cost |"
    );
    println!("|---:|---:|---|---:|---:|---:|---:|---:|---:|---:|---|---:|");
    let (mut plans, mut dark, mut dearer) = (0, 0, 0);
    for size in numbers("SIZES", "6,8,10,16") {
        for seed in numbers("SEEDS", "0,1,2,3") {
            let job = gardens::grid(size as usize, seed);
            let settings = Settings {
                effort: Effort::Standard,
                layout: Layout::Mixed,
                seed: 1,
            };
            let started = Instant::now();
            let Outcome::Feasible(own) = solve::plan(&job, &settings, &Silent) else {
                println!(
                    "| {size} | | {} | no plan | | | | | | | | |",
                    gardens::load(seed)
                );
                continue;
            };
            let seconds = started.elapsed().as_secs_f64();
            let started = Instant::now();
            let proposal = formulation::solve(&job, seconds * times as f64);
            let spent = started.elapsed().as_secs_f64();
            let cost = own.cost.total().value();
            let ours = format!(
                "| {size} | {} | {} | {cost:.2} | {:.2} | {seconds:.1} |",
                job.nodes.len(),
                gardens::load(seed),
                own.bound.value.value(),
            );
            let Some(Proposal {
                value,
                proved,
                plan,
            }) = proposal
            else {
                println!("{ours} none | | {spent:.0} | | | |");
                continue;
            };
            plans += 1;
            let verdict = verify(&job, &plan);
            let own_price = verdict.figures.total().value();
            if !verdict.is_lawful() {
                dark += 1;
            } else if own_price < cost - 1e-6 * cost {
                dearer += 1;
            }
            println!(
                "{ours} {value:.2}{} | {spent:.0} | {} | {} | {own_price:.2} |",
                if proved { " | proved" } else { " | open" },
                lowest_volts(&job, &plan)
                    .map_or("collapses".to_owned(), |volts| format!("{volts:.2}")),
                if verdict.is_lawful() { "yes" } else { "no" },
            );
        }
    }
    println!();
    println!(
        "of {plans} plans of the textbook, {dark} leave a light dark or break another rule; {dearer} lawful ones are cheaper than the engine's"
    );
}
