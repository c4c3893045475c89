//! Words of the commands for what is in the ground already.

use super::{JobArguments, PaperWord};
use clap::Args;
use std::path::PathBuf;

/// How far meters and installations stray.
#[derive(Debug, Args)]
pub(crate) struct MeterArguments {
    /// Standard error of the voltmeter, percent of the reading
    #[arg(long, value_name = "PERCENT", default_value_t = 1.0)]
    pub(crate) volts_error: f64,
    /// Standard error of the clamp, percent of the reading
    #[arg(long, value_name = "PERCENT", default_value_t = 3.0)]
    pub(crate) amps_error: f64,
    /// Standard error of the clamp besides, A
    #[arg(long, value_name = "A", default_value_t = 0.1)]
    pub(crate) amps_floor: f64,
    /// Standard uncertainty of the line, percent of nominal
    #[arg(long, value_name = "PERCENT", default_value_t = 2.0)]
    pub(crate) line_error: f64,
    /// Standard uncertainty of the length of a piece, percent
    #[arg(long, value_name = "PERCENT", default_value_t = 3.0)]
    pub(crate) length_error: f64,
    /// Standard uncertainty of the load of a fixture, percent
    #[arg(long, value_name = "PERCENT", default_value_t = 4.0)]
    pub(crate) load_error: f64,
    /// Standard uncertainty of the conductor temperature, °C
    #[arg(long, value_name = "C", default_value_t = 8.0)]
    pub(crate) temperature_error: f64,
}

/// `duskwright readings`.
#[derive(Debug, Args)]
pub(crate) struct ReadingsArguments {
    /// The job.
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// The plan, as written by `duskwright plan`
    #[arg(value_name = "PLAN.json")]
    pub(crate) plan: PathBuf,
    /// Folder for readings.csv and readings.pdf; made whole or not at all
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Uncertainties.
    #[command(flatten)]
    pub(crate) meter: MeterArguments,
    /// Installations drawn at random for the bands
    #[arg(long, value_name = "N", default_value_t = 400)]
    pub(crate) draws: usize,
    /// Seed of the random generator
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Paper size [default: letter for feet, a4 for metres]
    #[arg(long, value_enum)]
    pub(crate) paper: Option<PaperWord>,
    /// Date printed on the sheet [default: today, universal time]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,
}

/// `duskwright diagnose`.
#[derive(Debug, Args)]
pub(crate) struct DiagnoseArguments {
    /// The job.
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// The plan, as written by `duskwright plan`
    #[arg(value_name = "PLAN.json")]
    pub(crate) plan: PathBuf,
    /// Table with the columns place, quantity, reading; others may stand beside
    ///
    /// As written by `duskwright readings`, filled in. Rows without a reading,
    /// and rows read while not everything was on, are passed over.
    #[arg(value_name = "READINGS.csv")]
    pub(crate) readings: PathBuf,
    /// Uncertainties.
    #[command(flatten)]
    pub(crate) meter: MeterArguments,
    /// Print the result as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// `duskwright timers`.
#[derive(Debug, Args)]
pub(crate) struct TimersArguments {
    /// The job; its job.toml says where it is under `place`
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// The plan, as written by `duskwright plan`: counts losses, names switches
    #[arg(value_name = "PLAN.json")]
    pub(crate) plan: Option<PathBuf>,
    /// Year of the table, 1970 to 2100 [default: this year, universal time]
    #[arg(long, value_name = "YYYY")]
    pub(crate) year: Option<i32>,
    /// Print the result as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// `duskwright rebuild`.
#[derive(Debug, Args)]
pub(crate) struct RebuildArguments {
    /// The job.
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// The plan that was built
    #[arg(value_name = "PLAN.json")]
    pub(crate) plan: PathBuf,
    /// Table with the columns what, name, to
    ///
    /// `path`, `node/node` (or `node/node/surface` where several join the same
    /// nodes), the length measured in the unit of the job; `fixture`, its tag,
    /// the node it was moved to; `tap`, the circuit as on the papers (C1), the
    /// tap it was moved to. Circuits that hang swapped are two rows.
    #[arg(value_name = "CHANGES.csv")]
    pub(crate) changes: PathBuf,
    /// New folder for job, plan and numbered changes, beside the job's own
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Date of the changes in the history [default: today, universal time]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,
}
