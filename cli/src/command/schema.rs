//! `duskwright schema`: the formats, from the readers' own definitions.

use crate::args::{SchemaArguments, SchemaWord};
use crate::command::print;
use crate::exit::Exit;
use crate::failure::Failure;
use duskwright_solver::job;
use duskwright_solver::plan::json;

/// Prints the one asked for.
///
/// # Errors
/// [`Failure`] when standard output cannot be written.
pub(crate) fn run(arguments: &SchemaArguments) -> Result<Exit, Failure> {
    print(&match arguments.form {
        SchemaWord::Tables => job::schema_text(),
        SchemaWord::Job => job::settings_json_schema(),
        SchemaWord::Plan => json::json_schema(),
    })?;
    Ok(Exit::Feasible)
}
