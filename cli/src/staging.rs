//! Results on disk: a folder that is there whole, or not at all.
//!
//! Files are written into a temporary folder beside the target, flushed, and
//! the folder is renamed into place. A reader of the target therefore sees the
//! earlier results or the new ones, never a mixture. A folder that holds
//! anything but earlier results of ours is refused before the search begins.

use crate::failure::Failure;
use crate::papers::NamedFile;
use crate::workshop::{self, Workshop};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Results that belong together in one folder.
#[derive(Debug)]
pub(crate) struct Results {
    /// What they are, in a message: `plan`.
    what: &'static str,
    /// Names of the files, in the order in which they are listed.
    pub(crate) files: &'static [&'static str],
    /// Names of further files that may be asked for.
    further: &'static [&'static str],
    /// Whether drawings may be asked for; they are as many as they need to be.
    drawings: bool,
}

impl Results {
    /// Whether a name is one of these results.
    fn holds(&self, name: &str) -> bool {
        let drawing = name.starts_with("drawing-") && name.ends_with(".svg");
        (self.drawings && drawing) || self.files.contains(&name) || self.further.contains(&name)
    }
}

/// What `plan` writes.
pub(crate) const PLAN: Results = Results {
    what: "plan",
    files: &[
        "plan.json",
        "bill.csv",
        "circuits.csv",
        "fixtures.csv",
        "pieces.csv",
        "report.pdf",
    ],
    further: &["bid.pdf", "crew.pdf", "buy.pdf"],
    drawings: true,
};

/// What `order` writes.
pub(crate) const ORDER: Results = Results {
    what: "order",
    files: &[
        "order.pdf",
        "order.csv",
        "order.xlsx",
        "cut-sheet.pdf",
        "cuts.csv",
        "labels.pdf",
        "stock.csv",
    ],
    further: &[],
    drawings: false,
};

/// What `readings` writes.
pub(crate) const READINGS: Results = Results {
    what: "test sheet",
    files: &["readings.csv", "readings.pdf"],
    further: &[],
    drawings: false,
};

/// What `batch` writes beside the results of its jobs.
pub(crate) const BATCH: Results = Results {
    what: "batch",
    files: &[],
    further: &[],
    drawings: false,
};

/// What `new` writes.
pub(crate) const STARTER: Results = Results {
    what: "starter job",
    files: &[],
    further: &[],
    drawings: false,
};

/// What `survey` writes; job.toml and the catalogue beside it are left alone.
pub(crate) const SURVEY: Results = Results {
    what: "survey",
    files: &[],
    further: &[],
    drawings: false,
};

/// A place for results that was found fit to take them.
#[derive(Debug)]
pub(crate) struct Target {
    folder: PathBuf,
    parent: PathBuf,
    results: &'static Results,
}

impl Target {
    /// Looks at the place without changing it.
    ///
    /// # Errors
    /// [`Failure::Refused`] when it is a file, or a folder with foreign files in it;
    /// [`Failure::File`] when it cannot be looked at or its parent does not exist.
    pub(crate) fn find(out: &Path, results: &'static Results) -> Result<Self, Failure> {
        let folder = settle(out, results)?;
        let parent = folder
            .parent()
            .ok_or_else(|| {
                results.refused(
                    out,
                    "it has no folder above it in which to prepare the results",
                )
            })?
            .to_path_buf();
        let target = Self {
            folder,
            parent,
            results,
        };
        target.look()?;
        Ok(target)
    }

    /// Refuses a folder that holds anything but earlier results.
    fn look(&self) -> Result<(), Failure> {
        let entries = match fs::read_dir(&self.folder) {
            Ok(entries) => entries,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
            Err(error) if error.kind() == io::ErrorKind::NotADirectory => {
                return Err(self.results.refused(&self.folder, "it is not a folder"));
            }
            Err(error) => return Err(Failure::file("read", &self.folder)(error)),
        };
        let mut found = Vec::new();
        for entry in entries {
            let entry = entry.map_err(Failure::file("read", &self.folder))?;
            let kind = entry
                .file_type()
                .map_err(Failure::file("read", &entry.path()))?;
            let name = entry.file_name().to_string_lossy().into_owned();
            if !kind.is_file() || !self.results.holds(&name) {
                return Err(self.results.refused(
                    &self.folder,
                    &format!(
                        "it holds `{name}`, which is no result of an earlier {}",
                        self.results.what
                    ),
                ));
            }
            found.push(name);
        }
        let there = |name: &&str| found.iter().any(|known| known == name);
        if found.is_empty() || self.results.files.iter().all(there) {
            return Ok(());
        }
        found.sort_unstable();
        let reason = format!(
            "it holds {} but not the other files of an earlier {}",
            found.join(", "),
            self.results.what
        );
        Err(self.results.refused(&self.folder, &reason))
    }

    /// Writes all results and moves them into place together; first sweeps away what a
    /// killed run left beside them.
    ///
    /// `files`: name and bytes of each of the results, and of what else was asked for.
    ///
    /// # Errors
    /// [`Failure::File`] or [`Failure::Refused`]; the target is then as it was.
    pub(crate) fn write(&self, files: &[NamedFile]) -> Result<(), Failure> {
        workshop::sweep(&self.parent);
        self.put(files)
    }

    /// As [`Target::write`], in a folder that was swept before.
    ///
    /// # Errors
    /// As [`Target::write`].
    pub(crate) fn put(&self, files: &[NamedFile]) -> Result<(), Failure> {
        fs::create_dir_all(&self.parent).map_err(Failure::file("create", &self.parent))?;
        let name = self.folder.file_name().unwrap_or_default();
        let workshop = Workshop::open(&self.parent, name)?;
        let made = workshop.path().join("results");
        // An inner folder, because the temporary one is private to its owner.
        fs::create_dir(&made).map_err(Failure::file("create", &made))?;
        for (name, bytes) in files {
            write_through(&made.join(name), bytes)?;
        }
        self.look()?;
        self.swap(&made, workshop)
    }

    /// Puts `made` where the target is; the earlier results go when the workshop goes.
    fn swap(&self, made: &Path, workshop: Workshop) -> Result<(), Failure> {
        let earlier = workshop.earlier();
        let had_earlier = match fs::rename(&self.folder, &earlier) {
            Ok(()) => true,
            Err(error) if error.kind() == io::ErrorKind::NotFound => false,
            Err(error) => return Err(Failure::file("replace", &self.folder)(error)),
        };
        let Err(error) = fs::rename(made, &self.folder) else {
            return Ok(());
        };
        if had_earlier && fs::rename(&earlier, &self.folder).is_err() {
            // The earlier results must outlive the workshop.
            let kept = workshop.keep();
            return Err(Failure::file(
                "restore the earlier results, now kept in",
                &kept,
            )(error));
        }
        Err(Failure::file("write", &self.folder)(error))
    }
}

/// Writes files into a folder that must not be there yet: there whole, or not at all.
///
/// # Errors
/// [`Failure::Refused`] when something is there already; [`Failure::File`] when the files
/// cannot be written. Nothing is left behind then.
pub(crate) fn write_new(out: &Path, files: &[NamedFile]) -> Result<(), Failure> {
    if out.symlink_metadata().is_ok() {
        return Err(Failure::Refused(format!(
            "--out {}: it is there already; name a folder that is missing",
            out.display()
        )));
    }
    let parent = match out.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    workshop::sweep(parent);
    let workshop = Workshop::open(parent, NOTHING)?;
    let made = workshop.path().join("results");
    fs::create_dir(&made).map_err(Failure::file("create", &made))?;
    for (name, bytes) in files {
        write_through(&made.join(name), bytes)?;
    }
    // A folder that has come meanwhile is replaced by a rename only when it is empty.
    fs::rename(&made, out).map_err(Failure::file("write", out))
}

/// Absolute path of a target that may not exist yet, nor the folders above it.
pub(crate) fn settle(out: &Path, results: &Results) -> Result<PathBuf, Failure> {
    let mut missing = Vec::new();
    let mut there = out;
    loop {
        let known = if there.as_os_str().is_empty() {
            Path::new(".")
        } else {
            there
        };
        match fs::canonicalize(known) {
            Ok(path) => {
                return Ok(missing
                    .iter()
                    .rev()
                    .fold(path, |path, name| path.join(name)));
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(Failure::file("read", out)(error)),
        }
        let (Some(name), Some(parent)) = (there.file_name(), there.parent()) else {
            return Err(results.refused(out, "it does not name a folder"));
        };
        missing.push(name);
        there = parent;
    }
}

impl Results {
    /// Refuses a place for results.
    pub(crate) fn refused(&self, folder: &Path, reason: &str) -> Failure {
        Failure::Refused(format!(
            "--out {}: {reason}. Name a folder that is missing, empty, or holds an earlier {}",
            folder.display(),
            self.what
        ))
    }
}

/// Makes a folder with these files in it (names with forward slashes), whole or not at all.
///
/// # Errors
/// [`Failure::File`] when it cannot be written or the folder holds something.
pub(crate) fn make(folder: &Path, files: &[(&str, impl AsRef<[u8]>)]) -> Result<(), Failure> {
    let parent = folder.parent().unwrap_or(Path::new("."));
    fs::create_dir_all(parent).map_err(Failure::file("create", parent))?;
    let workshop = Workshop::open(parent, NOTHING)?;
    let made = workshop.path().join("results");
    for (name, bytes) in files {
        let path = made.join(name);
        let above = path.parent().unwrap_or(&made);
        fs::create_dir_all(above).map_err(Failure::file("create", above))?;
        write_through(&path, bytes.as_ref())?;
    }
    // Renaming onto a folder succeeds only where that is empty.
    fs::rename(&made, folder).map_err(Failure::file("create", folder))
}

/// Where nothing is replaced, or each file by itself.
const NOTHING: &str = "";

/// Puts a file in place whole: a reader sees the earlier one or the new one.
///
/// # Errors
/// [`Failure::File`]; the earlier file is then as it was.
pub(crate) fn replace(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let name = path.file_name().unwrap_or_default();
    replace_all(folder, &[(Path::new(name), bytes)])
}

/// Puts several files in place, none before all of them are on disk.
///
/// # Errors
/// [`Failure::File`]; where writing fails the earlier files are all as they were.
pub(crate) fn replace_all(folder: &Path, files: &[(&Path, &[u8])]) -> Result<(), Failure> {
    let workshop = Workshop::open(folder, NOTHING)?;
    for (name, bytes) in files {
        write_through(&workshop.path().join(name), bytes)?;
    }
    for (name, _) in files {
        let path = folder.join(name);
        fs::rename(workshop.path().join(name), &path).map_err(Failure::file("write", &path))?;
    }
    Ok(())
}

/// Writes a new file and waits until the system says it is on disk.
fn write_through(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let write = || -> io::Result<()> {
        let mut file = File::create_new(path)?;
        file.write_all(bytes)?;
        file.sync_all()
    };
    write().map_err(Failure::file("write", path))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn results(word: &str) -> Vec<NamedFile> {
        PLAN.files
            .iter()
            .map(|&name| (name.to_owned(), word.as_bytes().to_vec()))
            .collect()
    }
    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .expect("the folder exists")
            .map(|entry| {
                let entry = entry.expect("readable");
                entry.file_name().to_string_lossy().into_owned()
            })
            .collect();
        names.sort();
        names
    }

    #[test]
    fn an_earlier_plan_is_replaced_whole_and_nothing_is_left_beside_it() {
        let home = tempfile::tempdir().expect("a temporary folder");
        let out = home.path().join("deep/out");
        for word in ["first", "second"] {
            let target = Target::find(&out, &PLAN).expect("fit for results");
            target.write(&results(word)).expect("written");
            assert_eq!(names(&out).len(), PLAN.files.len());
            assert_eq!(
                fs::read_to_string(out.join("bill.csv")).expect("there"),
                word
            );
        }
        assert_eq!(names(&home.path().join("deep")), ["out"]);
    }

    #[test]
    fn papers_of_an_earlier_plan_go_when_the_next_has_none() {
        let home = tempfile::tempdir().expect("a temporary folder");
        let out = home.path().join("out");
        let mut files = results("first");
        files.push(("bid.pdf".to_owned(), Vec::new()));
        files.push(("drawing-site-1.svg".to_owned(), Vec::new()));
        Target::find(&out, &PLAN)
            .expect("fit")
            .write(&files)
            .expect("written");
        assert_eq!(names(&out).len(), PLAN.files.len() + 2);
        let next = Target::find(&out, &PLAN).expect("an earlier plan");
        next.write(&results("second")).expect("written");
        assert_eq!(names(&out).len(), PLAN.files.len());
    }

    #[test]
    fn a_folder_with_a_foreign_file_is_refused_and_left_alone() {
        let home = tempfile::tempdir().expect("a temporary folder");
        fs::write(home.path().join("notes.txt"), "mine").expect("written");
        let message = Target::find(home.path(), &PLAN)
            .expect_err("foreign")
            .to_string();
        assert!(message.contains("`notes.txt`"), "{message}");
        assert_eq!(names(home.path()), ["notes.txt"]);
    }

    #[test]
    fn a_bill_of_somebody_else_is_not_an_earlier_plan() {
        let home = tempfile::tempdir().expect("a temporary folder");
        fs::write(home.path().join("bill.csv"), "mine").expect("written");
        let message = Target::find(home.path(), &PLAN)
            .expect_err("foreign")
            .to_string();
        assert!(message.contains("bill.csv"), "{message}");
    }

    #[test]
    fn a_file_that_appears_during_the_search_is_not_overwritten() {
        let home = tempfile::tempdir().expect("a temporary folder");
        let out = home.path().join("out");
        let target = Target::find(&out, &PLAN).expect("fit for results");
        fs::create_dir(&out).expect("made");
        fs::write(out.join("photo.jpg"), "mine").expect("written");
        target.write(&results("new")).expect_err("foreign file");
        assert_eq!(names(&out), ["photo.jpg"]);
        assert_eq!(names(home.path()), ["out"]);
    }

    #[test]
    fn a_file_is_no_folder() {
        let home = tempfile::tempdir().expect("a temporary folder");
        let file = home.path().join("out");
        fs::write(&file, "mine").expect("written");
        let message = Target::find(&file, &PLAN).expect_err("a file").to_string();
        assert!(message.contains("not a folder"), "{message}");
    }
}
