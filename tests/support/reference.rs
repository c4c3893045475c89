//! Reference data read in place: public files with known values that are no part
//! of the project.

use std::path::PathBuf;

/// Text of a reference file, or `None` (said on standard error) when the collection is absent.
///
/// `path` is relative to the folder named by `DUSKWRIGHT_REFERENCE_DATA`, by default
/// `../shared/reference-data` beside the project.
#[must_use]
pub fn reference_text(path: &str) -> Option<String> {
    let folder = std::env::var_os("DUSKWRIGHT_REFERENCE_DATA").map_or_else(
        || {
            PathBuf::from(concat!(
                env!("CARGO_MANIFEST_DIR"),
                "/../../shared/reference-data"
            ))
        },
        PathBuf::from,
    );
    let text = std::fs::read_to_string(folder.join(path)).ok();
    if text.is_none() {
        eprintln!("skipped: no {path} in the reference data");
    }
    text
}

/// Rows of a reference table below its heading, cells split at commas.
#[must_use]
pub fn reference_rows(path: &str) -> Option<Vec<Vec<String>>> {
    let text = reference_text(path)?;
    let cells = |line: &str| line.split(',').map(str::to_owned).collect();
    Some(
        text.lines()
            .skip(1)
            .filter(|line| !line.is_empty())
            .map(cells)
            .collect(),
    )
}
