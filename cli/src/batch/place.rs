//! The folder of a batch: results, records, card.
//!
//! ```text
//! DIR/batch.json       what the batch is
//! DIR/jobs/NAME/       results of a job, exactly as `plan` writes them
//! DIR/records/NAME.json
//! DIR/portfolio.csv, portfolio.pdf
//! ```
//! Every file is put in place whole: results as a folder, the others by renaming.

use super::lock::{LOCK_FILE, Lock};
use super::record::{Card, Record, Written};
use crate::digest;
use crate::failure::Failure;
use crate::folder::read_plain;
use crate::papers::NamedFile;
use crate::staging::{self, Target};
use crate::workshop;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

const CARD_FILE: &str = "batch.json";
const JOBS: &str = "jobs";
const RECORDS: &str = "records";
/// The papers of a portfolio.
pub(crate) const PORTFOLIO_FILES: [&str; 2] = ["portfolio.csv", "portfolio.pdf"];

/// A batch's folder, held by this process.
#[derive(Debug)]
pub(crate) struct Place {
    folder: PathBuf,
    _lock: Lock,
}

impl Place {
    /// Takes a folder that is missing, empty or holds a batch.
    ///
    /// # Errors
    /// [`Failure::Refused`] when it holds anything else, or another batch is at
    /// work there; [`Failure::File`] when it cannot be made.
    pub(crate) fn open(out: &Path) -> Result<Self, Failure> {
        let folder = staging::settle(out, &staging::BATCH)?;
        look(&folder)?;
        fs::create_dir_all(&folder).map_err(Failure::file("create", &folder))?;
        Self::held(folder)
    }

    /// Takes the folder of a batch that is there already.
    ///
    /// # Errors
    /// [`Failure`] when it is none.
    pub(crate) fn open_existing(folder: &Path) -> Result<(Self, Card), Failure> {
        let known = folder.join(CARD_FILE);
        fs::metadata(&known).map_err(Failure::file("read", &known))?;
        let place = Self::held(folder.to_path_buf())?;
        let card = place.card()?;
        let card =
            card.ok_or_else(|| Failure::Refused(format!("{}: holds no batch", folder.display())))?;
        Ok((place, card))
    }

    fn held(folder: PathBuf) -> Result<Self, Failure> {
        let lock = Lock::take(&folder)?;
        let place = Self {
            folder,
            _lock: lock,
        };
        for folder in ["", JOBS, RECORDS] {
            workshop::sweep(&place.folder.join(folder));
        }
        Ok(place)
    }

    /// The batch's card; `None` before its first run.
    ///
    /// # Errors
    /// [`Failure::Refused`] when it is not one of this program.
    pub(crate) fn card(&self) -> Result<Option<Card>, Failure> {
        let path = self.folder.join(CARD_FILE);
        if !path.exists() {
            return Ok(None);
        }
        let card: Option<Card> = read_json(&path)?;
        match card {
            Some(card) if card.is_sound() => Ok(Some(card)),
            _ => Err(Failure::Refused(format!(
                "{}: not a batch of this version; name another folder for the results",
                path.display()
            ))),
        }
    }

    /// Puts the card in place.
    ///
    /// # Errors
    /// [`Failure::File`].
    pub(crate) fn put_card(&self, card: &Card) -> Result<(), Failure> {
        staging::replace(&self.folder.join(CARD_FILE), json(card)?.as_bytes())
    }

    /// What is on record of a job; nothing when that is not readable or not sound.
    pub(crate) fn record(&self, name: &str) -> Option<Record> {
        let record: Option<Record> = read_json(&self.record_path(name)).ok().flatten();
        record.filter(|record| record.is_sound_for(name))
    }

    /// Puts a record in place.
    ///
    /// # Errors
    /// [`Failure::File`].
    pub(crate) fn put_record(&self, record: &Record) -> Result<(), Failure> {
        let folder = self.folder.join(RECORDS);
        fs::create_dir_all(&folder).map_err(Failure::file("create", &folder))?;
        staging::replace(&self.record_path(&record.row.job), json(record)?.as_bytes())
    }

    fn record_path(&self, name: &str) -> PathBuf {
        self.folder.join(RECORDS).join(format!("{name}.json"))
    }

    /// Folder of a job's results.
    pub(crate) fn results(&self, name: &str) -> PathBuf {
        self.folder.join(JOBS).join(name)
    }

    /// Puts the results of a job in place, and names them.
    ///
    /// # Errors
    /// As [`Target::write`].
    pub(crate) fn put_results(
        &self,
        name: &str,
        files: &[NamedFile],
    ) -> Result<Vec<Written>, Failure> {
        Target::find(&self.results(name), &staging::PLAN)?.put(files)?;
        let written = files.iter().map(|(name, bytes)| Written {
            name: name.clone(),
            digest: digest::of([bytes.as_slice()]),
        });
        Ok(written.collect())
    }

    /// The results on record, when they are on disk as they were written.
    pub(crate) fn intact(&self, record: &Record) -> Option<Vec<(&'static str, Vec<u8>)>> {
        let folder = self.results(&record.row.job);
        let names = staging::PLAN.files.iter();
        let on_record = |name: &str| record.files.iter().find(|file| file.name == name);
        names
            .map(|&name| {
                let bytes = fs::read(folder.join(name)).ok()?;
                let same = on_record(name)?.digest == digest::of([bytes.as_slice()]);
                same.then_some((name, bytes))
            })
            .collect()
    }

    /// Puts the papers of the portfolio in place together, in the order of [`PORTFOLIO_FILES`].
    ///
    /// # Errors
    /// [`Failure::File`].
    pub(crate) fn put_portfolio(&self, csv: &[u8], pdf: &[u8]) -> Result<(), Failure> {
        let names = PORTFOLIO_FILES.map(Path::new);
        staging::replace_all(&self.folder, &[(names[0], csv), (names[1], pdf)])
    }
}

/// Refuses a folder that holds anything but a batch.
fn look(folder: &Path) -> Result<(), Failure> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => {
            return Err(staging::BATCH.refused(folder, "it is not a folder"));
        }
        Err(error) => return Err(Failure::file("read", folder)(error)),
    };
    let mut known = true;
    let mut foreign = None;
    for entry in entries {
        let entry = entry.map_err(Failure::file("read", folder))?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let ours = [CARD_FILE, LOCK_FILE, JOBS, RECORDS].contains(&name.as_str())
            || PORTFOLIO_FILES.contains(&name.as_str())
            || name.starts_with(workshop::PREFIX);
        if !ours {
            foreign.get_or_insert(name.clone());
        }
        known &= name == LOCK_FILE || name.starts_with(workshop::PREFIX);
    }
    if let Some(name) = foreign {
        let reason = format!("it holds `{name}`, which is no part of an earlier batch");
        return Err(staging::BATCH.refused(folder, &reason));
    }
    if known || folder.join(CARD_FILE).is_file() {
        return Ok(());
    }
    Err(staging::BATCH.refused(folder, &format!("it holds no {CARD_FILE}")))
}

fn json(value: &impl Serialize) -> Result<String, Failure> {
    let text = serde_json::to_string_pretty(value).map_err(|error| Failure::Paper {
        paper: "a record",
        reason: error.to_string(),
    })?;
    Ok(text + "\n")
}

/// A value written by this program; `None` when the text is something else.
fn read_json<T: DeserializeOwned>(path: &Path) -> Result<Option<T>, Failure> {
    let bytes = read_plain(path, path)?;
    Ok(serde_json::from_slice(&bytes).ok())
}
