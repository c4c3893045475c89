//! What a search is told besides the job: a plan to keep, decisions made beforehand.

use crate::args::PlanArguments;
use crate::failure::Failure;
use crate::folder::read_text;
use crate::plan_file;
use duskwright_solver::check;
use duskwright_solver::decision;
use duskwright_solver::ids::{CircuitId, FixtureId};
use duskwright_solver::job::{Job, Layout, Layouts};
use duskwright_solver::plan::{Changes, Fate, Plan};
use duskwright_solver::run::{Guidance, Keep};
use duskwright_solver::tariff::Tariff;
use std::path::Path;

/// Largest tolerance, %: beyond, nothing would ever change.
const LARGEST_TOLERANCE_PERCENT: f64 = 100.0;

/// The guidance that the words of `plan` ask for.
///
/// # Errors
/// [`Failure`] for files that cannot be read, plans of other jobs, and decisions
/// that name what is not there or contradict one another: all of them at once.
pub(crate) fn read(
    arguments: &PlanArguments,
    job: &Job,
    layout: Layout,
) -> Result<Guidance, Failure> {
    let keep = match &arguments.keep {
        Some(path) => Some(keep(path, arguments.tolerance, job, layout)?),
        None => None,
    };
    let kept = keep.as_ref().map(|keep| &*keep.plan);
    let decisions = match &arguments.decisions {
        Some(path) => decisions(path, job, kept)?,
        None => Default::default(),
    };
    Ok(Guidance { decisions, keep })
}

fn keep(path: &Path, percent: f64, job: &Job, layout: Layout) -> Result<Keep, Failure> {
    if !(0.0..=LARGEST_TOLERANCE_PERCENT).contains(&percent) {
        return Err(Failure::Refused(format!(
            "--tolerance: {percent} is not a percentage between 0 and {LARGEST_TOLERANCE_PERCENT}"
        )));
    }
    let plan = plan_file::read(job, path)?.0.plan;
    let mut asked = job.clone();
    if layout != Layout::Mixed {
        asked.rules.layouts = Layouts {
            chain: layout == Layout::Chain,
            hub: layout == Layout::Hub,
            mixed: false,
        };
    }
    let lawful = check::verify(&asked, &plan).is_lawful();
    let cost = Tariff::new(job).plan_cost(job, &plan).total().value();
    Ok(Keep::new(job, plan, lawful, cost * percent / 100.0))
}

fn decisions(
    path: &Path,
    job: &Job,
    kept: Option<&Plan>,
) -> Result<duskwright_solver::run::Decisions, Failure> {
    let shown = path.display();
    let text = read_text(path)?;
    decision::read(job, kept, &text).map_err(|faults| {
        let lines: Vec<String> = faults
            .iter()
            .map(|fault| format!("{shown}: {fault}"))
            .collect();
        Failure::Refused(lines.join("\n"))
    })
}

/// What became of a plan that was to be kept, one fact a line.
pub(crate) fn changes(job: &Job, old: &Plan, new: &Plan) -> Vec<String> {
    let changes = Changes::between(job, old, new);
    let mut lines = vec![format!(
        "{} of {} circuits as they were",
        changes.kept(),
        new.circuits.len()
    )];
    for (index, fate) in changes.circuits.iter().enumerate() {
        let label = CircuitId::new(index);
        lines.extend(match fate {
            Fate::Kept(_) => None,
            Fate::New => Some(format!("{label} is new")),
            Fate::Changed {
                before,
                came,
                left,
                source,
                pieces,
            } => Some(changed(job, label, *before, came, left, *source, *pieces)),
        });
    }
    let gone = changes.gone.iter();
    lines.extend(gone.map(|before| format!("{before} of the plan given is gone")));
    let transformers = |list: &[(String, String)], word: &str| {
        let named = list
            .iter()
            .map(|(site, model)| format!("transformer {model} at {site} {word}"));
        named.collect::<Vec<_>>()
    };
    lines.extend(transformers(&changes.bought, "is new"));
    lines.extend(transformers(&changes.dropped, "is gone"));
    lines
}

fn changed(
    job: &Job,
    label: CircuitId,
    before: CircuitId,
    came: &[FixtureId],
    left: &[FixtureId],
    source: bool,
    pieces: usize,
) -> String {
    let names = |fixtures: &[FixtureId]| {
        let tags: Vec<&str> = fixtures
            .iter()
            .map(|&id| job.fixture(id).tag.as_str())
            .collect();
        tags.join(", ")
    };
    let mut parts = Vec::new();
    if !came.is_empty() {
        parts.push(format!("{} came", names(came)));
    }
    if !left.is_empty() {
        parts.push(format!("{} left", names(left)));
    }
    if source {
        parts.push("fed from another terminal".to_owned());
    }
    if pieces > 0 {
        parts.push(format!("{} new", crate::summary::counted(pieces, "piece")));
    }
    if parts.is_empty() {
        parts.push("fewer joints".to_owned());
    }
    format!("{label} (was {before}): {}", parts.join("; "))
}
