//! A plan file, read against its job.

use crate::failure::Failure;
use crate::folder::read_plain;
use duskwright_solver::job::Job;
use duskwright_solver::plan::json::{self, PlanFile};
use std::path::Path;

/// Reads a plan; its text goes with it.
///
/// # Errors
/// [`Failure::File`] when it cannot be read, [`Failure::Refused`] when it is no plan of this job.
pub(crate) fn read(job: &Job, path: &Path) -> Result<(PlanFile, String), Failure> {
    let bytes = read_plain(path, path)?;
    let text = String::from_utf8(bytes).map_err(|error| {
        Failure::Refused(format!(
            "{}: not text in UTF-8 (byte {})",
            path.display(),
            error.utf8_error().valid_up_to()
        ))
    })?;
    let file = json::from_json(job, &text)
        .map_err(|faults| Failure::Refused(format!("{}: {faults}", path.display())))?;
    Ok((file, text))
}
