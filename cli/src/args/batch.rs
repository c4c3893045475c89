//! `duskwright batch`.

use super::{EffortWord, LayoutWord, PaperWord};
use clap::Args;
use std::path::PathBuf;

/// `duskwright batch`.
#[derive(Debug, Args)]
pub(crate) struct BatchArguments {
    /// Folder with the job folders in it, or a text file with a job folder a line
    ///
    /// In a list, paths are relative to the list; blank lines and lines that
    /// begin with # are skipped.
    #[arg(value_name = "FOLDER-or-LIST", required_unless_present = "merge")]
    pub(crate) jobs: Option<PathBuf>,
    /// Folder for the results, one batch each; jobs finished there are not redone
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Plan only the jobs of part I of N, for a machine each; merge the parts later
    #[arg(long, value_name = "I/N", conflicts_with = "merge")]
    pub(crate) shard: Option<String>,
    /// Combine the results of every part of one batch instead of planning
    #[arg(long, value_name = "DIR", num_args = 1.., conflicts_with = "jobs")]
    pub(crate) merge: Vec<PathBuf>,
    /// Layout that every circuit must have [default: mixed, where a job allows it]
    #[arg(long, value_enum, conflicts_with = "merge")]
    pub(crate) layout: Option<LayoutWord>,
    /// How hard to search, in work done (the same on any machine)
    #[arg(long, value_enum, default_value = "standard")]
    pub(crate) effort: EffortWord,
    /// Jobs planned at a time, a thread each [default: one a core]
    #[arg(long, value_name = "N")]
    pub(crate) threads: Option<usize>,
    /// Seed of the random generator
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Follow paths and links that lead away from a list or a job
    #[arg(long)]
    pub(crate) allow_outside: bool,
    /// Paper size of the reports [default: letter for feet, a4 for metres]
    #[arg(long, value_enum, conflicts_with = "merge")]
    pub(crate) paper: Option<PaperWord>,
    /// Date printed on the reports [default: that of the batch's first run]
    #[arg(long, value_name = "YYYY-MM-DD", conflicts_with = "merge")]
    pub(crate) date: Option<String>,
    /// Print the portfolio as JSON
    #[arg(long)]
    pub(crate) json: bool,
}
