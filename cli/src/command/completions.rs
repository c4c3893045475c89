//! `duskwright completions`: what a shell needs to complete the words of the command.

use crate::args::{Arguments, CompletionsArguments};
use crate::command::print;
use crate::exit::Exit;
use crate::failure::Failure;
use clap::CommandFactory;

/// Prints the script of the shell.
///
/// # Errors
/// [`Failure`] when standard output cannot be written.
pub(crate) fn run(arguments: &CompletionsArguments) -> Result<Exit, Failure> {
    let mut script = Vec::new();
    let mut command = Arguments::command();
    clap_complete::generate(arguments.shell, &mut command, "duskwright", &mut script);
    print(&String::from_utf8_lossy(&script))?;
    Ok(Exit::Feasible)
}
