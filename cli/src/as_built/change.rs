//! The list of changes: `what`, `name`, `to`.

use crate::failure::Failure;
use crate::folder::read_text;
use duskwright_solver::job::{did_you_mean, listed};
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

    /// A refusal of a name that is not one of `known`, with the nearest of them.
    pub(crate) fn unknown(&self, given: &str, reason: &str, known: &[&str]) -> Failure {
        let meant = did_you_mean(given, known.iter().copied());
        let meant = meant.map_or_else(String::new, |meant| format!("; {meant}"));
        let known = listed(known.iter().copied());
        self.refused(&format!("{reason}; accepted: {known}{meant}"))
    }
}

/// What a cell of a column may hold.
const fn accepted(column: &str) -> &'static str {
    match column.as_bytes() {
        b"what" => "path, fixture, tap",
        b"name" => "node/node of a path, the tag of a fixture, the label of a circuit",
        _ => "a length, the tag of a node, the tag of a tap",
    }
}

/// Reads the list.
///
/// # Errors
/// [`Failure::File`] when it cannot be read; [`Failure::Refused`] for a missing column, a
/// row that is none, an unknown word, an empty cell, or no row at all.
pub(crate) fn changes(list: &Path) -> Result<Vec<Change>, Failure> {
    let text = read_text(list)?;
    let refused = |reason: String| Failure::Refused(format!("{}: {reason}", list.display()));
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(text.as_bytes());
    let heading = reader.headers().map_err(|error| refused(error.to_string()));
    let heading = heading?.clone();
    let column = |name: &str| {
        let found = heading.iter().position(|cell| {
            cell.trim_start_matches('\u{feff}')
                .eq_ignore_ascii_case(name)
        });
        found.ok_or_else(|| {
            let given: Vec<&str> = heading.iter().collect();
            refused(format!(
                "line 1: the heading is `{}`, without a column `{name}`; accepted: what,name,to",
                given.join(",")
            ))
        })
    };
    let (what, name, to) = (column("what")?, column("name")?, column("to")?);
    let mut found = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| refused(error.to_string()))?;
        let line = record.position().map_or(0, csv::Position::line);
        if record.len() > heading.len() {
            return Err(refused(format!(
                "line {line}: {} cells below a heading of {}; accepted: as many as the heading",
                record.len(),
                heading.len()
            )));
        }
        let cell = |index: usize, of: &str| match record.get(index) {
            None | Some("") => Err(refused(format!(
                "line {line}: `{of}` is empty; accepted: {}",
                accepted(of)
            ))),
            Some(text) => Ok(text.to_owned()),
        };
        let word = cell(what, "what")?.to_lowercase();
        let what = What::ALL.into_iter().find(|what| what.word() == word);
        found.push(Change {
            list: list.to_path_buf(),
            line,
            what: what.ok_or_else(|| {
                let meant = did_you_mean(&word, What::ALL.map(What::word));
                let meant = meant.map_or_else(String::new, |meant| format!("; {meant}"));
                refused(format!(
                    "line {line}: what: `{word}`; accepted: {}{meant}",
                    accepted("what")
                ))
            })?,
            name: cell(name, "name")?,
            to: cell(to, "to")?,
        });
    }
    if found.is_empty() {
        return Err(refused(
            "no change in it; accepted: below the heading one change or more".to_owned(),
        ));
    }
    Ok(found)
}
