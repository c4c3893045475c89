//! The list of changes: `what`, `name`, `to`.

use crate::failure::Failure;
use crate::folder::read_plain;
use std::path::{Path, PathBuf};

/// What was changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum What {
    /// A path is longer or shorter than the job says.
    Path,
    /// A fixture stands at another node.
    Fixture,
    /// A circuit hangs on another tap.
    Tap,
}

impl What {
    const ALL: [Self; 3] = [Self::Path, Self::Fixture, Self::Tap];

    /// As the list writes it.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Path => "path",
            Self::Fixture => "fixture",
            Self::Tap => "tap",
        }
    }
}

/// One change as typed.
#[derive(Clone, Debug)]
pub(crate) struct Change {
    list: PathBuf,
    line: u64,
    /// What was changed.
    pub(crate) what: What,
    /// Of what.
    pub(crate) name: String,
    /// To what.
    pub(crate) to: String,
}

impl Change {
    /// A refusal that names the change.
    pub(crate) fn refused(&self, reason: &str) -> Failure {
        Failure::Refused(format!(
            "{}: line {}: {} `{}` to `{}`: {reason}",
            self.list.display(),
            self.line,
            self.what.word(),
            self.name,
            self.to
        ))
    }
}

/// Reads the list.
///
/// # Errors
/// [`Failure::File`] when it cannot be read; [`Failure::Refused`] for a missing column, a
/// row that is none, an unknown word, an empty cell, or no row at all.
pub(crate) fn changes(list: &Path) -> Result<Vec<Change>, Failure> {
    let bytes = read_plain(list, list)?;
    let refused = |reason: String| Failure::Refused(format!("{}: {reason}", list.display()));
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .from_reader(bytes.as_slice());
    let heading = reader.headers().map_err(|error| refused(error.to_string()));
    let heading = heading?.clone();
    let column = |name: &str| {
        let found = heading.iter().position(|cell| {
            cell.trim_start_matches('\u{feff}')
                .eq_ignore_ascii_case(name)
        });
        found.ok_or_else(|| {
            refused(format!(
                "the column `{name}` is missing; needed: what, name, to"
            ))
        })
    };
    let (what, name, to) = (column("what")?, column("name")?, column("to")?);
    let mut found = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| refused(error.to_string()))?;
        let line = record.position().map_or(0, csv::Position::line);
        let cell = |index: usize, of: &str| match record.get(index) {
            None | Some("") => Err(refused(format!("line {line}: `{of}` is empty"))),
            Some(text) => Ok(text.to_owned()),
        };
        let word = cell(what, "what")?.to_lowercase();
        let what = What::ALL.into_iter().find(|what| what.word() == word);
        found.push(Change {
            list: list.to_path_buf(),
            line,
            what: what.ok_or_else(|| {
                refused(format!(
                    "line {line}: what: `{word}`; accepted: path, fixture, tap"
                ))
            })?,
            name: cell(name, "name")?,
            to: cell(to, "to")?,
        });
    }
    if found.is_empty() {
        return Err(refused("no change in it".to_owned()));
    }
    Ok(found)
}
