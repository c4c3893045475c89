//! Open chains of points in a plane, through the engine's own path, for a comparison
//! with other libraries (`make peer-layout`): `SIZES=40,80 SEEDS=0,1 MOST=8 EFFORT=standard`.
//!
//! Site and points lie evenly at random in a square of 1 km, on whole millimetres. Every
//! instance is planned on one thread to its end and, where that took
//! longer than `SECONDS_EACH` (5) of processor time, once more and stopped then. One JSON
//! object a line: site, points, the chains of both plans, their costs and seconds.
//! Seconds are of the processor where the system tells them, of the clock elsewhere.

use duskwright_benches::processor;
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::{Effort, Observer, Progress, Settings};
use duskwright_solver::solve::{self, Outcome};
use duskwright_tests::optima::{chains, walked};
use rand::{RngExt as _, SeedableRng as _};
use serde_json::{Value, json};
use std::error::Error;
use std::sync::Mutex;
use std::time::Instant;

/// Side of the square, mm.
const SIDE_MM: i32 = 1_000_000;
/// Fewer points have no mesh, which one of the libraries asks for.
const LEAST: u32 = 3;
/// Between two looks at the processor's time, s of the clock.
const LOOK: f64 = 0.01;

fn numbers(name: &str, default: &str) -> Result<Vec<u32>, String> {
    let text = std::env::var(name).unwrap_or_else(|_| default.to_owned());
    let number = |word: &str| {
        word.trim()
            .parse()
            .map_err(|_| format!("{name}: `{word}` is no whole number; accepted: {default}"))
    };
    text.split(',').map(number).collect()
}

fn effort() -> Result<Effort, String> {
    match std::env::var("EFFORT").as_deref() {
        Ok("quick") => Ok(Effort::Quick),
        Ok("standard") | Err(_) => Ok(Effort::Standard),
        Ok("thorough") => Ok(Effort::Thorough),
        Ok(other) => Err(format!(
            "EFFORT: `{other}`; accepted: quick, standard, thorough"
        )),
    }
}

fn limit() -> Result<f64, String> {
    let text = std::env::var("SECONDS_EACH").unwrap_or_else(|_| "5".to_owned());
    match text.trim().parse() {
        Ok(seconds) if seconds > 0.0 => Ok(seconds),
        _ => Err(format!(
            "SECONDS_EACH: `{text}` is no number above 0; accepted: 5"
        )),
    }
}

/// Seconds since a moment.
struct Watch {
    clock: Instant,
    processor: Option<f64>,
}

impl Watch {
    fn new() -> Self {
        Self {
            clock: Instant::now(),
            processor: processor::seconds(std::process::id()),
        }
    }

    fn seconds(&self) -> f64 {
        let now = processor::seconds(std::process::id());
        match (now, self.processor) {
            (Some(now), Some(start)) => now - start,
            _ => self.clock.elapsed().as_secs_f64(),
        }
    }
}

/// Stops the search after so many seconds.
struct Timer {
    watch: Watch,
    limit: f64,
    /// When to look next, by the clock, s.
    next: Mutex<f64>,
}

impl Observer for Timer {
    fn progress(&self, _progress: Progress) {}

    fn should_stop(&self) -> bool {
        // One thread cannot have used more of the processor than the clock shows.
        let clock = self.watch.clock.elapsed().as_secs_f64();
        let Ok(mut next) = self.next.lock() else {
            return true;
        };
        if clock < *next {
            return false;
        }
        let left = self.limit - self.watch.seconds();
        *next = clock + left.max(LOOK);
        left <= 0.0
    }
}

/// Seconds of a run, and the run as JSON.
fn planned(job: &Job, effort: Effort, limit: f64) -> Result<(f64, Value), String> {
    let timer = Timer {
        watch: Watch::new(),
        limit,
        next: Mutex::new(0.0),
    };
    let settings = Settings {
        effort,
        layout: Layout::Chain,
        seed: 1,
    };
    match solve::plan(job, &settings, &timer) {
        Outcome::Feasible(solution) => {
            let seconds = timer.watch.seconds();
            let run = json!({
                "chains": walked(&solution.plan),
                "cost": solution.cost.total().value(),
                "bound": solution.bound.value.value(),
                "seconds": seconds,
            });
            Ok((seconds, run))
        }
        Outcome::NotFound { unserved, .. } => {
            Err(format!("no plan, {} points left over", unserved.len()))
        }
        Outcome::Unsound { verdict, .. } => Err(format!(
            "the plan fails the check: {:?}",
            verdict.violations
        )),
    }
}

/// The site and the points, m.
fn places(count: u32, seed: u32) -> Vec<(f64, f64)> {
    let mut random = rand_pcg::Pcg64Mcg::seed_from_u64(u64::from(seed) * 1000 + u64::from(count));
    let mut along = || f64::from(random.random_range(0..=SIDE_MM)) / 1000.0;
    (0..=count).map(|_| (along(), along())).collect()
}

fn measure() -> Result<(), Box<dyn Error>> {
    let (effort, limit) = (effort()?, limit()?);
    let most = *numbers("MOST", "8")?.first().ok_or("MOST is empty")?;
    let sizes = numbers("SIZES", "40,80")?;
    if most == 0 || sizes.iter().any(|&size| size < LEAST) {
        return Err(
            format!("accepted: SIZES of {LEAST} points and more, MOST of 1 and more").into(),
        );
    }
    let seeds = numbers("SEEDS", "0,1,2,3,4,5,6,7,8,9")?;
    for count in sizes {
        for &seed in &seeds {
            let places = places(count, seed);
            let (site, points) = (places[0], &places[1..]);
            let job = chains(site, points, most);
            let name = format!("{count}/{seed}");
            let named = |fault: String| format!("{name}: {fault}");
            let (seconds, whole) = planned(&job, effort, f64::INFINITY).map_err(named)?;
            let stopped = if seconds > limit {
                planned(&job, effort, limit).map_err(named)?.1
            } else {
                whole.clone()
            };
            let line = json!({
                "name": name,
                "most": most,
                "limit": limit,
                "site": site,
                "points": points,
                "whole": whole,
                "stopped": stopped,
            });
            println!("{line}");
        }
    }
    Ok(())
}

fn main() -> Result<(), Box<dyn Error>> {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build()?;
    pool.install(|| measure().map_err(|fault| fault.to_string()))?;
    Ok(())
}
