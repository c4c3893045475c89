//! The one place that calls the stages in order: facts, bound, search, plan,
//! price, second opinion.

mod spooled;

use crate::check::{self, Verdict};
use crate::electrical::energy::mains_watts;
use crate::ids::{CableId, FixtureId};
use crate::job::{Job, Layout, Layouts, Objective};
use crate::optimise::bound::{self, Bound, BoundWork};
use crate::optimise::leftover::Leftover;
use crate::optimise::{self, Effort, Observer, Progress, Settings, Silent};
use crate::plan::Plan;
use crate::run::{Context, Guidance};
use crate::tariff::{CostBreakdown, Tariff};
use crate::units::Cost;

/// Fixtures up to which more steps of the bound cost little beside the search.
const SMALL: usize = 160;
/// Fixtures up to which it has come close before that.
const SMALLER: usize = 80;

/// A plan that serves every fixture and passed the checker.
#[derive(Clone, Debug)]
pub struct Solution {
    /// The plan.
    pub plan: Plan,
    /// Its unrounded direct cost, by kind.
    pub cost: CostBreakdown,
    /// Layout of its circuits.
    pub layout: Layout,
    /// No plan of the job (of any layout) has a lower direct cost than `bound.value`.
    pub bound: Bound,
    /// What the checker computed and found; lawful.
    pub verdict: Verdict,
    /// True when the caller stopped the search early.
    pub stopped: bool,
}

impl Solution {
    /// Share of the plan's cost by which a better plan could at most be cheaper, 0..=1.
    #[must_use]
    pub fn gap(&self) -> f64 {
        let cost = self.cost.total().value();
        if cost > 0.0 {
            ((cost - self.bound.value.value()) / cost).clamp(0.0, 1.0)
        } else {
            0.0
        }
    }
}

/// What planning a job led to.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// A checked plan that serves every fixture.
    Feasible(Box<Solution>),
    /// The search found no plan that serves these fixtures too.
    NotFound {
        /// Fixtures left over in the best attempt, in file order.
        unserved: Vec<FixtureId>,
        /// What likely stands in their way, and what would likely help.
        leftover: Leftover,
        /// True when the caller stopped the search early.
        stopped: bool,
    },
    /// The plan found does not pass the checker: a defect of this program, never a result.
    Unsound {
        /// The plan, to look into.
        plan: Plan,
        /// What the checker found.
        verdict: Verdict,
    },
}

/// Plans a job.
///
/// Deterministic in job and settings as long as `observer` does not stop it;
/// runs on rayon's current thread pool. Where the job does not allow the mixed
/// layout and the settings ask for it, the cheaper of chain and hub is taken.
#[must_use]
pub fn plan(job: &Job, settings: &Settings, observer: &dyn Observer) -> Outcome {
    plan_guided(job, settings, &Guidance::default(), observer)
}

/// As [`plan`], under decisions made beforehand and with a plan to be kept where
/// that costs little. The ids of `guidance` are the job's.
///
/// [`Outcome::NotFound`] without unserved fixtures means that a transformer
/// decided on found nothing to feed. The bound holds for every plan of the job,
/// hence for those that keep the decisions.
#[must_use]
pub fn plan_guided(
    job: &Job,
    settings: &Settings,
    guidance: &Guidance,
    observer: &dyn Observer,
) -> Outcome {
    let steps = |most: u32, work: BoundWork| BoundWork::for_steps(job, most).min(work);
    // At quick effort there is hardly another: without a plan to aim at, it comes nearer in few steps.
    let early = match settings.effort {
        Effort::Quick => BoundWork::QUICK,
        Effort::Standard | Effort::Thorough => steps(300, BoundWork::QUICK),
    };
    let first = bound::lower_bound(job, settings.layout, None, early, observer);
    let variants = variants(job, settings, guidance);
    let parts = variants.len();
    let found = variants
        .iter()
        .enumerate()
        .map(|(index, (job, layout))| {
            let share = Share::new(
                observer,
                index as f64 / parts as f64,
                1.0 / parts as f64,
                first.value,
            );
            let settings = Settings {
                layout: *layout,
                ..*settings
            };
            (search(job, &settings, guidance, &share), job, *layout)
        })
        .reduce(|best, next| if next.0.beats(&best.0) { next } else { best });
    let Some((attempt, job_of_plan, layout)) = found else {
        return not_found(job, job.fixture_ids().collect(), false);
    };
    let Attempt {
        plan,
        cost,
        unserved,
        stopped,
    } = attempt;
    if !unserved.is_empty() || !guidance.decisions.hold(&plan) {
        return not_found(job, unserved, stopped);
    }
    let verdict = check::verify(&restricted(job_of_plan, layout), &plan);
    if !verdict.is_lawful() {
        return Outcome::Unsound { plan, verdict };
    }
    let work = match settings.effort {
        Effort::Quick => steps(300, BoundWork::STANDARD),
        Effort::Standard if job.fixtures.len() <= SMALLER => steps(4000, BoundWork::THOROUGH),
        Effort::Standard if job.fixtures.len() <= SMALL => steps(6000, BoundWork::THOROUGH),
        Effort::Standard => steps(1500, BoundWork::THOROUGH),
        Effort::Thorough => steps(8000, BoundWork(4 * BoundWork::THOROUGH.0)),
    };
    let last = bound::lower_bound(job, layout, Some(cost.total()), work, &Quiet(observer));
    let bound = if last.value.value() > first.value.value() {
        last
    } else {
        first
    };
    Outcome::Feasible(Box::new(Solution {
        plan,
        cost,
        layout,
        bound,
        verdict,
        stopped,
    }))
}

fn not_found(job: &Job, unserved: Vec<FixtureId>, stopped: bool) -> Outcome {
    Outcome::NotFound {
        leftover: Leftover::of(job, &unserved),
        unserved,
        stopped,
    }
}

/// The best attempt at one variant of a job.
struct Attempt {
    plan: Plan,
    cost: CostBreakdown,
    unserved: Vec<FixtureId>,
    stopped: bool,
}

impl Attempt {
    fn beats(&self, other: &Self) -> bool {
        let cost = |attempt: &Self| attempt.cost.total().value();
        self.unserved.len() < other.unserved.len()
            || (self.unserved.len() == other.unserved.len() && cost(self) < cost(other))
    }
}

fn search(job: &Job, settings: &Settings, guidance: &Guidance, observer: &dyn Observer) -> Attempt {
    let mut ctx = Context::new(job, settings.layout);
    ctx.guidance = guidance.clone();
    let found = optimise::search(&ctx, settings, observer);
    let complete = |trial: &&optimise::Trial| trial.unserved.is_empty();
    let others = found.others.iter().filter(complete);
    let mut plan = optimise::plan_of(&ctx, &found.trial.state);
    let mut cost = full_cost(job, &plan);
    if job.objective == Objective::WholeSpools && found.trial.unserved.is_empty() {
        for other in others {
            let candidate = optimise::plan_of(&ctx, &other.state);
            let price = full_cost(job, &candidate);
            if price.total().value() < cost.total().value() {
                (plan, cost) = (candidate, price);
            }
        }
    }
    let mut unserved = found.trial.unserved;
    unserved.sort_unstable();
    Attempt {
        plan,
        cost,
        unserved,
        stopped: found.stopped,
    }
}

/// Direct cost of a plan as the objective has it: energy included, or cable by the
/// spool. A plan whose expected case collapses is left without energy, one whose
/// pieces no spool holds with cable by length: both are refused later.
fn full_cost(job: &Job, plan: &Plan) -> CostBreakdown {
    let tariff = Tariff::new(job);
    let mut cost = tariff.plan_cost(job, plan);
    if tariff.energy_per_watt() > 0.0
        && let Ok(watts) = mains_watts(job, plan)
    {
        cost.energy = Cost::new(watts.value() * tariff.energy_per_watt());
    }
    if job.objective == Objective::WholeSpools
        && let Some(cable) = spooled::cable_cost(job, plan)
    {
        cost.cable = cable;
    }
    cost
}

/// The jobs to search: one per layout, where the job leaves only narrower ones
/// than asked for; one per home-run gauge, where all home runs must share one.
fn variants(job: &Job, settings: &Settings, guidance: &Guidance) -> Vec<(Job, Layout)> {
    let allowed = job.rules.layouts;
    let layouts = match settings.layout {
        Layout::Mixed if !allowed.mixed => {
            let mut some = Vec::new();
            some.extend(allowed.chain.then_some(Layout::Chain));
            some.extend(allowed.hub.then_some(Layout::Hub));
            some
        }
        layout => vec![layout],
    };
    let gauges: Vec<Option<CableId>> =
        if job.rules.common_home_run && job.rules.home_run_cable.is_none() {
            let ids = (0..job.cables.len()).map(CableId::new);
            ids.filter(|&id| job.cable(id).allowed.home_run && job.cable(id).price.is_some())
                .map(Some)
                .collect()
        } else {
            vec![job.rules.home_run_cable]
        };
    let with = |gauge: Option<CableId>| {
        let mut job = job.clone();
        job.rules.home_run_cable = gauge;
        job
    };
    let pairs: Vec<(Job, Layout)> = layouts
        .iter()
        .flat_map(|&layout| gauges.iter().map(move |&gauge| (gauge, layout)))
        .map(|(gauge, layout)| (with(gauge), layout))
        .collect();
    if pairs.len() <= 2 {
        return pairs;
    }
    // Many variants: a quick look at each, full effort for the two most promising.
    let quick = Settings {
        effort: Effort::Quick,
        ..*settings
    };
    let mut looked: Vec<(Attempt, Job, Layout)> = pairs
        .into_iter()
        .map(|(job, layout)| {
            (
                search(&job, &Settings { layout, ..quick }, guidance, &Silent),
                job,
                layout,
            )
        })
        .collect();
    looked.sort_by(|x, y| {
        let cost = |attempt: &Attempt| attempt.cost.total().value();
        x.0.unserved
            .len()
            .cmp(&y.0.unserved.len())
            .then(cost(&x.0).total_cmp(&cost(&y.0)))
    });
    looked
        .into_iter()
        .take(2)
        .map(|(_, job, layout)| (job, layout))
        .collect()
}

/// The job with only one layout allowed: what the checker holds the plan against.
fn restricted(job: &Job, layout: Layout) -> Job {
    let mut job = job.clone();
    job.rules.layouts = Layouts {
        chain: layout == Layout::Chain,
        hub: layout == Layout::Hub,
        mixed: layout == Layout::Mixed,
    };
    job
}

/// Passes on a share of the progress, with the bound known so far.
struct Share<'o> {
    observer: &'o dyn Observer,
    from: f64,
    wide: f64,
    bound: Cost,
}

impl<'o> Share<'o> {
    fn new(observer: &'o dyn Observer, from: f64, wide: f64, bound: Cost) -> Self {
        Self {
            observer,
            from,
            wide,
            bound,
        }
    }
}

impl Observer for Share<'_> {
    fn progress(&self, progress: Progress) {
        self.observer.progress(Progress {
            done: self.from + self.wide * progress.done,
            bound: progress.bound.or(Some(self.bound)),
            ..progress
        });
    }
    fn should_stop(&self) -> bool {
        self.observer.should_stop()
    }
}

/// Passes on only the wish to stop.
struct Quiet<'o>(&'o dyn Observer);

impl Observer for Quiet<'_> {
    fn progress(&self, progress: Progress) {
        self.0.progress(Progress {
            done: 1.0,
            ..progress
        });
    }
    fn should_stop(&self) -> bool {
        self.0.should_stop()
    }
}
