//! `duskwright readings`: what a meter should read at each step.

use crate::args::ReadingsArguments;
use crate::command::print;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::origin;
use crate::plan_file;
use crate::staging::{self, Target};
use crate::{reading, settings, uncertain};
use duskwright_report::PaperOptions;
use duskwright_solver::cells;
use duskwright_solver::service::readings::{Draws, Sheet};
use std::fmt::Write;

/// Fewest installations from which bands are drawn.
const FEWEST: usize = 40;
/// Most: beyond it a digit more of the band is not worth the wait.
const MOST: usize = 100_000;

/// Works out and writes the sheet.
///
/// # Errors
/// [`Failure`] when words, job, plan or the place for the results are refused.
pub(crate) fn run(arguments: &ReadingsArguments) -> Result<Exit, Failure> {
    let by = uncertain::read(&arguments.meter)?;
    if !(FEWEST..=MOST).contains(&arguments.draws) {
        return Err(Failure::Refused(format!(
            "--draws: {} is not between {FEWEST} and {MOST}",
            arguments.draws
        )));
    }
    let date = settings::paper_date(arguments.date.as_deref())?;
    let target = Target::find(&arguments.out, &staging::READINGS)?;
    let reading = reading::read(&arguments.job)?;
    let file = plan_file::read(&reading.job, &arguments.plan)?.0;
    let draws = Draws {
        by,
        count: arguments.draws,
        seed: arguments.seed,
    };
    let sheet = Sheet::of(&reading.job, &file.plan, &draws);
    let options = PaperOptions {
        size: settings::paper_size(arguments.paper, &reading.job),
        date,
        version: env!("CARGO_PKG_VERSION").to_owned(),
        input_hash: reading.input_hash,
        search: format!(
            "plan: effort {}, seed {}; bands: {} draws, seed {}",
            file.header.effort, file.header.seed, draws.count, draws.seed
        ),
    };
    let pdf =
        duskwright_report::write_readings(&sheet, &options).map_err(|error| Failure::Paper {
            paper: "the test sheet",
            reason: error.to_string(),
        })?;
    let files = staging::READINGS.files.iter().map(|&name| name.to_owned());
    let facts = origin::facts(&options.version, &options.input_hash, &options.search);
    let table = cells::with_origin(&sheet.csv(), cells::BESIDE, &facts);
    let bytes = [table.into_bytes(), pdf];
    target.write(&files.zip(bytes).collect::<Vec<_>>())?;
    let mut told = String::new();
    let rows: usize = sheet.steps.iter().map(|step| step.rows.len()).sum();
    let _infallible = writeln!(
        told,
        "{}: {} steps, {rows} readings, each with the band that 19 of 20 sound installations keep",
        sheet.job,
        sheet.steps.len()
    );
    for name in staging::READINGS.files {
        let _infallible = writeln!(told, "  written  {}", arguments.out.join(name).display());
    }
    print(&told)?;
    Ok(Exit::Feasible)
}
