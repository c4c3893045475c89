//! Words of the commands for the first hour: `new`, `schema`, `completions`, `manual`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// `duskwright new`.
#[derive(Debug, Args)]
pub(crate) struct NewArguments {
    /// Folder to make; it may be missing or empty
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
    /// Units of the job: metres and mm², or feet and AWG
    #[arg(long, value_enum, default_value = "metric")]
    pub(crate) units: UnitsWord,
    /// Name of the job [default: that of the folder]
    #[arg(long, value_name = "NAME")]
    pub(crate) name: Option<String>,
}

/// `duskwright schema`.
#[derive(Debug, Args)]
pub(crate) struct SchemaArguments {
    /// Which form to print
    #[arg(value_enum, default_value = "tables")]
    pub(crate) form: SchemaWord,
}

/// `duskwright completions`.
#[derive(Debug, Args)]
pub(crate) struct CompletionsArguments {
    /// The shell
    #[arg(value_enum)]
    pub(crate) shell: clap_complete::Shell,
}

/// `duskwright manual`.
#[derive(Debug, Args)]
pub(crate) struct ManualArguments {
    /// Folder for the pages, a file a command; made when missing
    ///
    /// Pages of the same names in it are replaced, other files left alone.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
}

/// Units as typed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum UnitsWord {
    /// Metres and mm²
    Metric,
    /// Feet and AWG
    Us,
}

/// A form of the schema as typed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum SchemaWord {
    /// Every file, column, unit and default as text
    Tables,
    /// JSON Schema of job.toml, for editors
    Job,
    /// JSON Schema of plan.json
    Plan,
}
