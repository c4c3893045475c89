//! The parts of a batch, put together into one folder that looks as if one
//! machine had planned all of it.

use super::place::Place;
use super::record::{Card, Record, SCHEMA};
use crate::console;
use crate::failure::Failure;
use duskwright_solver::portfolio::{Fate, PortfolioRow};
use std::fs;
use std::path::{Path, PathBuf};

/// A part of a batch.
struct Part {
    folder: PathBuf,
    place: Place,
    card: Card,
}

/// Copies every part's results and records into `out`; records in the order of the batch.
/// A job that no part has on record, or whose results were changed, is missing.
///
/// # Errors
/// [`Failure`] when a folder is no part, the parts are not of one batch, one is
/// given twice, or `out` cannot be written.
pub(crate) fn merged(parts: &[PathBuf], out: &Path) -> Result<(Place, Card, Vec<Record>), Failure> {
    given_once(parts)?;
    let parts: Vec<Part> = parts
        .iter()
        .map(|folder| {
            let (place, card) = Place::open_existing(folder)?;
            Ok(Part {
                folder: folder.clone(),
                place,
                card,
            })
        })
        .collect::<Result<_, Failure>>()?;
    let card = common(&parts)?;
    let place = Place::open(out)?;
    if let Some(earlier) = place.card()?
        && earlier.shard.is_some()
    {
        return Err(Failure::Refused(format!(
            "--out {}: it holds a part of a batch; merge into a folder of its own",
            out.display()
        )));
    }
    place.put_card(&card)?;
    let records = card.jobs.iter().enumerate();
    let records = records.map(|(position, name)| {
        let owner = parts
            .iter()
            .find(|part| part.card.shard.is_some_and(|shard| shard.has(position)));
        match owner {
            Some(part) => carried(part, &place, name),
            None => Ok(missing(name)),
        }
    });
    let records = records.collect::<Result<Vec<_>, Failure>>()?;
    Ok((place, card, records))
}

/// Refuses a folder given twice: it could not be held twice.
fn given_once(parts: &[PathBuf]) -> Result<(), Failure> {
    let real = |path: &PathBuf| fs::canonicalize(path).unwrap_or_else(|_| path.clone());
    let real: Vec<PathBuf> = parts.iter().map(real).collect();
    let twice = (0..real.len()).find(|&at| real[..at].contains(&real[at]));
    twice.map_or(Ok(()), |at| {
        Err(Failure::Refused(format!(
            "--merge: {} is given twice",
            parts[at].display()
        )))
    })
}

/// The card of the whole batch.
fn common(parts: &[Part]) -> Result<Card, Failure> {
    let first = parts
        .first()
        .ok_or_else(|| Failure::Refused("--merge: no part is given".to_owned()))?;
    let whole = |card: &Card| Card {
        shard: None,
        ..card.clone()
    };
    let mut seen: Vec<usize> = Vec::new();
    for part in parts {
        let Some(shard) = part.card.shard else {
            return Err(Failure::Refused(format!(
                "--merge {}: a whole batch, not a part of one",
                part.folder.display()
            )));
        };
        let of_first = first.card.shard.map(|shard| shard.parts);
        if whole(&part.card) != whole(&first.card) || Some(shard.parts) != of_first {
            return Err(Failure::Refused(format!(
                "--merge: {} and {} are not parts of one batch (list of jobs, number of parts, options, date or version differ)",
                first.folder.display(),
                part.folder.display()
            )));
        }
        if seen.contains(&shard.part) {
            return Err(Failure::Refused(format!(
                "--merge: part {}/{} is given twice",
                shard.part, shard.parts
            )));
        }
        seen.push(shard.part);
    }
    let parts_of = first.card.shard.map_or(0, |shard| shard.parts);
    let absent: Vec<String> = (1..=parts_of)
        .filter(|part| !seen.contains(part))
        .map(|part| part.to_string())
        .collect();
    if !absent.is_empty() {
        console::talk(&format!(
            "note: of {parts_of} parts these are not given: {}; their jobs count as not planned yet",
            absent.join(", ")
        ));
    }
    Ok(whole(&first.card))
}

/// Copies one job.
fn carried(part: &Part, place: &Place, name: &str) -> Result<Record, Failure> {
    let Some(record) = part.place.record(name) else {
        return Ok(missing(name));
    };
    if matches!(record.row.fate, Fate::Planned(_)) {
        let Some(files) = part.place.intact(&record) else {
            console::talk(&format!(
                "note: {}: the results of {name} are not as they were written; the job counts as not planned yet",
                part.folder.display()
            ));
            return Ok(missing(name));
        };
        let named: Vec<_> = (files.into_iter())
            .map(|(name, bytes)| (name.to_owned(), bytes))
            .collect();
        place.put_results(name, &named)?;
    }
    place.put_record(&record)?;
    Ok(record)
}

fn missing(name: &str) -> Record {
    Record {
        schema: SCHEMA,
        fingerprint: None,
        input_hash: None,
        files: Vec::new(),
        row: PortfolioRow {
            job: name.to_owned(),
            fate: Fate::Missing,
        },
    }
}
