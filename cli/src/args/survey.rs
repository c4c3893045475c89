//! Words of `survey`.

use clap::Args;
use std::path::PathBuf;

/// `duskwright survey`.
#[derive(Debug, Args)]
pub(crate) struct SurveyArguments {
    /// Site plan: GeoJSON (.geojson, .json) or a DXF drawing (.dxf), at most 100 MB
    #[arg(value_name = "PLAN")]
    pub(crate) plan: PathBuf,
    /// Folder for the job; it may be missing, empty, or hold an earlier survey
    ///
    /// An earlier survey is made anew: nodes keep their names, overrides.csv,
    /// job.toml, zones.csv, existing.csv and a catalogue in it stay as they are.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Settings of the survey [default: survey.toml beside the plan, if any]
    ///
    /// Unit of the coordinates, surface of open ground, meaning of layers.
    #[arg(long, value_name = "FILE.toml")]
    pub(crate) settings: Option<PathBuf>,
    /// Further fixtures by coordinates, a table: tag,x,y,model
    #[arg(long, value_name = "FILE.csv")]
    pub(crate) fixtures: Option<PathBuf>,
    /// job.toml to begin the job with [default: job.toml beside the plan]
    ///
    /// Its catalogue gives rates, surfaces and models. zones.csv and
    /// existing.csv beside it are taken along. Once the job has a job.toml of
    /// its own, that one counts.
    #[arg(long, value_name = "job.toml")]
    pub(crate) job_file: Option<PathBuf>,
    /// Write over tables of an earlier survey that were edited since
    #[arg(long)]
    pub(crate) replace_edited: bool,
    /// Follow paths and links that lead away from the job
    #[arg(long)]
    pub(crate) allow_outside: bool,
    /// Print the result as JSON
    #[arg(long)]
    pub(crate) json: bool,
}
