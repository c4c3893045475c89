//! One job from its reading to the bytes of its papers. Shared by `plan` and
//! `batch`, so that both write the same.

use crate::claims;
use crate::command::verify::Opinion;
use crate::failure::Failure;
use crate::guidance;
use crate::origin::{Origin, Search};
use crate::papers::{Extras, NamedFile, papers};
use crate::reading::Reading;
use crate::settings::PlanSettings;
use crate::supply;
use crate::unserved::Unserved;
use crate::watch::Stopped;
use duskwright_report::{Alternative, Paper, PaperOptions, Running};
use duskwright_solver::job::{HoursFrom, Job, Layout, Objective};
use duskwright_solver::lighting;
use duskwright_solver::optimise::{Effort, Observer, Settings, bound};
use duskwright_solver::plan::Plan;
use duskwright_solver::plan::json::{self, PlanHeader};
use duskwright_solver::run::Guidance;
use duskwright_solver::schedule::{Dossier, Findings, Standing, Status};
use duskwright_solver::solve::{self, Outcome, Solution};
use duskwright_solver::units::Cost;

/// Gap, as a share of the cost, that rounding alone can leave.
const CLOSED_GAP: f64 = 1e-9;

/// A job about to be planned.
pub(crate) struct Planning<'a> {
    reading: &'a Reading,
    settings: &'a PlanSettings,
    search: Settings,
    guidance: Guidance,
    alternatives: Vec<Alternative>,
}

/// A checked plan with its papers.
pub(crate) struct Made {
    /// Every figure of the papers.
    pub(crate) dossier: Dossier,
    /// The files, in the order of [`crate::staging::PLAN`].
    pub(crate) files: Vec<NamedFile>,
    /// What became of a plan that was to be kept, one fact a line.
    pub(crate) changed: Vec<String>,
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
            guidance: Guidance::default(),
            alternatives: Vec::new(),
        })
    }

    /// Layout searched.
    pub(crate) const fn layout(&self) -> Layout {
        self.search.layout
    }

    /// Gives the search a plan to keep and decisions made beforehand.
    pub(crate) fn guide(&mut self, guidance: Guidance) {
        self.guidance = guidance;
    }

    /// What is asked of the search.
    pub(crate) const fn asked(&self) -> Settings {
        self.search
    }

    /// Options to price beside the plan in the bid.
    pub(crate) fn offer(&mut self, alternatives: Vec<Alternative>) {
        self.alternatives = alternatives;
    }

    /// The proof that no plan exists, when there is one before any search.
    pub(crate) fn unservable(&self) -> Option<Unserved> {
        let found = bound::unservable(&self.reading.job);
        (!found.is_empty()).then(|| Unserved::proven(&self.reading.job, &found))
    }

    /// Searches, on rayon's current pool.
    pub(crate) fn search(&self, observer: &dyn Observer) -> Outcome {
        solve::plan_guided(&self.reading.job, &self.search, &self.guidance, observer)
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
            Outcome::NotFound { unserved, .. } if unserved.is_empty() => Err(Failure::Refused(
                "--decisions: a transformer decided on finds nothing to feed in any plan found"
                    .to_owned(),
            )),
            Outcome::NotFound { leftover, .. } => Ok(Planned::Unserved(Unserved::left_over(
                &self.reading.job,
                &leftover,
                stopped,
                self.search.effort,
            ))),
            Outcome::Unsound { verdict, .. } => {
                Ok(Planned::Unsound(Opinion::of(&verdict, Vec::new())))
            }
        }
    }

    fn papers(&self, solution: &Solution, stopped: Option<Stopped>) -> Result<Planned, Failure> {
        let (job, plan) = (&self.reading.job, &solution.plan);
        let cuttings = supply::cuttings(job, plan)?;
        let changed = self.guidance.keep.as_ref();
        let changed = changed.map(|keep| guidance::changes(job, &keep.plan, plan));
        let mut standing = standing(job, solution, stopped);
        let kept = changed.iter().flatten().next();
        standing
            .remarks
            .extend(kept.map(|kept| format!("Of the plan given: {kept}.")));
        let findings = Findings::of(job, plan, cuttings, losses(job, solution), standing);
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
            files: papers(
                plan_json,
                &dossier,
                &self.origin(),
                &self.paper_options(),
                &self.extras(plan)?,
            )?,
            changed: changed.unwrap_or_default(),
            dossier,
        })))
    }

    /// What is written beside the report, with what the bid tells of this plan.
    fn extras(&self, plan: &Plan) -> Result<Extras, Failure> {
        let mut extras = self.settings.extras.clone();
        if extras.papers.contains(&Paper::Bid) {
            let presentation = &mut extras.presentation;
            presentation.alternatives.clone_from(&self.alternatives);
            presentation.running = self.running(plan)?;
        }
        Ok(extras)
    }

    /// The year of the papers' date, where the job says where it is.
    fn running(&self, plan: &Plan) -> Result<Option<Running>, Failure> {
        let job = &self.reading.job;
        if job.lighting.place.is_none() {
            return Ok(None);
        }
        let year = i32::from(self.settings.papers.date.year());
        let zones = lighting::zones(job, Some(plan), year).map_err(|error| Failure::Paper {
            paper: "bid.pdf",
            reason: error.to_string(),
        })?;
        Ok(Some(Running { year, zones }))
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
            objective: Some(self.reading.job.objective.word().to_owned()),
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
            search: self.origin().search(),
        }
    }

    fn origin(&self) -> Origin {
        Origin::new(
            self.reading.input_hash.clone(),
            [Search::from(&self.search)],
        )
    }
}

/// Present value of losses and energy, when the job minimises it.
pub(crate) fn losses(job: &Job, solution: &Solution) -> Option<Cost> {
    matches!(job.objective, Objective::WithLosses(_)).then_some(solution.cost.energy)
}

/// What is known about the plan's cost.
pub(crate) fn standing(job: &Job, solution: &Solution, stopped: Option<Stopped>) -> Standing {
    let optimal = solution.gap() <= CLOSED_GAP;
    let stopped = stopped.map(|stopped| {
        let words = stopped.words();
        format!("The search was {words}; a longer one may find a cheaper plan.")
    });
    let counted = energy_counted(job);
    Standing {
        status: if optimal {
            Status::Optimal
        } else {
            Status::Bounded
        },
        bound: Some(solution.bound.value),
        gap: Some(solution.gap()),
        remarks: counted.into_iter().chain(stopped).collect(),
    }
}

/// Which energy the plan's cost counts, and whence its hours, when it counts any.
fn energy_counted(job: &Job) -> Option<String> {
    let Objective::WithLosses(terms) = job.objective else {
        return None;
    };
    let from = match terms.hours_from {
        HoursFrom::Stated => "as the job states",
        HoursFrom::Times => "from place, times and controls of the zones, weighted by rated watts",
    };
    Some(format!(
        "Energy and losses are counted over {} years at {:.2} % a year and {} {} per kWh, {:.0} lighting hours a year ({from}).",
        terms.years,
        terms.discount.value() * 100.0,
        terms.price_per_kwh,
        job.currency,
        terms.hours_per_year.value(),
    ))
}

/// An effort as written in plans and cards.
pub(crate) const fn effort_word(effort: Effort) -> &'static str {
    match effort {
        Effort::Quick => "quick",
        Effort::Standard => "standard",
        Effort::Thorough => "thorough",
    }
}
