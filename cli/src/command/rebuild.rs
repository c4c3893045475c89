//! `duskwright rebuild`: what was measured on site, folded back into job and plan.
//!
//! The result is a job folder of its own beside the old one, with a plan that fits it, so
//! that plan, bill and expected readings follow what is in the ground. `changes.csv` in it
//! holds every change with what stood there before, numbered, those of an earlier rebuild
//! first, and how the folder was made.

use crate::args::RebuildArguments;
use crate::as_built::change::{Change, What, changes};
use crate::as_built::history::{self, history};
use crate::as_built::{table, wiring};
use crate::claims;
use crate::command::print;
use crate::command::verify::Opinion;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::origin::{Origin, Search};
use crate::papers::{NamedFile, bill_csv};
use crate::reading::Reading;
use crate::summary::counted;
use crate::{plan_file, reading, settings, staging, supply};
use duskwright_solver::check;
use duskwright_solver::job::{Job, JobText};
use duskwright_solver::plan::Plan;
use duskwright_solver::plan::json::{self, PlanFile};
use duskwright_solver::schedule::{Dossier, Findings, Standing, Status};
use std::path::{Path, PathBuf};

/// Folds the changes in.
///
/// # Errors
/// [`Failure`] when job, plan or changes are refused, or the new folder cannot be written;
/// nothing is written then.
pub(crate) fn run(arguments: &RebuildArguments) -> Result<Exit, Failure> {
    let date = settings::paper_date(arguments.date.as_deref())?.to_string();
    let text = reading::text(&arguments.job)?;
    let home = beside(&arguments.job.job, &arguments.out, &text)?;
    let before = reading::of_text(&text)?;
    let (mut file, _) = plan_file::read(&before.job, &arguments.plan)?;
    let (built, made) = fold(
        text,
        &before.job,
        &mut file.plan,
        changes(&arguments.changes)?,
    )?;
    let after = reading::of_text(&built)?;
    wiring::follow_fixtures(&before.job, &after.job, &mut file.plan)?;
    let origin = Origin::new(after.input_hash.clone(), [Search::of(&file.header)]);
    let history = history(&home, &made, &date, &origin.facts())?;
    let (papers, opinion) = papers(&after, file, &origin)?;
    let tables = built
        .iter()
        .filter(|(name, _)| !name.contains('/'))
        .map(|(name, bytes)| (name.to_owned(), bytes.to_vec()));
    let files: Vec<NamedFile> = tables
        .chain(papers)
        .chain([(history::FILE.to_owned(), history.into_bytes())])
        .collect();
    staging::write_new(&arguments.out, &files)?;
    print(&format!(
        "{} folded into {}\n{}",
        counted(made.len(), "change"),
        arguments.out.display(),
        opinion.text("as built", &after.job)
    ))?;
    Ok(opinion.exit())
}

/// The job's own folder, when a new one at `out` finds the same catalogue.
fn beside(job: &Path, out: &Path, text: &JobText) -> Result<PathBuf, Failure> {
    let read = |path: &Path| std::fs::canonicalize(path).map_err(Failure::file("read", path));
    let mut home = read(job)?;
    if home.is_file() {
        home.pop();
    }
    let shares = text.iter().any(|(name, _)| name.contains('/'));
    let above = match out.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    if shares && Some(read(above)?.as_path()) != home.parent() {
        return Err(Failure::Refused(format!(
            "--out {}: not beside the job's own folder, where job.toml would still find its catalogue; accepted: a new folder in {}",
            out.display(),
            home.parent().unwrap_or(&home).display()
        )));
    }
    Ok(home)
}

/// Tables and plan with every change made, and what stood there before each.
///
/// # Errors
/// [`Failure::Refused`] for a change of what is not there.
pub(crate) fn fold(
    mut text: JobText,
    job: &Job,
    plan: &mut Plan,
    changes: Vec<Change>,
) -> Result<(JobText, Vec<(Change, String)>), Failure> {
    let mut made = Vec::with_capacity(changes.len());
    for change in changes {
        let was = match change.what {
            What::Tap => wiring::move_tap(job, plan, &change)?,
            What::Path | What::Fixture => {
                let (edited, was) = table::edit(text, &change, job.units)?;
                text = edited;
                was
            }
        };
        made.push((change, was));
    }
    Ok((text, made))
}

/// Plan and bill of what is in the ground, and what the checker says of it.
fn papers(
    after: &Reading,
    mut file: PlanFile,
    origin: &Origin,
) -> Result<([NamedFile; 2], Opinion), Failure> {
    let verdict = check::verify(&after.job, &file.plan);
    let standing = Standing {
        status: Status::Unbounded,
        bound: None,
        gap: None,
        remarks: vec!["As built: changed on site after it was planned.".to_owned()],
    };
    let cuttings = supply::cuttings(&after.job, &file.plan)?;
    let findings =
        Findings::of(&after.job, &file.plan, cuttings, None, standing).map_err(|collapsed| {
            Failure::Refused(format!("as built the load collapses: {collapsed}"))
        })?;
    let dossier = Dossier::of(&after.job, &file.plan, &findings);
    let stated = claims::of(&after.job, &file.plan, &findings.cases, &dossier);
    file.header.input_hash.clone_from(&after.input_hash);
    file.header.status = "as built".to_owned();
    file.header.lower_bound_cost = None;
    let plan_json = json::to_json(&after.job, &file.plan, &file.header, &stated);
    let misstated = claims::misstated(&after.job, &stated, &verdict.figures);
    let bill = bill_csv(&dossier, origin);
    let named = [
        ("plan.json".to_owned(), plan_json.into_bytes()),
        ("bill.csv".to_owned(), bill.into_bytes()),
    ];
    Ok((named, Opinion::of(&verdict, misstated)))
}
