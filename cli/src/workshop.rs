//! Folders in which results are prepared, beside where they go, and what a killed process
//! left of them.
//!
//! A workshop holds a file locked by the operating system for as long as its process
//! lives, however that ends. So a folder whose lock is free is nobody's, and goes; earlier
//! results set aside in it go back first when nothing has taken their place.

use crate::failure::Failure;
use std::ffi::OsStr;
use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};

/// Beginning of their names.
pub(crate) const PREFIX: &str = ".duskwright-";
/// The locked file; its text is the name of what the results replace.
const HELD: &str = "held";
/// The results being replaced.
const EARLIER: &str = "earlier";
/// Attempts at a folder of one's own: another process may take one that is not locked yet
/// for a dead one.
const ATTEMPTS: usize = 10;

/// A workshop of this process, gone when dropped.
#[derive(Debug)]
pub(crate) struct Workshop {
    // Closed before the folder goes: some systems remove no open file.
    _held: File,
    folder: Option<tempfile::TempDir>,
}

impl Workshop {
    /// Opens one in `parent`. `target`: name in `parent` of what the results replace; empty
    /// where nothing is set aside.
    ///
    /// # Errors
    /// [`Failure::File`] when nothing can be written there.
    pub(crate) fn open(parent: &Path, target: impl AsRef<OsStr>) -> Result<Self, Failure> {
        for _ in 1..ATTEMPTS {
            if let Some(workshop) = Self::attempt(parent, target.as_ref())? {
                return Ok(workshop);
            }
        }
        let swept = io::Error::other("another process removes every folder made there");
        Err(Failure::file("write in", parent)(swept))
    }

    fn attempt(parent: &Path, target: &OsStr) -> Result<Option<Self>, Failure> {
        let folder = tempfile::Builder::new()
            .prefix(PREFIX)
            .tempdir_in(parent)
            .map_err(Failure::file("write in", parent))?;
        let path = folder.path().join(HELD);
        let mut held = match File::create_new(&path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            made => made.map_err(Failure::file("write", &path))?,
        };
        match held.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Ok(None),
            Err(TryLockError::Error(error)) => return Err(Failure::file("lock", &path)(error)),
        }
        let named = held.write_all(target.as_encoded_bytes());
        named.map_err(Failure::file("write", &path))?;
        Ok(path.exists().then(|| Self {
            _held: held,
            folder: Some(folder),
        }))
    }

    /// The folder.
    pub(crate) fn path(&self) -> &Path {
        const HERE: &str = "only `keep` takes the folder, and the workshop with it";
        self.folder.as_ref().expect(HERE).path()
    }

    /// Where the results being replaced are set aside.
    pub(crate) fn earlier(&self) -> PathBuf {
        self.path().join(EARLIER)
    }

    /// Leaves the folder where it is; says where the results set aside are.
    pub(crate) fn keep(mut self) -> PathBuf {
        let earlier = self.earlier();
        let _kept = self.folder.take().map(tempfile::TempDir::keep);
        earlier
    }
}

impl Drop for Workshop {
    fn drop(&mut self) {
        if let Some(folder) = &self.folder {
            // What cannot be removed does no harm.
            let _cleared = clear(folder.path());
        }
    }
}

/// Empties a workshop but for its locked file: killed meanwhile, it is still known as one.
fn clear(workshop: &Path) -> io::Result<()> {
    for entry in fs::read_dir(workshop)? {
        let entry = entry?;
        if entry.file_name() == HELD {
            continue;
        }
        if entry.file_type()?.is_dir() {
            fs::remove_dir_all(entry.path())?;
        } else {
            fs::remove_file(entry.path())?;
        }
    }
    Ok(())
}

/// Removes the workshops in `parent` whose processes are gone. What cannot be removed does
/// no harm and stays.
pub(crate) fn sweep(parent: &Path) {
    for entry in fs::read_dir(parent).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let ours = name.to_str().is_some_and(|name| name.starts_with(PREFIX));
        let folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
        if ours && folder {
            let _swept = sweep_one(parent, &entry.path());
        }
    }
}

fn sweep_one(parent: &Path, workshop: &Path) -> io::Result<()> {
    let held = workshop.join(HELD);
    let lock = match File::options().read(true).write(true).open(&held) {
        // Killed before it had its lock; one that lives makes another folder.
        Err(error) if error.kind() == io::ErrorKind::NotFound => return fs::remove_dir(workshop),
        opened => opened?,
    };
    if lock.try_lock().is_err() {
        return Ok(());
    }
    let earlier = workshop.join(EARLIER);
    if earlier.exists() {
        let target = fs::read_to_string(&held)?;
        let mut parts = Path::new(&target).components();
        let (Some(Component::Normal(_)), None) = (parts.next(), parts.next()) else {
            return Ok(());
        };
        let target = parent.join(target);
        if target.symlink_metadata().is_err() {
            fs::rename(&earlier, &target)?;
        }
    }
    clear(workshop)?;
    fs::remove_dir_all(workshop)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A workshop as a killed process leaves it: not locked.
    fn left_behind(parent: &Path, target: &str, earlier: Option<&str>) -> PathBuf {
        let folder = parent.join(format!("{PREFIX}gone"));
        fs::create_dir_all(folder.join("results")).expect("made");
        fs::write(folder.join(HELD), target).expect("written");
        if let Some(text) = earlier {
            fs::create_dir(folder.join(EARLIER)).expect("made");
            fs::write(folder.join(EARLIER).join("bill.csv"), text).expect("written");
        }
        folder
    }

    fn home() -> tempfile::TempDir {
        tempfile::tempdir().expect("a temporary folder")
    }

    #[test]
    fn what_a_killed_process_left_goes() {
        let home = home();
        let folder = left_behind(home.path(), "a", None);
        sweep(home.path());
        assert!(!folder.exists());
    }

    #[test]
    fn a_living_workshop_stays() {
        let home = home();
        let living = Workshop::open(home.path(), "a").expect("opened");
        sweep(home.path());
        assert!(living.path().exists());
        let path = living.path().to_path_buf();
        drop(living);
        assert!(!path.exists());
    }

    #[test]
    fn earlier_results_are_removed_where_new_ones_stand() {
        let home = home();
        let folder = left_behind(home.path(), "a", Some("old"));
        fs::create_dir(home.path().join("a")).expect("made");
        fs::write(home.path().join("a/bill.csv"), "new").expect("written");
        sweep(home.path());
        assert!(!folder.exists());
        let bill = fs::read_to_string(home.path().join("a/bill.csv"));
        assert_eq!(bill.expect("there"), "new");
    }

    #[test]
    fn earlier_results_go_back_where_nothing_took_their_place() {
        let home = home();
        let folder = left_behind(home.path(), "a", Some("old"));
        sweep(home.path());
        assert!(!folder.exists());
        let bill = fs::read_to_string(home.path().join("a/bill.csv"));
        assert_eq!(bill.expect("back"), "old");
    }

    #[test]
    fn what_is_not_a_workshop_stays() {
        let home = home();
        fs::create_dir_all(home.path().join(format!("{PREFIX}notes/mine"))).expect("made");
        fs::write(home.path().join(format!("{PREFIX}file")), "mine").expect("written");
        fs::create_dir(home.path().join("held")).expect("made");
        // Earlier results of an unknown name, or of one that leads elsewhere, are kept.
        let folder = left_behind(home.path(), "../a", Some("old"));
        sweep(home.path());
        assert!(folder.exists());
        assert_eq!(fs::read_dir(home.path()).expect("there").count(), 4);
    }
}
