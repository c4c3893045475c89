//! What an earlier survey left in the folder of the job, and what was edited since.

use crate::digest;
use crate::failure::Failure;
use crate::folder::Folder;
use crate::papers::NamedFile;
use crate::survey::{DERIVED, OVERRIDES, RECORD};
use duskwright_solver::job::SETTINGS_FILE;
use duskwright_solver::units::UnitSystem;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;

/// Version of the record.
const SCHEMA: u32 = 1;

/// Highest number that a node's name can bear; a survey of a thousand fixtures gives some
/// thousands.
const HIGHEST_NUMBER: usize = 1_000_000_000;

/// What a survey writes down for the next one.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Record {
    schema: u32,
    /// Highest number in the name of a node so far.
    numbered: usize,
    /// Longitude and latitude of the plane's origin, degrees.
    origin: Option<[f64; 2]>,
    /// SHA-256 of each file as it was written.
    files: BTreeMap<String, String>,
}

/// The folder of a job before it is surveyed.
#[derive(Debug, Default)]
pub(crate) struct Earlier {
    /// Whether the folder holds anything.
    pub(crate) occupied: bool,
    record: Option<Record>,
    /// Derived files and hand edits that are there.
    files: BTreeMap<&'static str, Vec<u8>>,
}

/// Looks at the folder without changing it. `shown`: as it was typed.
///
/// # Errors
/// [`Failure::Refused`] for a folder that no survey may write in; [`Failure::File`].
pub(crate) fn look(folder: &Path, shown: &Path, allow_outside: bool) -> Result<Earlier, Failure> {
    let refused = |reason: &str| {
        Failure::Refused(format!(
            "--out {}: {reason}. Name a folder that is missing, empty, holds an earlier survey, or a job.toml and no tables of a site",
            shown.display()
        ))
    };
    let mut entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Earlier::default()),
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => {
            return Err(refused("it is not a folder"));
        }
        Err(error) => return Err(Failure::file("read", shown)(error)),
    };
    if entries.next().is_none() {
        return Ok(Earlier::default());
    }
    let home = Folder::open(folder, allow_outside)?;
    let mut files = BTreeMap::new();
    for name in DERIVED.into_iter().chain([OVERRIDES]) {
        if let Some(bytes) = home.bytes(name)? {
            files.insert(name, bytes);
        }
    }
    let record = match home.bytes(RECORD)? {
        Some(bytes) => Some(Record::read(&bytes).map_err(|reason| refused(&reason))?),
        None => None,
    };
    if record.is_none() {
        if let Some(name) = files.keys().find(|name| **name != OVERRIDES) {
            return Err(refused(&format!(
                "it holds `{name}`, which no survey wrote (there is no {RECORD})"
            )));
        }
        if home.bytes(SETTINGS_FILE)?.is_none() {
            return Err(refused(
                "it holds files, but neither an earlier survey nor a job.toml",
            ));
        }
    }
    Ok(Earlier {
        occupied: true,
        record,
        files,
    })
}

impl Record {
    fn read(bytes: &[u8]) -> Result<Self, String> {
        let record: Self = serde_json::from_slice(bytes)
            .map_err(|error| format!("its {RECORD} is not what a survey writes ({error})"))?;
        if record.schema != SCHEMA {
            return Err(format!(
                "its {RECORD} has schema {}, this program reads {SCHEMA}",
                record.schema
            ));
        }
        if record.numbered > HIGHEST_NUMBER {
            return Err(format!(
                "its {RECORD} says that nodes are numbered up to {}; accepted: at most {HIGHEST_NUMBER}",
                record.numbered
            ));
        }
        Ok(record)
    }
}

impl Earlier {
    /// The hand edits.
    pub(crate) fn overrides(&self) -> Option<&[u8]> {
        self.files.get(OVERRIDES).map(Vec::as_slice)
    }
    /// Origin of the earlier plane, degrees.
    pub(crate) fn origin(&self) -> Option<[f64; 2]> {
        self.record.as_ref()?.origin
    }
    /// Names and positions of its nodes, m, and the highest number given.
    pub(crate) fn nodes(&self, units: UnitSystem) -> duskwright_survey::Earlier {
        let table = self.files.get("nodes.csv").map_or(&[][..], Vec::as_slice);
        let mut reader = csv::Reader::from_reader(table);
        let heading = reader.headers().cloned().unwrap_or_default();
        let column = |name: &str| heading.iter().position(|cell| cell == name);
        let symbol = units.length_symbol();
        let (node, x, y) = (
            column("node"),
            column(&format!("x_{symbol}")),
            column(&format!("y_{symbol}")),
        );
        let row = |record: &csv::StringRecord| {
            let metres = |column: Option<usize>| -> Option<f64> {
                let number = record.get(column?)?.parse().ok()?;
                let metres = units.to_metres(number).value();
                // `nan` and `inf` are read as numbers, and no node lies there.
                metres.is_finite().then_some(metres)
            };
            Some((record.get(node?)?.to_owned(), [metres(x)?, metres(y)?]))
        };
        duskwright_survey::Earlier {
            nodes: reader
                .records()
                .flatten()
                .filter_map(|record| row(&record))
                .collect(),
            numbered: self.record.as_ref().map_or(0, |record| record.numbered),
            ..duskwright_survey::Earlier::default()
        }
    }

    /// Refuses to write over files that were edited since they were written, unless what was
    /// made of them is what would be written.
    ///
    /// # Errors
    /// [`Failure::Refused`] with their names.
    pub(crate) fn spare_edits(&self, out: &Path, files: &[NamedFile]) -> Result<(), Failure> {
        let written = |name: &str| self.record.as_ref()?.files.get(name);
        let edited: Vec<&str> = files
            .iter()
            .filter(|(name, new)| {
                self.files.get(name.as_str()).is_some_and(|old| {
                    old != new && written(name) != Some(&digest::of([old.as_slice()]))
                })
            })
            .map(|(name, _)| name.as_str())
            .collect();
        if edited.is_empty() {
            return Ok(());
        }
        Err(Failure::Refused(format!(
            "--out {}: edited since an earlier survey wrote it: {}. Put edits into the plan or {OVERRIDES}, \
             which a survey keeps, or write over them with --replace-edited",
            out.display(),
            edited.join(", ")
        )))
    }
}

/// The record of what is about to be written.
///
/// # Errors
/// Never for finite coordinates.
pub(crate) fn record(
    files: &[NamedFile],
    numbered: usize,
    origin: Option<[f64; 2]>,
) -> Result<NamedFile, Failure> {
    let digests = files
        .iter()
        .map(|(name, bytes)| (name.clone(), digest::of([bytes.as_slice()])));
    let record = Record {
        schema: SCHEMA,
        numbered,
        origin,
        files: digests.collect(),
    };
    let mut text = serde_json::to_string_pretty(&record).map_err(|error| Failure::Paper {
        paper: RECORD,
        reason: error.to_string(),
    })?;
    text.push('\n');
    Ok((RECORD.to_owned(), text.into_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_node_that_lies_nowhere_is_none() {
        let rows = [
            "n1,1.5,-2",
            "n2,nan,0",
            "n3,0,inf",
            "n4,,3",
            "n5,1e308,1",
            "n6,x,1",
        ];
        let table = format!("node,x_ft,y_ft\n{}\n", rows.join("\n"));
        let earlier = Earlier {
            files: BTreeMap::from([("nodes.csv", table.into_bytes())]),
            ..Earlier::default()
        };
        let nodes = earlier.nodes(UnitSystem::Us).nodes;
        let names: Vec<&str> = nodes.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(names, ["n1", "n5"]);
        // 1 ft = 0.3048 m.
        assert!((nodes[0].1[0] - 0.4572).abs() < 1e-12);
    }

    #[test]
    fn a_record_of_numbers_beyond_any_survey_is_refused() {
        let read = |numbered: usize| {
            let text = format!(
                "{{\"schema\": 1, \"numbered\": {numbered}, \"origin\": null, \"files\": {{}}}}"
            );
            Record::read(text.as_bytes())
        };
        assert_eq!(
            read(HIGHEST_NUMBER).expect("lawful").numbered,
            HIGHEST_NUMBER
        );
        let message = read(usize::MAX).expect_err("no name follows it");
        assert!(
            message.contains("accepted: at most 1000000000"),
            "{message}"
        );
    }
}
