//! The bound never exceeds the cheapest plan, over thousands of random tiny jobs.

use crate::judge::{self, Verdict};
use crate::tiny;
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::Silent;
use duskwright_solver::optimise::bound::{BoundWork, Planted, lower_bound, lower_bound_planted};

/// Enough steps for a tiny job to come close to its best bound.
const WORK: BoundWork = BoundWork(30_000);

/// How many jobs; a longer run is asked for through the environment.
fn seeds(standard: u64) -> u64 {
    std::env::var("DUSKWRIGHT_JUDGE_SEEDS")
        .ok()
        .and_then(|count| count.parse().ok())
        .unwrap_or(standard)
}

fn bound(job: &Job) -> f64 {
    lower_bound(job, Layout::Mixed, None, WORK, &Silent)
        .value
        .value()
}

#[test]
fn no_plan_of_a_tiny_job_is_cheaper_than_its_bound() {
    let (mut stands, mut gave_up) = (0_u32, 0_u32);
    let count = seeds(600);
    // The last one was the first of its kind that a wrong bound showed in.
    for seed in (0..count).chain([1652]) {
        let job = if seed % 3 == 2 {
            tiny::strained(seed)
        } else {
            tiny::job(seed)
        };
        let bound = bound(&job);
        match judge::cheapest_below(&job, bound) {
            Verdict::Cheapest(cost) => {
                panic!("seed {seed}: a plan costs {cost}, below the bound {bound}")
            }
            Verdict::NoneBelow => stands += 1,
            Verdict::GaveUp => gave_up += 1,
        }
    }
    println!("{stands} bounds stand, {gave_up} jobs too large for the judge");
    assert!(
        u64::from(gave_up) * 10 <= count,
        "the judge gave up on {gave_up} of {count}"
    );
}

#[test]
fn the_bound_of_tiny_jobs_is_near_their_optimum() {
    let mut gaps = Vec::new();
    for seed in 0..seeds(150) {
        let job = tiny::job(seed);
        let bound = bound(&job);
        if let Some(optimum) = judge::optimum(&job, bound, 4.0 * bound + 500.0) {
            assert!(
                bound <= optimum + 1e-6,
                "seed {seed}: bound {bound} above optimum {optimum}"
            );
            gaps.push((100.0 * (optimum - bound) / optimum.max(1e-9), seed));
        }
    }
    gaps.sort_by(|left, right| left.0.total_cmp(&right.0));
    let at = |share: f64| gaps[((gaps.len() - 1) as f64 * share) as usize];
    println!(
        "{} jobs with a plan; gap: median {:?}, 90 % {:?}, worst {:?}",
        gaps.len(),
        at(0.5),
        at(0.9),
        at(1.0)
    );
}

/// Whether some seed shows that a planted error makes the bound too high.
fn caught(
    planted: Planted,
    seeds: impl Iterator<Item = u64>,
    make: impl Fn(u64) -> Job,
) -> Option<u64> {
    for seed in seeds {
        let job = make(seed);
        let wrong = lower_bound_planted(&job, None, WORK, &Silent, planted)
            .value
            .value();
        if let Verdict::Cheapest(_) = judge::cheapest_below(&job, wrong - 1e-6) {
            return Some(seed);
        }
    }
    None
}

/// A planted error, the family of jobs that shows it, and the seed to start from.
type Plant = (Planted, fn(u64) -> Job, u64);

const PLANTED: [Plant; 19] = [
    (Planted::TapVoltage, tiny::job, 190),
    (Planted::RatedLoads, tiny::job, 310),
    (Planted::TapCurrents, tiny::crowded, 0),
    (Planted::TrenchTiedToFeedingSite, tiny::crossing, 0),
    (Planted::CablesLeavingTheSiteCounted, tiny::job, 0),
    (Planted::JointsNotShared, tiny::job, 60),
    (Planted::UnzonedAsOwnZone, tiny::job, 20),
    (Planted::StockHasAPrice, tiny::job, 10),
    (Planted::CableToTheFixture, tiny::job, 20),
    (Planted::SumOfBounds, tiny::job, 0),
    (Planted::MarginTwice, tiny::job, 80),
    (Planted::PortsTooFew, tiny::job, 0),
    (Planted::LossesTwice, tiny::strained, 0),
    (Planted::RegulationTwice, tiny::sagging, 0),
    (Planted::CablesMeetNowhere, tiny::spurred, 0),
    (Planted::SiteJointsBranch, tiny::job, 50),
    (Planted::ZonesAtOneSite, tiny::split, 0),
    (Planted::CablesBeginInJoints, tiny::job, 0),
    (Planted::JointsPassNothingOn, tiny::job, 0),
];

#[test]
fn every_planted_error_is_caught() {
    let mut missed = Vec::new();
    for (planted, family, first) in PLANTED {
        match caught(planted, first..first + seeds(300), family) {
            Some(seed) => println!("{planted:?}: caught by seed {seed}"),
            None => missed.push(planted),
        }
    }
    assert!(missed.is_empty(), "not noticed: {missed:?}");
}

#[test]
fn the_families_that_show_errors_have_true_bounds() {
    let mut judged = 0;
    let families = [
        tiny::crossing,
        tiny::crowded,
        tiny::strained,
        tiny::sagging,
        tiny::spurred,
        tiny::split,
    ];
    for family in families {
        for seed in 0..50 {
            let job = family(seed);
            let bound = bound(&job);
            // A strained job may have no plan.
            let Some(optimum) = judge::optimum(&job, bound, 1e5) else {
                continue;
            };
            judged += 1;
            assert!(
                bound <= optimum,
                "seed {seed}: bound {bound} above optimum {optimum}"
            );
        }
    }
    assert!(judged > 200, "only {judged} of 300 have a plan");
}
