//! `duskwright compare`: several ways to wire one job, side by side.

use crate::args::CompareArguments;
use crate::command::plan::start_threads;
use crate::command::{print, print_json};
use crate::console;
use crate::contender;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::origin::{Origin, Search};
use crate::planning::effort_word;
use crate::reading::{self, Reading};
use crate::settings::CompareSettings;
use crate::watch::Watch;
use duskwright_report::PaperOptions;
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::Settings;
use duskwright_solver::run::{Guidance, Keep};
use duskwright_solver::schedule::{Compared, Comparison, Fact, FactGroup};
use duskwright_solver::solve::Solution;
use serde::Serialize;
use std::fmt::Write;
use std::fs;
use std::path::Path;

/// Plans a job in several ways and shows them side by side.
///
/// # Errors
/// [`Failure`] when the words, the job or the alternatives are refused, or
/// something cannot be read or written.
pub(crate) fn run(arguments: &CompareArguments) -> Result<Exit, Failure> {
    let settings = CompareSettings::read(arguments)?;
    let reading = reading::read(&arguments.job)?;
    let columns = columns(&reading.job, arguments.alternatives.as_deref())?;
    reading.say_notices();
    start_threads(settings.threads)?;
    let watch = Watch::start(settings.time_limit, &reading.job.currency);
    let mut compared = Vec::new();
    let mut best: Option<Box<Solution>> = None;
    for (name, job, layout) in columns {
        console::talk(&format!("planning: {name}"));
        let search = Settings {
            effort: settings.effort,
            layout,
            seed: settings.seed,
        };
        let of_the_job = compared.len() < LAYOUTS;
        let guidance = match layout {
            // Chains and hubs are mixed plans too: the search goes on from the cheaper.
            Layout::Mixed if of_the_job => start(&job, best.take()),
            _ => Guidance::default(),
        };
        let (column, solution) = contender::plan(&job, &search, &guidance, &watch)?;
        compared.push((name, column));
        if let Some(solution) = solution.filter(|_| of_the_job) {
            let cheaper = best
                .as_ref()
                .is_none_or(|best| cost(&solution) < cost(best));
            best = if cheaper { Some(solution) } else { best };
        }
    }
    let ended = watch.finish();
    if let Some(stopped) = ended.stopped {
        console::talk(&format!(
            "The search was {}; columns planned after that are first attempts.",
            stopped.words()
        ));
    }
    let comparison = Comparison {
        job: reading.job.name.clone(),
        currency: reading.job.currency.clone(),
        length_unit: reading.job.units.length_symbol().to_owned(),
        columns: compared,
    };
    deliver(arguments, &settings, &reading, &comparison)
}

/// Columns of the job as it is; the alternatives follow.
const LAYOUTS: usize = 3;

/// The three layouts of the job as it is, then the named alternatives.
fn columns(job: &Job, alternatives: Option<&Path>) -> Result<Vec<(String, Job, Layout)>, Failure> {
    let mut columns: Vec<(String, Job, Layout)> = [
        ("chain only", Layout::Chain),
        ("hub only", Layout::Hub),
        ("mixed", Layout::Mixed),
    ]
    .map(|(name, layout)| (name.to_owned(), job.clone(), layout))
    .to_vec();
    if let Some(path) = alternatives {
        let named = contender::named(job, path)?;
        columns.extend(named.into_iter().map(|one| (one.name, one.job, one.layout)));
    }
    Ok(columns)
}

fn cost(solution: &Solution) -> f64 {
    solution.cost.total().value()
}

/// To start from a plan without preferring it.
fn start(job: &Job, from: Option<Box<Solution>>) -> Guidance {
    Guidance {
        keep: from.map(|solution| Keep::new(job, solution.plan, true, 0.0)),
        ..Guidance::default()
    }
}

fn deliver(
    arguments: &CompareArguments,
    settings: &CompareSettings,
    reading: &Reading,
    comparison: &Comparison,
) -> Result<Exit, Failure> {
    let search = Search {
        effort: effort_word(settings.effort).to_owned(),
        seed: settings.seed,
    };
    let origin = Origin::new(reading.input_hash.clone(), [search]);
    if let Some(path) = &arguments.csv {
        fs::write(path, comparison.csv(&origin.facts())).map_err(Failure::file("write", path))?;
    }
    if let Some(path) = &arguments.pdf {
        let options = PaperOptions {
            size: settings.papers.size(reading.job.units),
            date: settings.papers.date,
            version: origin.version.to_owned(),
            input_hash: origin.input_sha256.clone(),
            search: origin.search(),
        };
        let bytes = duskwright_report::write_comparison_pdf(comparison, &options);
        let bytes = bytes.map_err(|error| Failure::Paper {
            paper: "the comparison",
            reason: error.to_string(),
        })?;
        fs::write(path, bytes).map_err(Failure::file("write", path))?;
    }
    if arguments.json {
        print_json(&Told {
            comparison,
            made: &origin,
        })?;
    } else {
        print(&told(comparison))?;
    }
    let any = comparison
        .columns
        .iter()
        .any(|(_, column)| matches!(column, Compared::Planned(_)));
    Ok(if any { Exit::Feasible } else { Exit::NotFound })
}

/// The comparison for programs.
#[derive(Serialize)]
struct Told<'a> {
    #[serde(flatten)]
    comparison: &'a Comparison,
    made: &'a Origin,
}

/// The table for a terminal: a row for each fact, a column for each plan.
fn told(comparison: &Comparison) -> String {
    let facts = comparison.facts();
    let label = |fact: &Fact| match fact.unit.as_str() {
        "" => fact.name.clone(),
        unit => format!("{} ({unit})", fact.name),
    };
    let width = |text: &str| text.chars().count();
    let first = facts
        .iter()
        .map(|fact| width(&label(fact)))
        .max()
        .unwrap_or(0);
    let widths: Vec<usize> = comparison
        .columns
        .iter()
        .enumerate()
        .map(|(at, (name, _))| {
            let values = facts.iter().map(|fact| width(&fact.values[at]));
            values.chain([width(name), 4]).max().unwrap_or(0)
        })
        .collect();
    let mut out = format!("{}\n\n  {:first$}", comparison.job, "");
    let cell = |out: &mut String, text: &str, width: usize| {
        let _infallible = write!(out, "  {text:>width$}");
    };
    for ((name, _), &width) in comparison.columns.iter().zip(&widths) {
        cell(&mut out, name, width);
    }
    out.push('\n');
    let mut group: Option<FactGroup> = None;
    for fact in &facts {
        if group.is_some_and(|group| group != fact.group) {
            out.push('\n');
        }
        group = Some(fact.group);
        let _infallible = write!(out, "  {:<first$}", label(fact));
        for (value, &width) in fact.values.iter().zip(&widths) {
            cell(
                &mut out,
                if value.is_empty() { "none" } else { value },
                width,
            );
        }
        out.push('\n');
    }
    let missing = comparison
        .columns
        .iter()
        .filter_map(|(name, column)| match column {
            Compared::None(why) => Some(format!("\n{name}: {why}\n")),
            Compared::Planned(_) => None,
        });
    out.extend(missing);
    out
}
