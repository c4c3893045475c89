//! Words as typed. Nothing here is interpreted: see [`crate::settings`].

mod service;

pub(crate) use service::{
    DiagnoseArguments, MeterArguments, ReadingsArguments, RebuildArguments, TimersArguments,
};

use crate::exit::Exit;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Plan, check, price and document low-voltage outdoor lighting.
#[derive(Debug, Parser)]
#[command(name = "duskwright", version, max_term_width = 80, after_help = Exit::table())]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Plan a job and write the plan, the bill, the lists and the report
    #[command(after_help = "Example:\n  duskwright plan samples/courtyard --out out/courtyard")]
    Plan(PlanArguments),
    /// Check a plan against its job and list every rule it breaks
    #[command(
        after_help = "Example:\n  duskwright verify samples/courtyard out/courtyard/plan.json"
    )]
    Verify(VerifyArguments),
    /// Read a job without planning it, and say what is wrong or odd in it
    #[command(after_help = "Example:\n  duskwright inspect samples/courtyard")]
    Inspect(InspectArguments),
    /// Write what a meter should read at each step of the installation
    #[command(
        after_help = "Example:\n  duskwright readings samples/courtyard out/courtyard/plan.json --out out/readings"
    )]
    Readings(ReadingsArguments),
    /// Find what is likely wrong from readings, and what to measure next
    #[command(
        after_help = "Example:\n  duskwright diagnose samples/courtyard out/courtyard/plan.json readings.csv"
    )]
    Diagnose(DiagnoseArguments),
    /// Print what timers are set to, hours, energy and its cost, zone by zone
    #[command(
        after_help = "Example:\n  duskwright timers samples/estate out/estate/plan.json --year 2026"
    )]
    Timers(TimersArguments),
    /// Fold what was measured on site back into job and plan
    #[command(
        after_help = "Example:\n  duskwright rebuild samples/courtyard out/courtyard/plan.json changes.csv --out samples/courtyard-built"
    )]
    Rebuild(RebuildArguments),
    /// Print the format of a job folder: files, columns, units, defaults
    #[command(after_help = "Example:\n  duskwright schema")]
    Schema,
}

/// Where a job is read from.
#[derive(Debug, Args)]
pub(crate) struct JobArguments {
    /// Folder of the job (the one with job.toml)
    #[arg(value_name = "JOB")]
    pub(crate) job: PathBuf,
    /// Follow symbolic links that lead out of the job and its catalogue
    ///
    /// Without it a job reads its own folder and the catalogue folder that
    /// job.toml names, and nothing else.
    #[arg(long)]
    pub(crate) allow_outside: bool,
}

/// `duskwright plan`.
#[derive(Debug, Args)]
pub(crate) struct PlanArguments {
    /// The job.
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// Folder for the results; made whole or not at all
    ///
    /// It may be missing, empty, or hold an earlier plan, which is then
    /// replaced. A folder with anything else in it is left as it is.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Layout that every circuit must have [default: mixed, where the job allows it]
    #[arg(long, value_enum)]
    pub(crate) layout: Option<LayoutWord>,
    /// How hard to search, in work done (the same on any machine)
    #[arg(long, value_enum, default_value = "standard")]
    pub(crate) effort: EffortWord,
    /// Threads to search with [default: one a core]; the plan does not depend on it
    #[arg(long, value_name = "N")]
    pub(crate) threads: Option<usize>,
    /// Stop searching after this many seconds [default: no limit]
    ///
    /// The plan then depends on the speed of the machine; the result says so.
    #[arg(long, value_name = "SECONDS")]
    pub(crate) time_limit: Option<f64>,
    /// Seed of the random generator
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Paper size of the report [default: letter for feet, a4 for metres]
    #[arg(long, value_enum)]
    pub(crate) paper: Option<PaperWord>,
    /// Date printed on the report [default: today, universal time]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,
    /// Print the result as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// `duskwright verify`.
#[derive(Debug, Args)]
pub(crate) struct VerifyArguments {
    /// The job.
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// The plan, as written by `duskwright plan` or by other means
    #[arg(value_name = "PLAN.json")]
    pub(crate) plan: PathBuf,
    /// Print the result as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// `duskwright inspect`.
#[derive(Debug, Args)]
pub(crate) struct InspectArguments {
    /// The job.
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// Print the result as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// A layout as typed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum LayoutWord {
    /// Trees of pieces and joints, hubs among them
    Mixed,
    /// Daisy chains: each circuit one path of fixture joints
    Chain,
    /// Home runs to hubs, each fixture from a hub
    Hub,
}

/// An effort as typed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum EffortWord {
    /// A first good plan
    Quick,
    /// What a bid deserves
    Standard,
    /// What a large order deserves
    Thorough,
}

/// A paper size as typed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum PaperWord {
    /// 8.5 x 11 in
    Letter,
    /// 210 x 297 mm
    A4,
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_well_formed() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn every_option_of_every_command_has_help() {
        for command in Arguments::command().get_subcommands() {
            for argument in command.get_arguments() {
                assert!(
                    argument.get_help().is_some(),
                    "{} {} has no help",
                    command.get_name(),
                    argument.get_id()
                );
            }
        }
    }

    #[test]
    fn the_help_fits_eighty_columns() {
        let mut command = Arguments::command();
        command.build();
        for sub in command.get_subcommands_mut() {
            for line in sub.render_long_help().to_string().lines() {
                assert!(line.chars().count() <= 80, "{line}");
            }
        }
    }
}
