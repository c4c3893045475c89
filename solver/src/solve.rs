//! The one place that calls the stages in order: facts, search, plan, price.

use crate::ids::FixtureId;
use crate::job::Job;
use crate::optimise::{self, Observer, Settings};
use crate::plan::Plan;
use crate::run::Context;
use crate::tariff::{CostBreakdown, Tariff};

/// A plan with its direct cost.
#[derive(Clone, Debug)]
pub struct Solution {
    /// The plan.
    pub plan: Plan,
    /// Its unrounded direct cost, by kind.
    pub cost: CostBreakdown,
    /// True when the caller stopped the search early.
    pub stopped: bool,
}

/// What planning a job led to.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// A plan that serves every fixture.
    Feasible(Solution),
    /// The search found no plan that serves these fixtures too.
    NotFound {
        /// Fixtures left over in the best attempt.
        unserved: Vec<FixtureId>,
        /// True when the caller stopped the search early.
        stopped: bool,
    },
}

/// Plans a job.
///
/// Deterministic in job and settings as long as `observer` does not stop it;
/// runs on rayon's current thread pool.
#[must_use]
pub fn plan(job: &Job, settings: &Settings, observer: &dyn Observer) -> Outcome {
    let ctx = Context::new(job, settings.layout);
    let found = optimise::search(&ctx, settings, observer, None);
    if !found.trial.unserved.is_empty() {
        return Outcome::NotFound {
            unserved: found.trial.unserved,
            stopped: found.stopped,
        };
    }
    let plan = optimise::plan_of(&ctx, &found.trial.state);
    let cost = Tariff::new(job).plan_cost(job, &plan);
    Outcome::Feasible(Solution {
        plan,
        cost,
        stopped: found.stopped,
    })
}
