//! The six files that a plan leaves, as bytes.

use crate::failure::Failure;
use crate::staging;
use duskwright_report::PaperOptions;
use duskwright_solver::schedule::Dossier;

/// Makes every file, in the order of [`staging::PLAN`].
///
/// `plan_json`: the plan as text, with all that is needed to recompute it.
///
/// # Errors
/// [`Failure::Paper`] when the report cannot be written.
pub(crate) fn papers(
    plan_json: String,
    dossier: &Dossier,
    options: &PaperOptions,
) -> Result<Vec<(&'static str, Vec<u8>)>, Failure> {
    let report =
        duskwright_report::write_pdf(dossier, options).map_err(|error| Failure::Paper {
            paper: "the report",
            reason: error.to_string(),
        })?;
    let bytes = [
        plan_json.into_bytes(),
        dossier.bill_csv().into_bytes(),
        dossier.circuits_csv().into_bytes(),
        dossier.fixtures_csv().into_bytes(),
        dossier.pieces_csv().into_bytes(),
        report,
    ];
    Ok(staging::PLAN.files.iter().copied().zip(bytes).collect())
}
