//! The `duskwright` command: words typed, files opened, codes returned, the
//! clock. All figures come from the libraries.

mod args;
mod as_built;
mod batch;
mod claims;
mod command;
mod console;
mod contender;
mod digest;
mod exit;
mod failure;
mod firm;
mod folder;
#[cfg(test)]
mod fuzz;
mod guidance;
mod origin;
mod papers;
mod plan_file;
mod planning;
mod reading;
mod remedy;
mod settings;
mod staging;
mod summary;
mod supply;
mod survey;
mod uncertain;
mod unserved;
mod watch;
mod workshop;

use args::{Arguments, Command};
use clap::Parser;
use exit::Exit;
use failure::Failure;
use std::process::ExitCode;

fn main() -> ExitCode {
    let ended = run(&Arguments::parse());
    let exit = ended.unwrap_or_else(|failure| {
        console::talk(&format!("{failure}"));
        failure.exit()
    });
    exit.into()
}

fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    match &arguments.command {
        Command::Survey(arguments) => command::survey::run(arguments),
        Command::Plan(arguments) => command::plan::run(arguments),
        Command::Compare(arguments) => command::compare::run(arguments),
        Command::Verify(arguments) => command::verify::run(arguments),
        Command::Inspect(arguments) => command::inspect::run(arguments),
        Command::Batch(arguments) => command::batch::run(arguments),
        Command::Order(arguments) => command::order::run(arguments),
        Command::Readings(arguments) => command::readings::run(arguments),
        Command::Diagnose(arguments) => command::diagnose::run(arguments),
        Command::Timers(arguments) => command::timers::run(arguments),
        Command::Rebuild(arguments) => command::rebuild::run(arguments),
        Command::New(arguments) => command::new::run(arguments),
        Command::Schema(arguments) => command::schema::run(arguments),
        Command::Completions(arguments) => command::completions::run(arguments),
        Command::Manual(arguments) => command::manual::run(arguments),
    }
}
