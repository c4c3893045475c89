//! `duskwright order`: plans read and checked, what they need bought together.

use crate::args::{JobArguments, OrderArguments};
use crate::command::verify::Opinion;
use crate::command::{print, print_json};
use crate::console;
use crate::digest;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::origin::{Origin, Search};
use crate::papers::NamedFile;
use crate::plan_file;
use crate::reading::{self, Reading};
use crate::settings::Papers;
use crate::staging::{self, Target};
use crate::summary::counted;
use duskwright_report as report;
use duskwright_report::{PaperOptions, ReportError};
use duskwright_solver::cells;
use duskwright_solver::check;
use duskwright_solver::order::{CableOrder, Order, OrderChoice, PlannedJob};
use duskwright_solver::plan::Plan;
use serde::Serialize;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

/// A job with its plan, both in order.
struct Pair {
    reading: Reading,
    plan: Plan,
    plan_text: String,
    search: Search,
}

/// Orders for some planned jobs.
///
/// # Errors
/// [`Failure`] when the words, a job, a plan or the place for the results are
/// refused, a piece cannot be cut, or something cannot be read or written.
pub(crate) fn run(arguments: &OrderArguments) -> Result<Exit, Failure> {
    let papers = Papers::read(arguments.paper, arguments.date.as_deref())?;
    let target = Target::find(&arguments.out, &staging::ORDER)?;
    let mut pairs = Vec::with_capacity(arguments.jobs.len());
    for (job, plan) in arguments.jobs.iter().zip(plans(arguments)?) {
        match pair(job, &plan, arguments.allow_outside)? {
            Ok(pair) => pairs.push(pair),
            Err(refusal) => return refuse(arguments, &refusal, job, &plan),
        }
    }
    let planned: Vec<PlannedJob<'_>> = pairs
        .iter()
        .map(|pair| PlannedJob {
            job: &pair.reading.job,
            plan: &pair.plan,
        })
        .collect();
    let choice = OrderChoice {
        fixtures: arguments.fixtures,
        ..OrderChoice::default()
    };
    let order = Order::of(&planned, &choice)
        .map_err(|error| Failure::Refused(format!("nothing was ordered: {error}")))?;
    let searches = pairs.iter().map(|pair| pair.search.clone());
    let origin = Origin::new(input_hash(&pairs), searches);
    let options = PaperOptions {
        size: papers.size(order.units),
        date: papers.date,
        version: origin.version.to_owned(),
        input_hash: origin.input_sha256.clone(),
        search: origin.search(),
    };
    let made = files(&order, &origin, &options).map_err(|error| Failure::Paper {
        paper: "the order",
        reason: error.to_string(),
    })?;
    let named: Vec<NamedFile> = (made.into_iter())
        .map(|(name, bytes)| (name.to_owned(), bytes))
        .collect();
    target.write(&named)?;
    if arguments.json {
        print_json(&Told {
            order: &order,
            made: &origin,
            files: written(&arguments.out),
        })?;
    } else {
        print(&text(&order, &arguments.out))?;
    }
    Ok(Exit::Feasible)
}

/// The plan of each job.
fn plans(arguments: &OrderArguments) -> Result<Vec<PathBuf>, Failure> {
    let Some(folder) = &arguments.plans else {
        if arguments.plan.len() == arguments.jobs.len() {
            return Ok(arguments.plan.clone());
        }
        return Err(Failure::Refused(format!(
            "--plan: {} and {} are given; give one plan for each job, in their order, or --plans DIR",
            counted(arguments.jobs.len(), "job"),
            counted(arguments.plan.len(), "plan"),
        )));
    };
    let plan = |job: &PathBuf| {
        let name = folder_name(job)?;
        Ok(folder.join(name).join("plan.json"))
    };
    arguments.jobs.iter().map(plan).collect()
}

/// Name of a job's folder, wherever it was named from.
fn folder_name(job: &Path) -> Result<PathBuf, Failure> {
    let mut path = fs::canonicalize(job).map_err(Failure::file("read", job))?;
    if path.is_file() {
        path.pop();
    }
    let name = path.file_name().map(PathBuf::from);
    name.ok_or_else(|| Failure::Refused(format!("{}: a folder without a name", job.display())))
}

/// Reads one job with its plan; the inner error is the check's refusal of the plan.
fn pair(job: &Path, plan: &Path, allow_outside: bool) -> Result<Result<Pair, Refusal>, Failure> {
    let reading = reading::read(&JobArguments {
        job: job.to_path_buf(),
        allow_outside,
    })?;
    let (file, plan_text) = plan_file::read(&reading.job, plan)?;
    let verdict = check::verify(&reading.job, &file.plan);
    if !verdict.is_lawful() {
        return Ok(Err(Refusal {
            opinion: Opinion::of(&verdict, Vec::new()),
            reading,
        }));
    }
    if file.header.input_hash != reading.input_hash {
        console::talk(&format!(
            "note: {}: the job's files have changed since the plan was made; it still keeps every rule",
            plan.display()
        ));
    }
    Ok(Ok(Pair {
        search: Search::of(&file.header),
        plan: file.plan,
        reading,
        plan_text,
    }))
}

/// A plan that fails the check.
struct Refusal {
    opinion: Opinion,
    reading: Reading,
}

fn refuse(
    arguments: &OrderArguments,
    refusal: &Refusal,
    job: &Path,
    plan: &Path,
) -> Result<Exit, Failure> {
    if arguments.json {
        print_json(&refusal.opinion)?;
    } else {
        print(
            &refusal
                .opinion
                .text(&plan.display().to_string(), &refusal.reading.job),
        )?;
    }
    console::talk(&format!(
        "Nothing was ordered: the plan of {} breaks a rule. Plan the job anew.",
        job.display()
    ));
    Ok(Exit::CheckFailed)
}

fn input_hash(pairs: &[Pair]) -> String {
    let parts = pairs.iter().flat_map(|pair| {
        [
            pair.reading.input_hash.as_bytes(),
            pair.plan_text.as_bytes(),
        ]
    });
    digest::of(parts)
}

/// The files of an order, in the order of [`staging::ORDER`].
fn files(
    order: &Order,
    origin: &Origin,
    options: &PaperOptions,
) -> Result<Vec<(&'static str, Vec<u8>)>, ReportError> {
    let facts = origin.facts();
    let list = |table: String| cells::with_origin(&table, cells::BESIDE, &facts).into_bytes();
    let bytes = [
        report::write_order_pdf(order, options)?,
        list(order.order_csv()),
        report::write_order_xlsx(order, options)?,
        report::write_cut_sheet_pdf(order, options)?,
        list(order.cuts_csv()),
        report::write_labels_pdf(order, options)?,
        list(order.stock_csv()),
    ];
    Ok(staging::ORDER.files.iter().copied().zip(bytes).collect())
}

fn written(out: &Path) -> Vec<String> {
    let files = staging::ORDER.files.iter();
    files
        .map(|name| out.join(name).display().to_string())
        .collect()
}

/// The order for programs.
#[derive(Serialize)]
struct Told<'a> {
    #[serde(flatten)]
    order: &'a Order,
    made: &'a Origin,
    files: Vec<String>,
}

/// The order for people, one fact a line.
fn text(order: &Order, out: &Path) -> String {
    let names: Vec<&str> = order.jobs.iter().map(|job| job.name.as_str()).collect();
    let mut said = format!(
        "Order for {}: {}\n\n",
        counted(names.len(), "job"),
        names.join(", ")
    );
    let mut fact = |name: &str, text: String| {
        let _infallible = writeln!(said, "  {name:<18} {text}");
    };
    let (currency, unit) = (&order.currency, &order.length_unit);
    fact("total", format!("{} {currency} without tax", order.total));
    if order.jobs.len() > 1 {
        let saving = order.saving.map_or_else(
            || "not known: the jobs cannot be cut one after another".to_owned(),
            |saving| {
                format!(
                    "{} {currency} against cutting the jobs one after another",
                    saving.cents()
                )
            },
        );
        fact("saved on cable", saving);
    }
    for cable in &order.cables {
        fact(&format!("cable {}", cable.cable), cable_words(cable, unit));
    }
    for remark in &order.remarks {
        fact("mind", remark.clone());
    }
    for file in written(out) {
        fact("written", file);
    }
    said
}

fn cable_words(cable: &CableOrder, unit: &str) -> String {
    let proof = if cable.proved {
        "proven least".to_owned()
    } else {
        format!("no cutting costs less than {}", cable.bound.cents())
    };
    format!(
        "{} {unit} needed: {} {unit} bought for {} ({proof}), {} {unit} from stock; {} {unit} kept, {} {unit} waste",
        cable.needed,
        cable.bought,
        cable.cost.cents(),
        cable.drawn,
        cable.kept,
        cable.waste
    )
}
