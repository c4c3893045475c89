//! `duskwright new`: a starter job with its own small catalogue, which plans as it stands.

use crate::args::{NewArguments, UnitsWord};
use crate::command::print;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::staging::{self, STARTER};
use std::fs;
use std::io;
use std::path::Path;

/// What stands in a starter's job.toml for the name of the job.
const NAME: &str = "@NAME@";
/// What stands in a starter's texts for its folder.
const FOLDER: &str = "FOLDER";
/// Longest name of a job, characters (as the reader allows).
const LONGEST_NAME: usize = 500;

/// The files of a starter by name.
macro_rules! starter {
    ($units:literal) => {
        &[
            starter!(@file $units, "job.toml"),
            starter!(@file $units, "READ-ME.md"),
            starter!(@file $units, "fixtures.csv"),
            starter!(@file $units, "paths.csv"),
            starter!(@file $units, "nodes.csv"),
            starter!(@file $units, "sites.csv"),
            starter!(@file $units, "catalogue/cables.csv"),
            starter!(@file $units, "catalogue/spools.csv"),
            starter!(@file $units, "catalogue/fixture_models.csv"),
            starter!(@file $units, "catalogue/transformers.csv"),
            starter!(@file $units, "catalogue/secondaries.csv"),
            starter!(@file $units, "catalogue/taps.csv"),
            starter!(@file $units, "catalogue/commons.csv"),
            starter!(@file $units, "catalogue/hubs.csv"),
            starter!(@file $units, "catalogue/joints.csv"),
            starter!(@file $units, "catalogue/surfaces.csv"),
        ]
    };
    (@file $units:literal, $name:literal) => {
        ($name, include_str!(concat!("../../starter/", $units, "/", $name)))
    };
}

const METRIC: &[(&str, &str)] = starter!("metric");
const US: &[(&str, &str)] = starter!("us");

/// Makes the folder, whole or not at all.
///
/// # Errors
/// [`Failure::Refused`] when the folder holds anything or the name is not usable;
/// [`Failure::File`] when it cannot be written.
pub(crate) fn run(arguments: &NewArguments) -> Result<Exit, Failure> {
    let folder = staging::settle(&arguments.folder, &STARTER)?;
    let name = name(arguments, &folder)?;
    vacant(&arguments.folder, &folder)?;
    let shown = arguments.folder.display().to_string();
    let files = match arguments.units {
        UnitsWord::Metric => METRIC,
        UnitsWord::Us => US,
    };
    let quoted = toml::Value::String(name).to_string();
    let filled = files.iter().map(|(file, text)| {
        let text = text.replace(NAME, &quoted).replace(FOLDER, &shown);
        (*file, text)
    });
    staging::make(&folder, &filled.collect::<Vec<_>>())?;
    print(&format!(
        "{shown}: a starter job with invented prices, {} files; begin with {shown}/READ-ME.md\n\n  \
         duskwright inspect {shown}\n  duskwright plan {shown} --out {shown}-plan\n",
        files.len(),
    ))?;
    Ok(Exit::Feasible)
}

/// The name of the job: as typed, or that of the folder.
fn name(arguments: &NewArguments, folder: &Path) -> Result<String, Failure> {
    let name = arguments.name.clone().unwrap_or_else(|| {
        let last = folder.file_name().unwrap_or_default();
        last.to_string_lossy().into_owned()
    });
    let usable = !name.trim().is_empty()
        && name.chars().count() <= LONGEST_NAME
        && !name.chars().any(char::is_control);
    if usable {
        return Ok(name);
    }
    Err(Failure::Refused(format!(
        "--name \"{}\": not usable; accepted: 1 to {LONGEST_NAME} characters without line ends",
        name.escape_default()
    )))
}

/// Refuses a place where something is already.
fn vacant(shown: &Path, folder: &Path) -> Result<(), Failure> {
    let mut entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => {
            return Err(refused(shown, "it is not a folder"));
        }
        Err(error) => return Err(Failure::file("read", shown)(error)),
    };
    match entries.next() {
        None => Ok(()),
        Some(entry) => {
            let entry = entry.map_err(Failure::file("read", shown))?;
            let name = entry.file_name();
            let reason = format!("it holds `{}`", name.to_string_lossy());
            Err(refused(shown, &reason))
        }
    }
}

fn refused(shown: &Path, reason: &str) -> Failure {
    Failure::Refused(format!(
        "{}: {reason}; name a folder that is missing or empty",
        shown.display()
    ))
}
