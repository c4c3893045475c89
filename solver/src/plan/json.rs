//! The plan as a file: tags instead of indices, units in every key, all that is
//! needed to recompute each figure from the job alone.
//!
//! [`to_json`] writes a plan with its header and results; [`from_json`] reads
//! one back against its job, or lists everything wrong with it. Reading checks
//! that the parts named exist; whether the plan keeps the rules is for
//! `check::verify`.
//!
//! Segments have no names: a step of a route is written as the tags of its two
//! end nodes and its ordinal, from 1 in file order, among the segments that
//! join the same two nodes.

mod fault;
mod raw;
mod read;
mod results;
mod steps;
mod write;

pub use fault::{PlanFault, PlanFaults};
pub use results::{
    CircuitResults, CostResult, FixtureResults, PieceResults, PlanResults, TransformerResults,
};

use super::Plan;
use crate::job::{Job, Layout};

/// Version of the file's shape; raised when a key changes its meaning.
pub const SCHEMA: u32 = 1;

/// How a plan came about: given by whoever ran the search.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanHeader {
    /// Version of the program that wrote the plan.
    pub program_version: String,
    /// Digest of the input files, in the form the caller chose.
    pub input_hash: String,
    /// Amount of search work, by name.
    pub effort: String,
    /// Seed of the random generator.
    pub seed: u64,
    /// Layout asked for.
    pub layout: Layout,
    /// What was minimised, in the words of a job; absent in plans of versions that did not say.
    #[serde(default)]
    pub objective: Option<String>,
    /// What the search can say of the plan, in one word: proven, feasible, stopped.
    pub status: String,
    /// Proven lower bound on the direct cost, in the job's currency, if there is one.
    pub lower_bound_cost: Option<f64>,
}

/// A plan file read back.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanFile {
    /// The plan.
    pub plan: Plan,
    /// How it came about.
    pub header: PlanHeader,
    /// The figures it states. They are claims: the checker computes its own.
    pub results: PlanResults,
}

/// Writes a plan: the same plan gives the same bytes.
///
/// # Panics
/// When an id of the plan was made for another job.
#[must_use]
pub fn to_json(job: &Job, plan: &Plan, header: &PlanHeader, results: &PlanResults) -> String {
    let raw = write::raw(job, plan, header, results);
    let mut text = serde_json::to_string_pretty(&raw)
        .expect("string keys and plain values always have a JSON form");
    text.push('\n');
    text
}

/// The shape of a plan file as JSON Schema (draft 2020-12), made from the very types
/// that read and write it. Ends with a line end; the same text each time.
///
/// A file that has this shape can still be refused: tags are looked up in the job.
#[must_use]
pub fn json_schema() -> String {
    let schema = schemars::schema_for!(raw::File);
    let mut text = serde_json::to_string_pretty(&schema).expect("a schema is plain JSON");
    text.push('\n');
    text
}

/// Version of the file's shape, looked at before anything else: a newer file may have
/// keys that this program has never heard of, and must be refused for the right reason.
fn version(text: &str) -> Result<u32, PlanFaults> {
    #[derive(serde::Deserialize)]
    struct Version {
        schema: u32,
    }
    let version: Version = serde_json::from_str(text).map_err(PlanFaults::of_form)?;
    Ok(version.schema)
}

/// Reads a plan against the job it was made for.
///
/// Any text may be given; nothing panics.
/// # Errors
/// [`PlanFaults`]: the first fault of form, or else every tag, label, segment and length that does not fit the job.
pub fn from_json(job: &Job, text: &str) -> Result<PlanFile, PlanFaults> {
    let schema = version(text)?;
    if schema != SCHEMA {
        return Err(PlanFaults(vec![PlanFault::Schema {
            given: schema,
            accepted: SCHEMA,
        }]));
    }
    let raw: raw::File = serde_json::from_str(text).map_err(PlanFaults::of_form)?;
    read::plan(job, raw)
}
