//! `duskwright diagnose`: what readings say about the installation.

use crate::args::DiagnoseArguments;
use crate::command::{print, print_json};
use crate::console;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::folder::read_plain;
use crate::plan_file;
use crate::{reading, uncertain};
use duskwright_solver::ids::PlacedId;
use duskwright_solver::job::Job;
use duskwright_solver::lighting::rule_of;
use duskwright_solver::plan::Plan;
use duskwright_solver::service::diagnose::{
    Answer, Diagnosis, Library, MAINS, NextReading, SAFETY, diagnose, sheet,
};
use duskwright_solver::service::fault::Controls;
use serde::Serialize;
use std::fmt::Write;

/// The result for programs.
#[derive(Debug, Serialize)]
struct Result<'a> {
    result: &'static str,
    safety: [&'static str; 2],
    other_stages: usize,
    transformers: &'a [Diagnosis],
}

/// Diagnoses every transformer that has readings.
///
/// # Errors
/// [`Failure`] when words, job, plan or readings are refused or cannot be read.
pub(crate) fn run(arguments: &DiagnoseArguments) -> std::result::Result<Exit, Failure> {
    let by = uncertain::read(&arguments.meter)?;
    let reading = reading::read(&arguments.job)?;
    let job = &reading.job;
    let plan = plan_file::read(job, &arguments.plan)?.0.plan;
    let path = &arguments.readings;
    let bytes = read_plain(path, path)?;
    let libraries: Vec<Library<'_>> = (0..plan.transformers.len())
        .map(PlacedId::new)
        .map(|id| Library::of(job, &plan, id, controls(job, &plan, id), &by))
        .collect();
    let readings = sheet::read(&libraries, &bytes).map_err(|faults| {
        let lines = faults
            .iter()
            .map(|fault| format!("{}: {fault}", path.display()));
        Failure::Refused(lines.collect::<Vec<_>>().join("\n"))
    })?;
    let found: Vec<Diagnosis> = libraries
        .iter()
        .zip(&readings.of)
        .filter(|(_, readings)| !readings.is_empty())
        .map(|(library, readings)| diagnose(library, readings))
        .collect();
    let sound = found.iter().all(|one| one.is_sound() && !one.unexplained);
    let exit = if sound {
        Exit::Feasible
    } else {
        Exit::FaultFound
    };
    if readings.other_stages > 0 {
        console::talk(&format!(
            "{} rows were read while not everything was on and are passed over.",
            readings.other_stages
        ));
    }
    if arguments.json {
        print_json(&Result {
            result: if sound { "sound" } else { exit.word() },
            safety: [SAFETY, MAINS],
            other_stages: readings.other_stages,
            transformers: &found,
        })?;
    } else {
        print(&text_of(&found))?;
    }
    Ok(exit)
}

/// What may switch a transformer: what the job says of the zones of its fixtures.
fn controls(job: &Job, plan: &Plan, id: PlacedId) -> Controls {
    let circuits = plan
        .circuits
        .iter()
        .filter(|circuit| circuit.transformer == id);
    let mut zones = circuits
        .flat_map(|circuit| &circuit.leads)
        .map(|lead| job.fixture(lead.fixture).zone);
    let first = zones.next().flatten();
    Controls::of(rule_of(job, first).control)
}

fn text_of(found: &[Diagnosis]) -> String {
    let mut out = String::new();
    let mut line = |text: &str| {
        let _infallible = writeln!(out, "{text}");
    };
    line(&format!("First: {SAFETY} {MAINS}"));
    for one in found {
        line("");
        line(&format!(
            "Transformer {}: {} readings",
            one.transformer, one.readings
        ));
        if one.unexplained {
            line(
                "  Nothing that was tried explains all of these readings; read again what is oddest below.",
            );
        }
        for (position, answer) in one.answers.iter().enumerate() {
            for text in lines_of(position + 1, answer) {
                line(&text);
            }
        }
        if let Some(next) = &one.next {
            line(&next_line(next));
        }
    }
    out
}

/// One answer: its share, its causes, what to do.
fn lines_of(number: usize, answer: &Answer) -> Vec<String> {
    const NAMED: usize = 6;
    let mut lines = Vec::new();
    let share = format!("{:.0} %", 100.0 * answer.share);
    let fit = format!(
        "misfit {:.1} a reading, about 1 for what is true",
        answer.misfit_per_reading
    );
    let mut what: Vec<String> = Vec::new();
    if answer.sound {
        what.push("sound: nothing is wrong that these readings could show".to_owned());
    }
    what.extend(answer.causes.iter().map(|cause| cause.what.join("; and ")));
    let Some(first) = what.first() else {
        return lines;
    };
    lines.push(format!("  {number}. {share}  {first}  ({fit})"));
    for other in what.iter().skip(1).take(NAMED - 1) {
        lines.push(format!("     or {other}"));
    }
    if what.len() > NAMED {
        lines.push(format!(
            "     or {} more that read the same",
            what.len() - NAMED
        ));
    }
    if what.len() > 1 {
        lines.push("     These readings cannot tell them apart.".to_owned());
    }
    if !answer.sound
        && let Some(cause) = answer.causes.first()
    {
        lines.push(format!("     do: {}", cause.remedy.join(" ")));
    }
    lines
}

fn next_line(next: &NextReading) -> String {
    let value = |value: f64| match next.unit {
        "" if value > 0.5 => "yes".to_owned(),
        "" => "no".to_owned(),
        unit => format!("{value:.2} {unit}"),
    };
    let told: Vec<String> = next
        .predictions
        .iter()
        .map(|&(answer, predicted)| format!("{} if {answer}", value(predicted)))
        .collect();
    let mut text = format!("  next: read {} at `{}`", next.quantity, next.place);
    if told.len() > 1 {
        let _infallible = write!(text, ": {}", told.join(", "));
    }
    text
}
