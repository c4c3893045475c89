//! `duskwright schema`: the job folder's format, from the reader's own definitions.

use crate::command::print;
use crate::exit::Exit;
use crate::failure::Failure;
use duskwright_solver::job;

/// Prints it.
///
/// # Errors
/// [`Failure`] when standard output cannot be written.
pub(crate) fn run() -> Result<Exit, Failure> {
    print(&job::schema_text())?;
    Ok(Exit::Feasible)
}
