//! `duskwright plan`: read, search, check, write.

use crate::args::PlanArguments;
use crate::claims;
use crate::command::verify::Opinion;
use crate::command::{print, print_json};
use crate::console;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::guidance;
use crate::papers::papers;
use crate::reading::{self, Reading};
use crate::settings::PlanSettings;
use crate::staging::Target;
use crate::summary::Summary;
use crate::supply;
use crate::unserved::Unserved;
use crate::watch::{Ended, Stopped, Watch};
use duskwright_report::PaperOptions;
use duskwright_solver::job::{Job, Layout, Objective};
use duskwright_solver::optimise::{Effort, Settings, bound};
use duskwright_solver::plan::json::{self, PlanHeader};
use duskwright_solver::run::Guidance;
use duskwright_solver::schedule::{Dossier, Findings, Standing, Status};
use duskwright_solver::solve::{self, Outcome, Solution};
use duskwright_solver::units::Cost;

/// Gap, as a share of the cost, that rounding alone can leave.
const CLOSED_GAP: f64 = 1e-9;

/// One run of `plan`.
struct Run<'a> {
    arguments: &'a PlanArguments,
    settings: PlanSettings,
    target: Target,
    reading: Reading,
    search: Settings,
    guidance: Guidance,
}

/// Plans a job.
///
/// # Errors
/// [`Failure`] when the words, the job or the place for the results are
/// refused, or something cannot be read or written.
pub(crate) fn run(arguments: &PlanArguments) -> Result<Exit, Failure> {
    let settings = PlanSettings::read(arguments)?;
    let target = Target::find(&arguments.out)?;
    let reading = reading::read(&arguments.job)?;
    let search = settings.search(&reading.job)?;
    let guidance = guidance::read(arguments, &reading.job, search.layout)?;
    reading.say_notices();
    if reading.job.objective == Objective::WholeSpools {
        console::talk(
            "The job pays for whole spools. The search weighs cable at its price by length; the \
             cheapest of its best plans by spools is taken.",
        );
    }
    start_threads(settings.threads)?;
    let run = Run {
        arguments,
        settings,
        target,
        reading,
        search,
        guidance,
    };
    let unservable = bound::unservable(&run.reading.job);
    if !unservable.is_empty() {
        return run.say_none(&Unserved::proven(&run.reading.job, &unservable));
    }
    let watch = Watch::start(run.settings.time_limit, &run.reading.job.currency);
    let outcome = solve::plan_guided(&run.reading.job, &run.search, &run.guidance, &watch);
    let ended = watch.finish();
    match outcome {
        Outcome::Feasible(solution) => run.deliver(&solution, ended),
        Outcome::NotFound { unserved, .. } if unserved.is_empty() => Err(Failure::Refused(
            "--decisions: a transformer decided on finds nothing to feed in any plan found"
                .to_owned(),
        )),
        Outcome::NotFound { leftover, .. } => run.say_none(&Unserved::left_over(
            &run.reading.job,
            &leftover,
            ended.stopped,
            run.search.effort,
        )),
        Outcome::Unsound { verdict, .. } => run.reject(&Opinion::of(&verdict, Vec::new())),
    }
}

/// Makes the one pool of threads that every parallel stage uses.
pub(super) fn start_threads(count: Option<usize>) -> Result<(), Failure> {
    let mut pool = rayon::ThreadPoolBuilder::new();
    if let Some(count) = count {
        pool = pool.num_threads(count);
    }
    pool.build_global()
        .map_err(|error| Failure::Refused(format!("cannot start the threads asked for: {error}")))
}

impl Run<'_> {
    /// Checks a plan, and writes and tells it when the check holds.
    fn deliver(&self, solution: &Solution, ended: Ended) -> Result<Exit, Failure> {
        let (job, plan) = (&self.reading.job, &solution.plan);
        let cuttings = supply::cuttings(job, plan)?;
        let changed = self.guidance.keep.as_ref();
        let changed = changed.map(|keep| guidance::changes(job, &keep.plan, plan));
        let mut standing = standing(solution, ended.stopped);
        let kept = changed.iter().flatten().next();
        standing
            .remarks
            .extend(kept.map(|kept| format!("Of the plan given: {kept}.")));
        let findings = Findings::of(job, plan, cuttings, losses(job, solution), standing);
        let findings = match findings {
            Ok(findings) => findings,
            Err(collapsed) => {
                let opinion = Opinion::of(&solution.verdict, vec![collapsed.to_string()]);
                return self.reject(&opinion);
            }
        };
        let dossier = Dossier::of(job, plan, &findings);
        let stated = claims::of(job, plan, &findings.cases, &dossier);
        let misstated = claims::misstated(job, &stated, &solution.verdict.figures);
        let opinion = Opinion::of(&solution.verdict, misstated);
        if !opinion.holds() {
            return self.reject(&opinion);
        }
        let plan_json = json::to_json(
            job,
            plan,
            &self.header(solution.layout, &dossier, ended),
            &stated,
        );
        self.target
            .write(&papers(plan_json, &dossier, &self.paper_options())?)?;
        self.tell(&dossier, ended, changed.unwrap_or_default())?;
        Ok(Exit::Feasible)
    }

    /// No plan: says which fixtures are unserved and what to do next.
    fn say_none(&self, told: &Unserved) -> Result<Exit, Failure> {
        if self.arguments.json {
            print_json(told)?;
        } else {
            print(&told.text())?;
        }
        Ok(told.exit())
    }

    /// A plan that fails the check is told, never written.
    fn reject(&self, opinion: &Opinion) -> Result<Exit, Failure> {
        if self.arguments.json {
            print_json(opinion)?;
        } else {
            print(&opinion.text("the plan found", &self.reading.job))?;
        }
        console::talk(
            "The plan found fails the check: a defect of this program. Nothing was written.",
        );
        Ok(Exit::CheckFailed)
    }

    fn header(&self, layout: Layout, dossier: &Dossier, ended: Ended) -> PlanHeader {
        let standing = &dossier.header.standing;
        let status = match (standing.status, ended.stopped) {
            (Status::Optimal, _) => "proven",
            (_, Some(_)) => "stopped",
            _ => "feasible",
        };
        PlanHeader {
            program_version: env!("CARGO_PKG_VERSION").to_owned(),
            input_hash: self.reading.input_hash.clone(),
            effort: effort_word(self.search.effort).to_owned(),
            seed: self.search.seed,
            layout,
            status: status.to_owned(),
            lower_bound_cost: standing.bound.map(|bound| bound.value()),
        }
    }

    fn paper_options(&self) -> PaperOptions {
        PaperOptions {
            size: self.settings.paper(&self.reading.job),
            date: self.settings.date,
            version: env!("CARGO_PKG_VERSION").to_owned(),
            input_hash: self.reading.input_hash.clone(),
        }
    }

    fn tell(&self, dossier: &Dossier, ended: Ended, changed: Vec<String>) -> Result<(), Failure> {
        // The folder as the user named it; it exists by now.
        let mut summary = Summary::of(dossier, ended.stopped, &self.arguments.out);
        summary.changed = changed;
        if self.arguments.json {
            print_json(&summary)?;
        } else {
            print(&summary.text())?;
        }
        console::talk(&format!("planned in {:.1} s", ended.elapsed.as_secs_f64()));
        Ok(())
    }
}

/// Present value of losses and energy, when the job minimises it.
pub(super) fn losses(job: &Job, solution: &Solution) -> Option<Cost> {
    matches!(job.objective, Objective::WithLosses(_)).then_some(solution.cost.energy)
}

/// What is known about the plan's cost.
pub(super) fn standing(solution: &Solution, stopped: Option<Stopped>) -> Standing {
    let optimal = solution.gap() <= CLOSED_GAP;
    let stopped = stopped.map(|stopped| {
        let words = stopped.words();
        format!("The search was {words}; a longer one may find a cheaper plan.")
    });
    Standing {
        status: if optimal {
            Status::Optimal
        } else {
            Status::Bounded
        },
        bound: Some(solution.bound.value),
        gap: Some(solution.gap()),
        remarks: stopped.into_iter().collect(),
    }
}

const fn effort_word(effort: Effort) -> &'static str {
    match effort {
        Effort::Quick => "quick",
        Effort::Standard => "standard",
        Effort::Thorough => "thorough",
    }
}
