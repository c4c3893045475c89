//! The judge: looks at every plan of a tiny job and says whether any is cheaper than a limit.
//!
//! It shares the job's types with the library and no formula. Every walk is
//! tried as a simple path only: cutting a loop out of a walk makes a piece
//! shorter, opens no further segment and raises every low-case voltage. Three
//! rules are left out on purpose (the high case, fill limits, and spools cut
//! with waste): leaving out a rule lets in more plans, so a bound that stands
//! here stands for the job as written.

mod circuits;
mod feed;
mod paths;
mod plans;
mod volts;

use duskwright_solver::job::Job;

/// What the judge found.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// The cheapest plan below the limit.
    Cheapest(f64),
    /// No plan costs less than the limit.
    NoneBelow,
    /// The job was too large to finish.
    GaveUp,
}

/// Steps after which the judge gives up on a job.
const MOST_STEPS: u64 = 200_000;

/// The cheapest plan of `job` that costs less than `limit`.
pub fn cheapest_below(job: &Job, limit: f64) -> Verdict {
    plans::Enumeration::new(job, limit, MOST_STEPS).run()
}

/// The cost of the cheapest plan, by raising the limit until a plan appears;
/// `None` when none does below `most`, or when the judge gives up.
pub fn optimum(job: &Job, start: f64, most: f64) -> Option<f64> {
    let mut limit = start.max(1e-3) * 1.02 + 1e-3;
    loop {
        match cheapest_below(job, limit) {
            Verdict::Cheapest(cost) => return Some(cost),
            Verdict::GaveUp => return None,
            Verdict::NoneBelow if limit > most => return None,
            Verdict::NoneBelow => limit *= 1.15,
        }
    }
}
