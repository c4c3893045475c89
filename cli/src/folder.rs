//! Reading from a folder without being led out of it.
//!
//! A job folder may come from anybody. Neither a path nor a link in it may make
//! the program read (and print, in a message) a file of somebody else, and a pipe
//! or device in it must not make the program wait for ever.
//!
//! The rule for what a file *names*: it may lie in the folder of that file, or
//! beside that folder (`../catalogue`), and no link may lead elsewhere. Anything
//! further away needs `--allow-outside`. What a person types on the command line
//! is not bound by it.

use crate::failure::Failure;
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};

/// Largest file that is read, bytes; larger tables are refused.
pub(crate) const LARGEST_FILE: u64 = 20_000_000;

/// A folder from which files are read by name.
#[derive(Debug)]
pub(crate) struct Folder {
    shown: PathBuf,
    root: PathBuf,
    allow_outside: bool,
}

impl Folder {
    /// Opens a job folder named on the command line (or the `job.toml` in it).
    ///
    /// # Errors
    /// [`Failure::File`] when it is not there; [`Failure::Refused`] when it is no folder.
    pub(crate) fn open(path: &Path, allow_outside: bool) -> Result<Self, Failure> {
        let read = |path: &Path| fs::canonicalize(path).map_err(Failure::file("read", path));
        let mut shown = path;
        if path.file_name().is_some_and(|name| name == "job.toml") && path.is_file() {
            shown = match path.parent() {
                Some(parent) if !parent.as_os_str().is_empty() => parent,
                _ => Path::new("."),
            };
        }
        let root = read(shown)?;
        if !root.is_dir() {
            return Err(Failure::Refused(format!(
                "{}: not a folder; a job is a folder with a file job.toml in it",
                path.display()
            )));
        }
        Ok(Self {
            shown: shown.to_path_buf(),
            root,
            allow_outside,
        })
    }

    /// The catalogue folder that a job names by a relative path with forward
    /// slashes (the reader refuses any other); `None` when it is not there.
    ///
    /// # Errors
    /// [`Failure::Refused`] when it lies neither in the job's folder nor beside it, or
    /// a symbolic link leads elsewhere, unless that was allowed; [`Failure::File`] when
    /// it cannot be looked at.
    pub(crate) fn catalogue(&self, relative: &str) -> Result<Option<Self>, Failure> {
        let path = Path::new(relative);
        let shown = self.shown.join(path);
        let wanted = normal(&self.root.join(path));
        if !self.allow_outside && !beside(&wanted, &self.root) {
            return Err(Failure::Refused(format!(
                "{}: [catalogue] folder = \"{relative}\" leads away from the job; accepted: a folder \
                 in the job's folder or beside it, such as \"../catalogue\"; allow others with --allow-outside",
                self.shown.join("job.toml").display()
            )));
        }
        let root = match fs::canonicalize(&wanted) {
            Ok(root) => root,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(Failure::file("read", &shown)(error)),
        };
        if !self.allow_outside && root != wanted {
            return Err(Failure::Refused(format!(
                "{}: a symbolic link leads to {}; name that folder in job.toml, \
                 or allow the link with --allow-outside",
                shown.display(),
                root.display()
            )));
        }
        Ok(Some(Self {
            shown,
            root,
            allow_outside: self.allow_outside,
        }))
    }

    /// Where it lies, links resolved.
    pub(crate) fn root(&self) -> &Path {
        &self.root
    }

    /// Bytes of a file of the folder; `None` when there is none of this name.
    ///
    /// # Errors
    /// [`Failure::Refused`] for a link out of the folder, anything but a plain
    /// file, or a file above [`LARGEST_FILE`]; [`Failure::File`] when it cannot be read.
    pub(crate) fn bytes(&self, name: &str) -> Result<Option<Vec<u8>>, Failure> {
        let shown = self.shown.join(name);
        let path = match fs::canonicalize(self.root.join(name)) {
            Ok(path) => path,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(Failure::file("read", &shown)(error)),
        };
        if !self.allow_outside && path.parent() != Some(&self.root) {
            return Err(Failure::Refused(format!(
                "{}: a symbolic link leads out of the folder; copy the file there, \
                 or allow the link with --allow-outside",
                shown.display()
            )));
        }
        read_plain(&path, &shown).map(Some)
    }
}

/// Reads a plain file of bearable size.
///
/// # Errors
/// As [`Folder::bytes`].
pub(crate) fn read_plain(path: &Path, shown: &Path) -> Result<Vec<u8>, Failure> {
    read_plain_up_to(LARGEST_FILE, path, shown)
}

/// Reads a plain file of at most so many bytes.
///
/// # Errors
/// As [`Folder::bytes`].
pub(crate) fn read_plain_up_to(
    largest: u64,
    path: &Path,
    shown: &Path,
) -> Result<Vec<u8>, Failure> {
    let kind = fs::metadata(path).map_err(Failure::file("read", shown))?;
    if !kind.is_file() {
        return Err(Failure::Refused(format!(
            "{}: not a plain file",
            shown.display()
        )));
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(largest + 1).read_to_end(&mut bytes))
        .map_err(Failure::file("read", shown))?;
    if bytes.len() as u64 > largest {
        return Err(Failure::Refused(format!(
            "{}: larger than {} MB",
            shown.display(),
            largest as f64 / 1e6
        )));
    }
    Ok(bytes)
}

/// The text of a plain file of at most [`LARGEST_FILE`] bytes.
///
/// # Errors
/// As [`read_plain`]; [`Failure::Refused`] for bytes that are no text, with their line.
pub(crate) fn read_text(path: &Path) -> Result<String, Failure> {
    String::from_utf8(read_plain(path, path)?).map_err(|error| {
        let read = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = 1 + read.iter().filter(|&&byte| byte == b'\n').count();
        Failure::Refused(format!(
            "{}: line {line}: not text in UTF-8; accepted: text in UTF-8",
            path.display()
        ))
    })
}

/// Whether `path` lies in `folder` or beside it, below the folder that both stand in.
/// Both absolute, without `..`.
pub(crate) fn beside(path: &Path, folder: &Path) -> bool {
    folder
        .parent()
        .is_some_and(|parent| path != parent && path.starts_with(parent))
}

/// The path with `.` and `..` taken out by name alone. Right for a path whose
/// beginning is canonical; a link further on shows as a difference.
pub(crate) fn normal(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for component in path.components() {
        match component {
            Component::ParentDir => {
                plain.pop();
            }
            Component::CurDir => {}
            other => plain.push(other),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    fn write(path: &Path, text: &str) {
        fs::create_dir_all(path.parent().expect("a parent")).expect("made");
        fs::write(path, text).expect("written");
    }

    #[test]
    fn the_catalogue_may_stand_beside_the_job() {
        let home = tempfile::tempdir().expect("a temporary folder");
        write(&home.path().join("job/job.toml"), "");
        write(&home.path().join("catalogue/cables.csv"), "tag");
        let job = Folder::open(&home.path().join("job"), false).expect("there");
        let catalogue = job.catalogue("../catalogue").expect("readable");
        let catalogue = catalogue.expect("there");
        let bytes = catalogue.bytes("cables.csv").expect("readable");
        assert_eq!(bytes, Some(b"tag".to_vec()));
        assert_eq!(catalogue.bytes("hubs.csv").expect("readable"), None);
        assert!(job.catalogue("../prices").expect("readable").is_none());
    }

    #[test]
    fn a_job_is_found_by_its_folder_or_its_file() {
        let home = tempfile::tempdir().expect("a temporary folder");
        write(&home.path().join("job/job.toml"), "schema = 1");
        for path in ["job", "job/job.toml"] {
            let job = Folder::open(&home.path().join(path), false).expect("there");
            assert!(job.bytes("job.toml").expect("read").is_some());
        }
    }

    #[test]
    fn a_catalogue_further_away_is_read_only_when_allowed() {
        let home = tempfile::tempdir().expect("a temporary folder");
        write(&home.path().join("jobs/one/job.toml"), "");
        write(&home.path().join("catalogue/cables.csv"), "tag");
        let job = Folder::open(&home.path().join("jobs/one"), false).expect("there");
        for away in ["../../catalogue", "../..", "..", "../one/../../catalogue"] {
            let message = job.catalogue(away).expect_err("far away").to_string();
            assert!(
                message.contains("--allow-outside") && message.contains(away),
                "{message}"
            );
        }
        let job = Folder::open(&home.path().join("jobs/one"), true).expect("there");
        assert!(job.catalogue("../../catalogue").expect("allowed").is_some());
    }

    #[cfg(unix)]
    #[test]
    fn a_link_out_of_the_folder_is_followed_only_when_allowed() {
        let home = tempfile::tempdir().expect("a temporary folder");
        write(&home.path().join("job/job.toml"), "");
        write(&home.path().join("secret.csv"), "mine");
        write(&home.path().join("far/catalogue/cables.csv"), "tag");
        let link = |target: &str, name: &str| {
            let target = home.path().join(target);
            std::os::unix::fs::symlink(target, home.path().join(name)).expect("linked");
        };
        link("secret.csv", "job/fixtures.csv");
        link("far/catalogue", "catalogue");
        let job = Folder::open(&home.path().join("job"), false).expect("there");
        job.bytes("fixtures.csv").expect_err("a link out");
        job.catalogue("../catalogue").expect_err("a link elsewhere");
        let job = Folder::open(&home.path().join("job"), true).expect("there");
        assert_eq!(
            job.bytes("fixtures.csv").expect("allowed"),
            Some(b"mine".to_vec())
        );
        let catalogue = job.catalogue("../catalogue").expect("allowed");
        assert!(catalogue.is_some());
    }

    #[cfg(unix)]
    #[test]
    fn a_device_is_not_read() {
        let message = read_plain(Path::new("/dev/zero"), Path::new("plan.json"))
            .expect_err("a device")
            .to_string();
        assert_eq!(message, "plan.json: not a plain file");
    }
}
