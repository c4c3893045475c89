//! A folder of one's own with a copy of the samples in it, and the binary to run there.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

/// A copy of the samples in a temporary folder.
pub struct Desk {
    home: tempfile::TempDir,
}

/// What a run said and how it ended.
pub struct Said {
    /// Exit code.
    pub code: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Desk {
    /// Lays out the courtyard and the catalogue that it names.
    pub fn with_courtyard() -> Self {
        let desk = Self {
            home: tempfile::tempdir().expect("a temporary folder"),
        };
        for folder in ["courtyard", "catalogue-metric"] {
            copy(&samples().join(folder), &desk.path(folder));
        }
        desk
    }
    /// Copies a folder of files from elsewhere onto the desk.
    pub fn lay(&self, from: &Path, to: &str) {
        copy(from, &self.path(to));
    }
    /// A path on the desk.
    pub fn path(&self, name: &str) -> PathBuf {
        self.home.path().join(name)
    }
    /// Text of a file on the desk.
    pub fn text(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).expect("a file on the desk")
    }
    /// Replaces `old`, which must be there, by `new` in a file on the desk.
    pub fn edit(&self, name: &str, old: &str, new: &str) {
        let text = self.text(name);
        assert!(text.contains(old), "{name} has no `{old}`");
        fs::write(self.path(name), text.replacen(old, new, 1)).expect("written");
    }
    /// Replaces `old`, which must be there, by `new` wherever it stands in a file on the desk.
    pub fn replace_all(&self, name: &str, old: &str, new: &str) {
        let text = self.text(name);
        assert!(text.contains(old), "{name} has no `{old}`");
        fs::write(self.path(name), text.replace(old, new)).expect("written");
    }
    /// Copies a folder of files on the desk.
    pub fn copy_folder(&self, from: &str, to: &str) {
        copy(&self.path(from), &self.path(to));
    }
    /// Names in a folder of the desk, sorted, or nothing when it is not there.
    pub fn names(&self, folder: &str) -> Vec<String> {
        let entries = fs::read_dir(self.path(folder)).into_iter().flatten();
        let mut names: Vec<String> = entries
            .map(|entry| entry.expect("readable").file_name())
            .map(|name| name.to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }
    /// Runs `duskwright` in the desk's folder.
    pub fn run(&self, words: &[&str]) -> Said {
        let output = self.command(words).output().expect("the binary runs");
        Said::of(&output)
    }
    /// The command that [`Desk::run`] runs.
    pub fn command(&self, words: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_duskwright"));
        command.args(words).current_dir(self.home.path());
        command
    }
}

impl Said {
    fn of(output: &Output) -> Self {
        Self {
            code: output.status.code().expect("not killed"),
            out: String::from_utf8_lossy(&output.stdout).into_owned(),
            err: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }
    /// Requires an exit code; shows what was said otherwise.
    #[track_caller]
    pub fn ended_with(&self, code: i32) -> &Self {
        assert_eq!(
            self.code, code,
            "\n-- stdout --\n{}\n-- stderr --\n{}",
            self.out, self.err
        );
        self
    }
}

/// A desk on which the courtyard was planned once into `out`, with what was said.
pub fn planned() -> &'static (Desk, Said) {
    static PLANNED: OnceLock<(Desk, Said)> = OnceLock::new();
    PLANNED.get_or_init(|| {
        let desk = Desk::with_courtyard();
        let said = desk.run(&PLAN_COURTYARD);
        (desk, said)
    })
}

/// The words that plan the courtyard in these tests.
pub const PLAN_COURTYARD: [&str; 8] = [
    "plan",
    "courtyard",
    "--out",
    "out",
    "--effort",
    "quick",
    "--date",
    "2026-03-28",
];

/// The words that rebuild the courtyard by `changes.csv` in these tests.
pub const REBUILD_COURTYARD: [&str; 6] = [
    "rebuild",
    "courtyard",
    "out/plan.json",
    "changes.csv",
    "--out",
    "built",
];

fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../samples")
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("made");
    for entry in fs::read_dir(from).expect("a sample") {
        let entry = entry.expect("readable");
        if entry.path().is_dir() {
            continue;
        }
        fs::copy(entry.path(), to.join(entry.file_name())).expect("copied");
    }
}
