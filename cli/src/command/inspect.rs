//! `duskwright inspect`: what a job holds, without planning it.

use crate::args::InspectArguments;
use crate::command::{print, print_json};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::reading::{self, Reading};
use crate::summary::counted;
use duskwright_solver::job::{Job, Notice};
use duskwright_solver::units::{Metres, VoltAmperes};
use serde::Serialize;
use std::fmt::Write;

/// What is in a job.
#[derive(Debug, Serialize)]
struct Contents {
    result: &'static str,
    job: String,
    currency: String,
    fixtures: usize,
    /// Sum of the fixtures' rated apparent powers.
    rated_va: f64,
    nodes: usize,
    segments: usize,
    length_unit: &'static str,
    /// Length of all segments, opened or not.
    segment_length: f64,
    sites: usize,
    existing_transformers: usize,
    zones: usize,
    cables: usize,
    transformer_models: usize,
    notices: Vec<String>,
    input_sha256: String,
}

/// Reads the job and counts.
///
/// # Errors
/// [`Failure`] when the job cannot be read or is refused.
pub(crate) fn run(arguments: &InspectArguments) -> Result<Exit, Failure> {
    let reading = reading::read(&arguments.job)?;
    let contents = Contents::of(&reading);
    if arguments.json {
        print_json(&contents)?;
    } else {
        reading.say_notices();
        print(&contents.text())?;
    }
    Ok(Exit::Feasible)
}

impl Contents {
    fn of(reading: &Reading) -> Self {
        let job = &reading.job;
        Self {
            result: "in order",
            job: job.name.clone(),
            currency: job.currency.clone(),
            fixtures: job.fixtures.len(),
            rated_va: rated(job).value(),
            nodes: job.nodes.len(),
            segments: job.segments.len(),
            length_unit: job.units.length_symbol(),
            segment_length: job.units.from_metres(segment_length(job)),
            sites: job.sites.len(),
            existing_transformers: job.existing.len(),
            zones: job.zones.len(),
            cables: job.cables.len(),
            transformer_models: job.transformers.len(),
            notices: reading.notices.iter().map(Notice::to_string).collect(),
            input_sha256: reading.input_hash.clone(),
        }
    }

    fn text(&self) -> String {
        let mut out = format!("{}: in order\n\n", self.job);
        let mut fact = |name: &str, text: String| {
            let _infallible = writeln!(out, "  {name:<14} {text}");
        };
        fact(
            "load",
            format!(
                "{}, {:.1} VA rated",
                counted(self.fixtures, "fixture"),
                self.rated_va
            ),
        );
        fact(
            "site plan",
            format!(
                "{}, {}, {:.1} {} of possible trench",
                counted(self.nodes, "node"),
                counted(self.segments, "segment"),
                self.segment_length,
                self.length_unit
            ),
        );
        fact(
            "transformers",
            format!(
                "{}, {} standing, {} in the catalogue",
                counted(self.sites, "place"),
                self.existing_transformers,
                counted(self.transformer_models, "model")
            ),
        );
        fact("cables", counted(self.cables, "type"));
        fact("zones", self.zones.to_string());
        fact("input", format!("sha256 {}", self.input_sha256));
        out
    }
}

/// Sum of the fixtures' rated apparent powers.
fn rated(job: &Job) -> VoltAmperes {
    job.fixture_ids().map(|id| job.model_of(id).apparent).sum()
}

fn segment_length(job: &Job) -> Metres {
    job.segments.iter().map(|segment| segment.length).sum()
}
