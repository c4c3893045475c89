//! One batch at a time in one folder.
//!
//! The lock is the operating system's: it goes when the process goes, however it
//! ends, so no stale lock is ever left. The file stays, empty.

use crate::failure::Failure;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Write};
use std::path::Path;

/// Name of the lock's file.
pub(crate) const LOCK_FILE: &str = "batch.lock";

/// A folder held by this process until dropped.
#[derive(Debug)]
pub(crate) struct Lock {
    file: File,
}

impl Lock {
    /// Takes the lock of a folder.
    ///
    /// # Errors
    /// [`Failure::Refused`] when another process holds it; [`Failure::File`] when it cannot be taken.
    pub(crate) fn take(folder: &Path) -> Result<Self, Failure> {
        let path = folder.join(LOCK_FILE);
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(&path)
            .map_err(Failure::file("write", &path))?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let mut holder = String::new();
                let known = file.read_to_string(&mut holder).is_ok() && !holder.is_empty();
                let holder = if known {
                    format!(" ({holder})")
                } else {
                    String::new()
                };
                return Err(Failure::Refused(format!(
                    "--out {}: another batch{holder} is writing there; wait for it to end, or name another folder",
                    folder.display()
                )));
            }
            Err(TryLockError::Error(error)) => return Err(Failure::file("lock", &path)(error)),
        }
        let said = file
            .set_len(0)
            .and_then(|()| write!(file, "process {}", std::process::id()));
        said.map_err(Failure::file("write", &path))?;
        Ok(Self { file })
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // Only a courtesy to readers of the file: the lock itself goes with it.
        let _emptied = self.file.set_len(0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_held_by_one_until_it_is_let_go() {
        let home = tempfile::tempdir().expect("a temporary folder");
        let first = Lock::take(home.path()).expect("free");
        let message = Lock::take(home.path()).expect_err("held").to_string();
        let process = format!("(process {})", std::process::id());
        assert!(
            message.contains("another batch") && message.contains(&process),
            "{message}"
        );
        drop(first);
        Lock::take(home.path()).expect("free again");
    }
}
