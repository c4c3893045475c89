//! One job from its reading to the bytes of its papers. Shared by `plan` and
//! `batch`, so that both write the same.

use crate::claims;
use crate::command::verify::Opinion;
use crate::failure::Failure;
use crate::papers::papers;
use crate::reading::Reading;
use crate::settings::PlanSettings;
use crate::supply;
use crate::unserved::Unserved;
use crate::watch::Stopped;
use duskwright_report::PaperOptions;
use duskwright_solver::job::Layout;
use duskwright_solver::optimise::{Effort, Observer, Settings, bound};
use duskwright_solver::plan::json::{self, PlanHeader};
use duskwright_solver::schedule::{Dossier, Findings, Standing, Status};
use duskwright_solver::solve::{self, Outcome, Solution};

/// Gap, as a share of the cost, that rounding alone can leave.
const CLOSED_GAP: f64 = 1e-9;

/// A job about to be planned.
pub(crate) struct Planning<'a> {
    reading: &'a Reading,
    settings: &'a PlanSettings,
    search: Settings,
}

/// A checked plan with its papers.
pub(crate) struct Made {
    /// Every figure of the papers.
    pub(crate) dossier: Dossier,
    /// The files, in the order of [`crate::staging::PLAN`].
    pub(crate) files: Vec<(&'static str, Vec<u8>)>,
}

/// What planning led to.
pub(crate) enum Planned {
    /// A checked plan.
    Feasible(Box<Made>),
    /// No plan: which fixtures are unserved, and why.
    Unserved(Unserved),
    /// A plan that fails the check.
    Unsound(Opinion),
}

impl<'a> Planning<'a> {
    /// Settles what is asked of the search.
    ///
    /// # Errors
    /// [`Failure::Refused`] when the job's rules do not allow the layout asked for.
    pub(crate) fn of(reading: &'a Reading, settings: &'a PlanSettings) -> Result<Self, Failure> {
        Ok(Self {
            search: settings.search(&reading.job)?,
            reading,
            settings,
        })
    }

    /// The proof that no plan exists, when there is one before any search.
    pub(crate) fn unservable(&self) -> Option<Unserved> {
        let found = bound::unservable(&self.reading.job);
        (!found.is_empty()).then(|| Unserved::proven(&self.reading.job, &found))
    }

    /// Searches, on rayon's current pool.
    pub(crate) fn search(&self, observer: &dyn Observer) -> Outcome {
        solve::plan(&self.reading.job, &self.search, observer)
    }

    /// Checks what was found, and makes the papers when the check holds.
    ///
    /// # Errors
    /// [`Failure`] when the plan cannot be cut or a paper cannot be made.
    pub(crate) fn made(
        &self,
        outcome: Outcome,
        stopped: Option<Stopped>,
    ) -> Result<Planned, Failure> {
        match outcome {
            Outcome::Feasible(solution) => self.papers(&solution, stopped),
            Outcome::NotFound { leftover, .. } => Ok(Planned::Unserved(Unserved::left_over(
                &self.reading.job,
                &leftover,
                stopped,
            ))),
            Outcome::Unsound { verdict, .. } => {
                Ok(Planned::Unsound(Opinion::of(&verdict, Vec::new())))
            }
        }
    }

    fn papers(&self, solution: &Solution, stopped: Option<Stopped>) -> Result<Planned, Failure> {
        let (job, plan) = (&self.reading.job, &solution.plan);
        let cuttings = supply::cuttings(job, plan)?;
        let findings = Findings::of(job, plan, cuttings, None, standing(solution, stopped));
        let findings = match findings {
            Ok(findings) => findings,
            Err(collapsed) => {
                let opinion = Opinion::of(&solution.verdict, vec![collapsed.to_string()]);
                return Ok(Planned::Unsound(opinion));
            }
        };
        let dossier = Dossier::of(job, plan, &findings);
        let stated = claims::of(job, plan, &findings.cases, &dossier);
        let misstated = claims::misstated(job, &stated, &solution.verdict.figures);
        let opinion = Opinion::of(&solution.verdict, misstated);
        if !opinion.holds() {
            return Ok(Planned::Unsound(opinion));
        }
        let header = self.header(solution.layout, &dossier, stopped);
        let plan_json = json::to_json(job, plan, &header, &stated);
        Ok(Planned::Feasible(Box::new(Made {
            files: papers(plan_json, &dossier, &self.paper_options())?,
            dossier,
        })))
    }

    fn header(&self, layout: Layout, dossier: &Dossier, stopped: Option<Stopped>) -> PlanHeader {
        let standing = &dossier.header.standing;
        let status = match (standing.status, stopped) {
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
            size: self.settings.papers.size(self.reading.job.units),
            date: self.settings.papers.date,
            version: env!("CARGO_PKG_VERSION").to_owned(),
            input_hash: self.reading.input_hash.clone(),
        }
    }
}

/// What is known about the plan's cost.
fn standing(solution: &Solution, stopped: Option<Stopped>) -> Standing {
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

/// An effort as written in plans and cards.
pub(crate) const fn effort_word(effort: Effort) -> &'static str {
    match effort {
        Effort::Quick => "quick",
        Effort::Standard => "standard",
        Effort::Thorough => "thorough",
    }
}
