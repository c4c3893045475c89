//! `duskwright verify`: the second opinion on a plan, whoever made it.

use crate::args::VerifyArguments;
use crate::claims;
use crate::command::{print, print_json};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::folder::read_plain;
use crate::reading;
use crate::summary::counted;
use duskwright_solver::check::{self, Verdict, Violation};
use duskwright_solver::job::Job;
use duskwright_solver::plan::json::{self, PlanFile};
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

/// What the checker says.
#[derive(Debug, Serialize)]
pub(crate) struct Opinion {
    result: &'static str,
    violations: Vec<Broken>,
    /// Figures that the plan states and the checker does not confirm.
    misstated: Vec<String>,
    /// Direct cost by the checker's own arithmetic, cable by length.
    direct_cost: f64,
    /// Plan files carry a digest of their input; false when the job has changed since.
    same_input: Option<bool>,
}

/// One broken rule.
#[derive(Debug, Serialize)]
struct Broken {
    code: &'static str,
    rule: &'static str,
    place: String,
    detail: String,
    found: Option<f64>,
    limit: Option<f64>,
    off_by: Option<f64>,
    unit: Option<&'static str>,
    #[serde(skip)]
    words: String,
}

impl Broken {
    fn of(violation: &Violation) -> Self {
        let excess = violation.excess;
        Self {
            code: violation.rule.code(),
            rule: violation.rule.sentence(),
            place: violation.named.clone(),
            detail: violation.detail.clone(),
            found: excess.map(|excess| excess.found),
            limit: excess.map(|excess| excess.limit),
            off_by: excess.map(|excess| excess.by()),
            unit: excess.map(|excess| excess.unit),
            words: violation.to_string(),
        }
    }
}

/// Checks a plan file.
///
/// # Errors
/// [`Failure`] when job or plan cannot be read or are refused.
pub(crate) fn run(arguments: &VerifyArguments) -> Result<Exit, Failure> {
    let reading = reading::read(&arguments.job)?;
    let file = read_plan(&reading.job, &arguments.plan)?;
    let verdict = check::verify(&reading.job, &file.plan);
    let misstated = claims::misstated(&reading.job, &file.results, &verdict.figures);
    let mut opinion = Opinion::of(&verdict, misstated);
    opinion.same_input = Some(file.header.input_hash == reading.input_hash);
    if arguments.json {
        print_json(&opinion)?;
    } else {
        print(&opinion.text(&arguments.plan.display().to_string(), &reading.job))?;
    }
    Ok(opinion.exit())
}

/// Reads a plan file.
///
/// # Errors
/// [`Failure`] when it cannot be read or is no plan of this job.
pub(crate) fn read_plan(job: &Job, path: &Path) -> Result<PlanFile, Failure> {
    let bytes = read_plain(path, path)?;
    let text = String::from_utf8(bytes).map_err(|error| {
        Failure::Refused(format!(
            "{}: not text in UTF-8 (byte {})",
            path.display(),
            error.utf8_error().valid_up_to()
        ))
    })?;
    json::from_json(job, &text)
        .map_err(|faults| Failure::Refused(format!("{}: {faults}", path.display())))
}

impl Opinion {
    /// From the checker's verdict and the figures it does not confirm.
    pub(crate) fn of(verdict: &Verdict, misstated: Vec<String>) -> Self {
        let holds = verdict.is_lawful() && misstated.is_empty();
        let exit = if holds {
            Exit::Feasible
        } else {
            Exit::CheckFailed
        };
        Self {
            result: exit.word(),
            violations: verdict.violations.iter().map(Broken::of).collect(),
            misstated,
            direct_cost: verdict.figures.total().value(),
            same_input: None,
        }
    }

    /// Whether the plan keeps every rule and states no wrong figure.
    pub(crate) const fn holds(&self) -> bool {
        self.violations.is_empty() && self.misstated.is_empty()
    }

    /// The code that tells it.
    pub(crate) const fn exit(&self) -> Exit {
        if self.holds() {
            Exit::Feasible
        } else {
            Exit::CheckFailed
        }
    }

    /// For people. `plan`: what was checked.
    pub(crate) fn text(&self, plan: &str, job: &Job) -> String {
        let mut out = String::new();
        let mut line = |text: &str| {
            let _infallible = writeln!(out, "{text}");
        };
        if self.violations.is_empty() {
            line(&format!(
                "{plan}: breaks no rule of the job \"{}\"",
                job.name
            ));
        } else {
            let count = counted(self.violations.len(), "rule");
            line(&format!(
                "{plan}: breaks {count} (a rule broken at two places counts twice)"
            ));
        }
        for broken in &self.violations {
            line(&format!("  {}", broken.words));
        }
        if !self.misstated.is_empty() {
            let count = counted(self.misstated.len(), "figure");
            line(&format!(
                "{plan}: states {count} that the check does not confirm"
            ));
        }
        for sentence in &self.misstated {
            line(&format!("  {sentence}"));
        }
        if self.same_input == Some(false) {
            line("note: the job's files have changed since the plan was made");
        }
        line(&format!(
            "direct cost by the check: {:.2} {} (cable by length)",
            self.direct_cost, job.currency
        ));
        out
    }
}
