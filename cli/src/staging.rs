//! Results on disk: a folder that is there whole, or not at all.
//!
//! Files are written into a temporary folder beside the target, flushed, and
//! the folder is renamed into place. A reader of the target therefore sees the
//! earlier results or the new ones, never a mixture. A folder that holds
//! anything but earlier results of ours is refused before the search begins.

use crate::failure::Failure;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Names of the files that make up the results, in the order in which they are listed.
pub(crate) const RESULT_FILES: [&str; 6] = [
    "plan.json",
    "bill.csv",
    "circuits.csv",
    "fixtures.csv",
    "pieces.csv",
    "report.pdf",
];

/// A place for results that was found fit to take them.
#[derive(Debug)]
pub(crate) struct Target {
    folder: PathBuf,
    parent: PathBuf,
    files: &'static [&'static str],
}

impl Target {
    /// A place for the results of a plan.
    ///
    /// # Errors
    /// As [`Target::find_for`].
    pub(crate) fn find(out: &Path) -> Result<Self, Failure> {
        Self::find_for(out, &RESULT_FILES)
    }

    /// Looks at the place without changing it. `files`: names of all that will be written.
    ///
    /// # Errors
    /// [`Failure::Refused`] when it is a file, or a folder with foreign files in it;
    /// [`Failure::File`] when it cannot be looked at or its parent does not exist.
    pub(crate) fn find_for(out: &Path, files: &'static [&'static str]) -> Result<Self, Failure> {
        let folder = settle(out)?;
        let parent = folder
            .parent()
            .ok_or_else(|| {
                refused(
                    out,
                    "it has no folder above it in which to prepare the results",
                )
            })?
            .to_path_buf();
        let target = Self {
            folder,
            parent,
            files,
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
                return Err(refused(&self.folder, "it is not a folder"));
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
            if !kind.is_file() || !self.files.contains(&name.as_str()) {
                return Err(refused(
                    &self.folder,
                    &format!("it holds `{name}`, which is no result of an earlier plan"),
                ));
            }
            found.push(name);
        }
        if found.is_empty() || found.len() == self.files.len() {
            return Ok(());
        }
        found.sort_unstable();
        let reason = format!(
            "it holds {} but not the other files of an earlier plan",
            found.join(", ")
        );
        Err(refused(&self.folder, &reason))
    }

    /// Writes all results and moves them into place together.
    ///
    /// `files`: name and bytes of each file that the place was found for.
    ///
    /// # Errors
    /// [`Failure::File`] or [`Failure::Refused`]; the target is then as it was.
    pub(crate) fn write(&self, files: &[(&'static str, Vec<u8>)]) -> Result<(), Failure> {
        fs::create_dir_all(&self.parent).map_err(Failure::file("create", &self.parent))?;
        let workshop = tempfile::Builder::new()
            .prefix(".duskwright-")
            .tempdir_in(&self.parent)
            .map_err(Failure::file("write in", &self.parent))?;
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
    fn swap(&self, made: &Path, workshop: tempfile::TempDir) -> Result<(), Failure> {
        let earlier = workshop.path().join("earlier");
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
            let kept = workshop.keep().join("earlier");
            return Err(Failure::file(
                "restore the earlier results, now kept in",
                &kept,
            )(error));
        }
        Err(Failure::file("write", &self.folder)(error))
    }
}

/// Absolute path of a target that may not exist yet, nor the folders above it.
fn settle(out: &Path) -> Result<PathBuf, Failure> {
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
            return Err(refused(out, "it does not name a folder"));
        };
        missing.push(name);
        there = parent;
    }
}

fn refused(folder: &Path, reason: &str) -> Failure {
    Failure::Refused(format!(
        "--out {}: {reason}. Name a folder that is missing, empty, or holds an earlier plan",
        folder.display()
    ))
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

    fn results(word: &str) -> Vec<(&'static str, Vec<u8>)> {
        RESULT_FILES
            .iter()
            .map(|&name| (name, word.as_bytes().to_vec()))
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
            let target = Target::find(&out).expect("fit for results");
            target.write(&results(word)).expect("written");
            assert_eq!(names(&out).len(), RESULT_FILES.len());
            assert_eq!(
                fs::read_to_string(out.join("bill.csv")).expect("there"),
                word
            );
        }
        assert_eq!(names(&home.path().join("deep")), ["out"]);
    }

    #[test]
    fn a_folder_with_a_foreign_file_is_refused_and_left_alone() {
        let home = tempfile::tempdir().expect("a temporary folder");
        fs::write(home.path().join("notes.txt"), "mine").expect("written");
        let message = Target::find(home.path()).expect_err("foreign").to_string();
        assert!(message.contains("`notes.txt`"), "{message}");
        assert_eq!(names(home.path()), ["notes.txt"]);
    }

    #[test]
    fn a_bill_of_somebody_else_is_not_an_earlier_plan() {
        let home = tempfile::tempdir().expect("a temporary folder");
        fs::write(home.path().join("bill.csv"), "mine").expect("written");
        let message = Target::find(home.path()).expect_err("foreign").to_string();
        assert!(message.contains("bill.csv"), "{message}");
    }

    #[test]
    fn a_file_that_appears_during_the_search_is_not_overwritten() {
        let home = tempfile::tempdir().expect("a temporary folder");
        let out = home.path().join("out");
        let target = Target::find(&out).expect("fit for results");
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
        let message = Target::find(&file).expect_err("a file").to_string();
        assert!(message.contains("not a folder"), "{message}");
    }
}
