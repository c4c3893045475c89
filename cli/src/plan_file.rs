//! A plan file, read against its job.

use crate::failure::Failure;
use crate::folder::read_text;
use duskwright_solver::job::Job;
use duskwright_solver::plan::json::{self, PlanFile};
use std::path::Path;

/// Reads a plan; its text goes with it.
///
/// # Errors
/// [`Failure::File`] when it cannot be read, [`Failure::Refused`] when it is no plan of this job.
pub(crate) fn read(job: &Job, path: &Path) -> Result<(PlanFile, String), Failure> {
    let text = read_text(path)?;
    let file = json::from_json(job, &text)
        .map_err(|faults| Failure::Refused(format!("{}: {faults}", path.display())))?;
    Ok((file, text))
}
