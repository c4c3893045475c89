//! `duskwright order`.

use super::PaperWord;
use clap::Args;
use std::path::PathBuf;

/// `duskwright order`.
#[derive(Debug, Args)]
pub(crate) struct OrderArguments {
    /// Folders of the jobs (those with job.toml), in the order in which they are numbered
    #[arg(value_name = "JOB", required = true)]
    pub(crate) jobs: Vec<PathBuf>,
    /// Folder with the plans: NAME/plan.json for a job folder called NAME
    #[arg(
        long,
        value_name = "DIR",
        conflicts_with = "plan",
        required_unless_present = "plan"
    )]
    pub(crate) plans: Option<PathBuf>,
    /// Plan of a job, once for each job and in their order
    #[arg(long, value_name = "PLAN.json")]
    pub(crate) plan: Vec<PathBuf>,
    /// Folder for the results; made whole or not at all
    ///
    /// It may be missing, empty, or hold an earlier order, which is then
    /// replaced. A folder with anything else in it is left as it is.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Put new fixtures on the list too
    #[arg(long)]
    pub(crate) fixtures: bool,
    /// Follow paths and links that lead away from a job
    #[arg(long)]
    pub(crate) allow_outside: bool,
    /// Paper size [default: letter for feet, a4 for metres]
    #[arg(long, value_enum)]
    pub(crate) paper: Option<PaperWord>,
    /// Date printed on the papers [default: today, universal time]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,
    /// Print the order as JSON
    #[arg(long)]
    pub(crate) json: bool,
}
