//! `duskwright compare`: several ways to wire one job, side by side.

use crate::args::CompareArguments;
use crate::command::plan::start_threads;
use crate::command::{print, print_json};
use crate::console;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::folder::read_plain;
use crate::planning::{losses, standing};
use crate::reading::{self, Reading};
use crate::settings::CompareSettings;
use crate::supply;
use crate::watch::Watch;
use duskwright_report::PaperOptions;
use duskwright_solver::alternative::{self, Alternative};
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::leftover::{Balance, Resource, State};
use duskwright_solver::optimise::{Observer, Progress, Settings, bound};
use duskwright_solver::run::{Guidance, Keep};
use duskwright_solver::schedule::{
    Compared, Comparison, Dossier, Fact, FactGroup, Findings, Planned,
};
use duskwright_solver::solve::{self, Outcome, Solution};
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
        let (column, solution) = plan(&job, &search, &guidance, &watch)?;
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

/// One column to plan: its name, its job, its layout.
type Wanted = (String, Job, Layout);

/// The three layouts of the job as it is, then the named alternatives.
fn columns(job: &Job, alternatives: Option<&Path>) -> Result<Vec<Wanted>, Failure> {
    let mut columns: Vec<Wanted> = [
        ("chain only", Layout::Chain),
        ("hub only", Layout::Hub),
        ("mixed", Layout::Mixed),
    ]
    .map(|(name, layout)| (name.to_owned(), job.clone(), layout))
    .to_vec();
    let Some(path) = alternatives else {
        return Ok(columns);
    };
    let refused = |reason: String| Failure::Refused(format!("{}: {reason}", path.display()));
    let bytes = read_plain(path, path)?;
    let text = String::from_utf8(bytes).map_err(|_| refused("not UTF-8 text".to_owned()))?;
    let named = alternative::read(&text).map_err(|fault| refused(fault.to_string()))?;
    for one in &named {
        columns.push(wanted(job, one).map_err(|fault| refused(fault.to_string()))?);
    }
    Ok(columns)
}

fn wanted(job: &Job, one: &Alternative) -> Result<Wanted, alternative::AlternativeFault> {
    let layout = one.layout.unwrap_or(Layout::Mixed);
    Ok((one.name.clone(), one.of(job)?, layout))
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

/// What planning one column leads to, with the solution when there is one.
fn plan(
    job: &Job,
    search: &Settings,
    guidance: &Guidance,
    watch: &Watch,
) -> Result<(Compared, Option<Box<Solution>>), Failure> {
    let allowed = job.rules.layouts;
    let open = match search.layout {
        Layout::Chain => allowed.chain,
        Layout::Hub => allowed.hub,
        // Where mixed is not allowed the search takes the cheaper of the others.
        Layout::Mixed => true,
    };
    if !open {
        return Ok(none("the job's rules do not allow this layout"));
    }
    let unservable = bound::unservable(job);
    if let Some(first) = unservable.first() {
        let tag = &job.fixture(first.fixture).tag;
        let more = match unservable.len() {
            1 => String::new(),
            count => format!(" and {} more", count - 1),
        };
        return Ok(none(&format!("proven: no plan can serve {tag}{more}")));
    }
    match solve::plan_guided(job, search, guidance, &Stopping(watch)) {
        Outcome::Feasible(solution) => {
            let cuttings = supply::cuttings(job, &solution.plan)?;
            let standing = standing(job, &solution, None);
            let found = Findings::of(
                job,
                &solution.plan,
                cuttings,
                losses(job, &solution),
                standing,
            );
            Ok(match found {
                Err(collapsed) => none(&collapsed.to_string()),
                Ok(findings) => {
                    let dossier = Dossier::of(job, &solution.plan, &findings);
                    let planned = Compared::Planned(Box::new(Planned::of(&dossier)));
                    (planned, Some(solution))
                }
            })
        }
        Outcome::NotFound {
            unserved, leftover, ..
        } => Ok(none(&format!(
            "no plan found; {} left over{}",
            crate::summary::counted(unserved.len(), "fixture"),
            scarce(&leftover.balances)
        ))),
        Outcome::Unsound { .. } => Ok(none(
            "the plan found fails the check: a defect of this program",
        )),
    }
}

/// What the job as a whole has too little of, or hardly enough: in brackets, or nothing.
fn scarce(balances: &[Balance]) -> String {
    let short = |balance: &&Balance| balance.state() != State::Ample;
    let words: Vec<String> = balances
        .iter()
        .filter(short)
        .map(|balance| {
            let (what, unit) = match balance.resource {
                Resource::TransformerLoad => ("load on transformers", " VA"),
                Resource::Mains => ("load on the mains", " VA"),
                Resource::Positions => ("transformers", " places"),
                Resource::Lugs => ("circuits", " lugs"),
            };
            let (needed, offered) = (balance.needed, balance.offered);
            format!("{what}: at least {needed:.0} for at most {offered:.0}{unit}")
        })
        .collect();
    if words.is_empty() {
        String::new()
    } else {
        format!(" ({})", words.join("; "))
    }
}

fn none(why: &str) -> (Compared, Option<Box<Solution>>) {
    (Compared::None(why.to_owned()), None)
}

/// Passes on only the wish to stop: several searches share one watch.
struct Stopping<'w>(&'w Watch);

impl Observer for Stopping<'_> {
    fn progress(&self, _progress: Progress) {}
    fn should_stop(&self) -> bool {
        self.0.should_stop()
    }
}

fn deliver(
    arguments: &CompareArguments,
    settings: &CompareSettings,
    reading: &Reading,
    comparison: &Comparison,
) -> Result<Exit, Failure> {
    if let Some(path) = &arguments.csv {
        fs::write(path, comparison.csv()).map_err(Failure::file("write", path))?;
    }
    if let Some(path) = &arguments.pdf {
        let options = PaperOptions {
            size: settings.papers.size(reading.job.units),
            date: settings.papers.date,
            version: env!("CARGO_PKG_VERSION").to_owned(),
            input_hash: reading.input_hash.clone(),
        };
        let bytes = duskwright_report::write_comparison_pdf(comparison, &options);
        let bytes = bytes.map_err(|error| Failure::Paper {
            paper: "the comparison",
            reason: error.to_string(),
        })?;
        fs::write(path, bytes).map_err(Failure::file("write", path))?;
    }
    if arguments.json {
        print_json(comparison)?;
    } else {
        print(&told(comparison))?;
    }
    let any = comparison
        .columns
        .iter()
        .any(|(_, column)| matches!(column, Compared::Planned(_)));
    Ok(if any { Exit::Feasible } else { Exit::NotFound })
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
