//! The sample jobs, read in place.

use duskwright_solver::job::{self, Job, JobText};
use std::path::Path;

/// Reads a sample and the catalogue that it names.
///
/// # Errors
/// What is wrong, in words: a file that cannot be read, or every fault of the job.
pub fn read(sample: &str) -> Result<Job, String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../samples")
        .join(sample);
    let open = |name: &str| std::fs::read(folder.join(name));
    let settings = open(job::SETTINGS_FILE).map_err(|error| error.to_string())?;
    let mut text = JobText::new();
    for wanted in job::files_wanted(&settings) {
        match open(&wanted.name) {
            Ok(bytes) => text.insert(wanted.name, bytes),
            Err(error) if wanted.required => return Err(format!("{}: {error}", wanted.name)),
            Err(_) => {}
        }
    }
    text.insert(job::SETTINGS_FILE, settings);
    let (job, _notices) = job::read(&text).map_err(|faults| faults.to_string())?;
    Ok(job)
}
