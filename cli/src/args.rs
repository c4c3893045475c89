//! Words as typed. Nothing here is interpreted: see [`crate::settings`].

mod batch;
mod order;
mod service;
mod start;
mod survey;

pub(crate) use batch::BatchArguments;
pub(crate) use order::OrderArguments;
pub(crate) use service::{
    DiagnoseArguments, MeterArguments, ReadingsArguments, RebuildArguments, TimersArguments,
};

pub(crate) use start::{
    CompletionsArguments, ManualArguments, NewArguments, SchemaArguments, SchemaWord, UnitsWord,
};
pub(crate) use survey::SurveyArguments;

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
    /// Make a small, commented starter job that plans as it stands
    #[command(
        after_help = "Examples:\n  duskwright new elm-court\n  duskwright new elm-court --units us --name \"Elm Court\""
    )]
    New(NewArguments),
    /// Derive a job's nodes and possible trenches from a site plan
    #[command(
        after_help = "Examples:\n  duskwright survey samples/estate/plan.geojson --out out/estate-job\n  duskwright survey plan.dxf --settings layers.toml --job-file job.toml --out elm"
    )]
    Survey(SurveyArguments),
    /// Plan a job and write the plan, the bill, the lists and the report
    #[command(
        after_help = "Examples:\n  duskwright plan samples/courtyard --out out/courtyard\n  duskwright plan samples/garden --out out/garden --papers all --firm firm.toml\n  duskwright plan samples/garden --out out/garden --papers bid --alternatives options.toml"
    )]
    Plan(PlanArguments),
    /// Plan a job in several ways and show them side by side
    #[command(after_help = COMPARE_HELP)]
    Compare(CompareArguments),
    /// Check a plan against its job and list every rule it breaks
    #[command(
        after_help = "Example:\n  duskwright verify samples/courtyard out/courtyard/plan.json"
    )]
    Verify(VerifyArguments),
    /// Read a job without planning it, and say what is wrong or odd in it
    #[command(after_help = "Example:\n  duskwright inspect samples/courtyard")]
    Inspect(InspectArguments),
    /// Plan many jobs in parallel and put their figures side by side
    #[command(
        after_help = "Examples:\n  duskwright batch samples --out out/week\n  duskwright batch week.txt --out out/part-2 --shard 2/4\n  duskwright batch --merge out/part-1 out/part-2 --out out/week"
    )]
    Batch(BatchArguments),
    /// Order what planned jobs need: purchase list, cut sheet, labels
    #[command(
        after_help = "Example:\n  duskwright order samples/courtyard samples/garden --plans out --out out/order"
    )]
    Order(OrderArguments),
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
    #[command(
        after_help = "Examples:\n  duskwright schema\n  duskwright schema job > job.schema.json"
    )]
    Schema(SchemaArguments),
    /// Print the completions of a shell
    #[command(
        after_help = "Example:\n  duskwright completions bash > ~/.local/share/bash-completion/completions/duskwright"
    )]
    Completions(CompletionsArguments),
    /// Write the manual as man pages
    #[command(after_help = "Example:\n  duskwright manual --out ~/.local/share/man/man1")]
    Manual(ManualArguments),
}

/// Where a job is read from.
#[derive(Debug, Args)]
pub(crate) struct JobArguments {
    /// Folder of the job (the one with job.toml)
    #[arg(value_name = "JOB")]
    pub(crate) job: PathBuf,
    /// Follow paths and links that lead away from the job
    ///
    /// Without it a job reads its own folder and the catalogue folder that
    /// job.toml names, which must lie in the job's folder or beside it.
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
    /// A plan sent out already: keep its circuits where that costs little
    ///
    /// Each of its pieces that stays as it is counts as an equal share of the
    /// tolerance. The result says what changed.
    #[arg(long, value_name = "PLAN.json")]
    pub(crate) keep: Option<PathBuf>,
    /// What keeping all of that plan may cost, % of its direct cost
    #[arg(long, value_name = "PERCENT", default_value_t = 1.0, requires = "keep")]
    pub(crate) tolerance: f64,
    /// Decisions made beforehand, a table: decision,subject,object
    ///
    /// same_circuit,F1,F2 and other_circuit,F1,F7: two fixtures;
    /// circuit,F3,C2: with those of circuit C2 of the plan kept;
    /// site,F4,garage: fed from there; transformer,MODEL,garage: bought for it.
    #[arg(long, value_name = "FILE.csv")]
    pub(crate) decisions: Option<PathBuf>,
    /// Papers to write beside report.pdf, several with commas between
    ///
    /// bid.pdf for the client, crew.pdf for the site, buy.pdf for who orders.
    #[arg(long, value_enum, value_name = "PAPER", value_delimiter = ',')]
    pub(crate) papers: Vec<PapersWord>,
    /// File with the name, address, logo and terms of the firm
    ///
    /// TOML with the keys name, address, contact, terms (lists of text) and
    /// logo (a PNG or SVG file beside it).
    #[arg(long, value_name = "FIRM.toml")]
    pub(crate) firm: Option<PathBuf>,
    /// File of named alternatives to price beside the plan in bid.pdf
    ///
    /// Each is planned like the job itself; `compare --help` tells the form.
    #[arg(long, value_name = "FILE.toml", requires = "papers")]
    pub(crate) alternatives: Option<PathBuf>,
    /// Write every drawing as an SVG file too (drawing-*.svg)
    #[arg(long)]
    pub(crate) svg: bool,
    /// Paper size [default: letter for feet, a4 for metres]
    #[arg(long, value_enum)]
    pub(crate) paper: Option<PaperWord>,
    /// Paper size of the drawings [default: that of the papers]
    #[arg(long, value_enum)]
    pub(crate) sheets: Option<SheetWord>,
    /// Date printed on the report [default: today, universal time]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,
    /// Print the result as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// What the help of `compare` ends with.
const COMPARE_HELP: &str = "\
Alternatives are told in a TOML file; what is left out stays as the job has it:
  [[alternative]]
  name = \"thick cable, from the garage\"
  difference = \"Room to grow.\"      # what the client reads in a bid
  layout = \"mixed\"                  # or chain, hub
  cables = [\"10-2\", \"8-2\"]         # the only cable types bought
  sites = [\"garage\"]               # the only transformer sites
  transformers = [\"300\"]           # the only models bought
  most_fixtures_per_circuit = 8
  labour_rate = 95                 # money per hour
  digging_factor = 1.2             # on opening ground
  cable_price_factor = 1.1

Example:
  duskwright compare samples/courtyard --csv out/compared.csv";

/// `duskwright compare`.
#[derive(Debug, Args)]
pub(crate) struct CompareArguments {
    /// The job.
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// File of named alternatives, each a further column
    #[arg(long, value_name = "FILE.toml")]
    pub(crate) alternatives: Option<PathBuf>,
    /// Write the table as comma-separated text too
    #[arg(long, value_name = "FILE.csv")]
    pub(crate) csv: Option<PathBuf>,
    /// Write the table as a page too
    #[arg(long, value_name = "FILE.pdf")]
    pub(crate) pdf: Option<PathBuf>,
    /// How hard to search each, in work done
    #[arg(long, value_enum, default_value = "quick")]
    pub(crate) effort: EffortWord,
    /// Threads to search with [default: one a core]
    #[arg(long, value_name = "N")]
    pub(crate) threads: Option<usize>,
    /// Stop searching after this many seconds in all [default: no limit]
    #[arg(long, value_name = "SECONDS")]
    pub(crate) time_limit: Option<f64>,
    /// Seed of the random generator
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Paper size of the page [default: letter for feet, a4 for metres]
    #[arg(long, value_enum)]
    pub(crate) paper: Option<PaperWord>,
    /// Date printed on the page [default: today, universal time]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,
    /// Print the table as JSON
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

/// Papers as typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum PapersWord {
    /// What the client reads: scope, price, drawing, terms
    Bid,
    /// What the crew works from: drawings, lugs, trenches, cuts, readings
    Crew,
    /// What is bought: cable, splices, hubs, transformers, fixtures
    Buy,
    /// All three
    All,
}

/// A paper size of drawings as typed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum SheetWord {
    /// 8.5 x 11 in
    Letter,
    /// 210 x 297 mm
    A4,
    /// 11 x 17 in
    Tabloid,
    /// 297 x 420 mm
    A3,
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
    fn every_command_shows_an_example_of_itself() {
        for command in Arguments::command().get_subcommands() {
            let help = command.get_after_help().map(ToString::to_string);
            let example = format!("\n  duskwright {} ", command.get_name());
            let shown = help.unwrap_or_default().replace("schema\n", "schema \n");
            assert!(
                shown.contains(&example),
                "{} has no example of itself",
                command.get_name()
            );
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
