//! The sample jobs, planned: cost, proven bound, gap, share of digging, time.
//!
//! `bench-samples [quick|standard|thorough]...`; without words: quick and standard.
//! Beside each, at quick effort, simpler ways to wire the job: none may be cheaper.
//! Costs and bounds are the same on any machine; seconds are not.

use duskwright_benches::sample;
use duskwright_solver::check;
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::{Effort, Settings, Silent, nearest_neighbour_chains};
use duskwright_solver::solve::{self, Outcome};
use duskwright_solver::tariff::Tariff;
use std::process::ExitCode;
use std::time::Instant;

/// The samples, small to large.
const SAMPLES: [&str; 3] = ["courtyard", "garden", "estate"];

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let Some(efforts) = efforts(&words) else {
        eprintln!("accepted: quick, standard, thorough");
        return ExitCode::from(2);
    };
    println!("| job | fixtures | segments | effort | cost | bound | gap | digging | seconds |");
    println!("|---|---:|---:|---|---:|---:|---:|---:|---:|");
    for sample in SAMPLES {
        match sample::read(sample) {
            Ok(job) => {
                for &(word, effort) in &efforts {
                    println!("{}", row(sample, &job, word, effort, Layout::Mixed));
                }
                println!("{}", chains_row(sample, &job));
                for (word, job, layout) in simpler_ways(&job) {
                    println!("{}", row(sample, &job, word, Effort::Quick, layout));
                }
            }
            Err(reason) => {
                eprintln!("{sample}: {reason}");
                return ExitCode::FAILURE;
            }
        }
    }
    ExitCode::SUCCESS
}

/// The efforts asked for, with their names; `None` for a word that is none.
fn efforts(words: &[String]) -> Option<Vec<(&'static str, Effort)>> {
    let known = [
        ("quick", Effort::Quick),
        ("standard", Effort::Standard),
        ("thorough", Effort::Thorough),
    ];
    if words.is_empty() {
        return Some(known[..2].to_vec());
    }
    words
        .iter()
        .map(|word| known.into_iter().find(|(name, _)| name == word))
        .collect()
}

/// What a plan is held against: simpler ways to wire the same job.
fn simpler_ways(job: &Job) -> [(&'static str, Job, Layout); 3] {
    let mut alone = job.clone();
    alone.rules.most_fixtures_per_circuit = Some(1);
    [
        ("chain only", job.clone(), Layout::Chain),
        ("hub only", job.clone(), Layout::Hub),
        ("a home run for each fixture", alone, Layout::Mixed),
    ]
}

/// Nearest-neighbour chains filled to the limit.
fn chains_row(sample: &str, job: &Job) -> String {
    let told = match nearest_neighbour_chains(job) {
        Some(plan) if check::verify(job, &plan).is_lawful() => {
            let cost = Tariff::new(job).plan_cost(job, &plan);
            let share = cost.trench.value() / cost.total().value();
            format!("{:.2} | | | {:.0} %", cost.total().value(), 100.0 * share)
        }
        Some(_) => "fails the check | | | ".to_owned(),
        None => "none | | | ".to_owned(),
    };
    format!(
        "| {sample} | {} | {} | nearest-neighbour chains | {told} | |",
        job.fixtures.len(),
        job.segments.len()
    )
}

fn row(sample: &str, job: &Job, word: &str, effort: Effort, layout: Layout) -> String {
    let settings = Settings {
        effort,
        layout,
        seed: 1,
    };
    let started = Instant::now();
    let outcome = solve::plan(job, &settings, &Silent);
    let seconds = started.elapsed().as_secs_f64();
    let told = match outcome {
        Outcome::Feasible(solution) => {
            let cost = solution.cost.total().value();
            format!(
                "{cost:.2} | {:.2} | {:.1} % | {:.0} %",
                solution.bound.value.value(),
                100.0 * solution.gap(),
                100.0 * solution.cost.trench.value() / cost,
            )
        }
        Outcome::NotFound { unserved, .. } => format!("none, {} left over | | | ", unserved.len()),
        Outcome::Unsound { .. } => "fails the check | | | ".to_owned(),
    };
    format!(
        "| {sample} | {} | {} | {word} | {told} | {seconds:.1} |",
        job.fixtures.len(),
        job.segments.len()
    )
}
