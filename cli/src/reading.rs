//! From a job folder on disk to a checked job: files opened here, text read by
//! the library.

use crate::args::JobArguments;
use crate::console;
use crate::digest;
use crate::failure::Failure;
use crate::folder::Folder;
use duskwright_solver::job::{self, Job, JobText, Notice};
use std::collections::BTreeMap;

/// The file that makes a folder a job.
const SETTINGS_FILE: &str = "job.toml";

/// A job that was read, and what was worth saying about it.
pub(crate) struct Reading {
    /// The checked job.
    pub(crate) job: Job,
    /// What is odd, or was assumed.
    pub(crate) notices: Vec<Notice>,
    /// SHA-256 over every file that was read, 64 hexadecimal digits.
    pub(crate) input_hash: String,
}

impl Reading {
    /// Says the notices on standard error.
    pub(crate) fn say_notices(&self) {
        for notice in &self.notices {
            console::talk(&format!("{notice}\n\n"));
        }
    }
}

/// Opens every file of a job and reads it.
///
/// # Errors
/// [`Failure::File`] for a folder or file that cannot be read;
/// [`Failure::Refused`] with every mistake in the files.
pub(crate) fn read(arguments: &JobArguments) -> Result<Reading, Failure> {
    of_text(&text(arguments)?)
}

/// Opens every file of a job.
///
/// # Errors
/// [`Failure::File`] or [`Failure::Refused`] for a folder or file that cannot be read.
pub(crate) fn text(arguments: &JobArguments) -> Result<JobText, Failure> {
    open_all(&Folder::open(&arguments.job, arguments.allow_outside)?)
}

/// Reads the files of a job.
///
/// # Errors
/// [`Failure::Job`] with every mistake in the files.
pub(crate) fn of_text(text: &JobText) -> Result<Reading, Failure> {
    let (job, notices) = job::read(text).map_err(|faults| Failure::Job(Box::new(faults)))?;
    Ok(Reading {
        job,
        notices,
        input_hash: hash(text),
    })
}

/// Opens every file of the job in a folder.
///
/// # Errors
/// As [`text`].
pub(crate) fn open_all(folder: &Folder) -> Result<JobText, Failure> {
    let mut text = JobText::new();
    let Some(settings) = folder.bytes(SETTINGS_FILE)? else {
        return Ok(text);
    };
    let wanted = job::files_wanted(&settings);
    text.insert(SETTINGS_FILE, settings);
    let mut catalogues: BTreeMap<&str, Option<Folder>> = BTreeMap::new();
    for file in &wanted {
        let bytes = match file.name.rsplit_once('/') {
            None => folder.bytes(&file.name)?,
            Some((place, name)) => {
                if !catalogues.contains_key(place) {
                    catalogues.insert(place, folder.catalogue(place)?);
                }
                match &catalogues[place] {
                    Some(catalogue) => catalogue.bytes(name)?,
                    None => None,
                }
            }
        };
        if let Some(bytes) = bytes {
            text.insert(file.name.as_str(), bytes);
        }
    }
    Ok(text)
}

/// Names the input.
fn hash(text: &JobText) -> String {
    digest::of(
        text.iter()
            .flat_map(|(name, bytes)| [name.as_bytes(), bytes]),
    )
}
