//! The files of a job as text, and which files those are.

use super::column::Home;
use super::raw;
use std::collections::BTreeMap;

/// The file every job has.
pub const SETTINGS_FILE: &str = "job.toml";

/// The files of one job: name as `job.toml` gives it, relative to the job
/// folder with forward slashes, and content.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JobText {
    files: BTreeMap<String, Vec<u8>>,
}

impl JobText {
    /// No files.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }
    /// Adds or replaces a file.
    pub fn insert(&mut self, name: impl Into<String>, content: impl Into<Vec<u8>>) {
        self.files.insert(name.into(), content.into());
    }
    /// The same with one file added or replaced.
    #[must_use]
    pub fn with(mut self, name: impl Into<String>, content: impl Into<Vec<u8>>) -> Self {
        self.insert(name, content);
        self
    }
    /// The same without a file.
    #[must_use]
    pub fn without(mut self, name: &str) -> Self {
        self.files.remove(name);
        self
    }
    /// Content of a file.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&[u8]> {
        self.files.get(name).map(Vec::as_slice)
    }
    /// Names and contents, by name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.files
            .iter()
            .map(|(name, content)| (name.as_str(), content.as_slice()))
    }
}

/// A file that [`super::read`] will ask for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileWanted {
    /// Path relative to the job folder, forward slashes; the key in [`JobText`].
    pub name: String,
    /// Whether the job is refused without it.
    pub required: bool,
}

/// The tables that belong to a `job.toml`, so that the caller can open them.
///
/// Never fails: whatever is wrong with the text is reported by [`super::read`];
/// where the catalogue folder cannot be told, the default folder is named.
///
/// ```
/// use duskwright_solver::job;
/// let wanted = job::files_wanted(b"[catalogue]\nfolder = \"../prices\"\n");
/// assert!(wanted.iter().any(|file| file.name == "fixtures.csv" && file.required));
/// assert!(wanted.iter().any(|file| file.name == "../prices/cables.csv"));
/// ```
#[must_use]
pub fn files_wanted(job_toml: &[u8]) -> Vec<FileWanted> {
    let folder = raw::catalogue_folder(job_toml);
    raw::TABLES
        .iter()
        .map(|(table, ..)| table)
        .filter(|table| !table.home.is_settings())
        .map(|table| FileWanted {
            name: path_of(table.home, &folder, table.name),
            required: table.required,
        })
        .collect()
}

/// Path of a table relative to the job folder.
pub(super) fn path_of(home: Home, catalogue: &str, name: &str) -> String {
    match home {
        Home::Catalogue => format!("{catalogue}/{name}"),
        Home::JobFolder | Home::Settings | Home::Entries => name.to_owned(),
    }
}
