//! A corpus of broken inputs, made systematically from one sound job and one sound plan:
//! every cell, key and heading is broken in several ways, and what is said to each is
//! kept, whole, in one file of messages for each reader.
//!
//! Beside the wording each test holds every message to the same promise: it names the
//! place and says what would be accepted or what to do.

mod plan;
mod settings;
mod tables;

use duskwright_solver::job::{self, Code, Fault, JobText, Notice};
use std::fmt::Write as _;

/// Faults of one case that are written out; further ones are counted.
const WRITTEN: usize = 2;

/// One broken input.
struct Case {
    /// What was broken and how.
    name: String,
    /// The files.
    job: JobText,
}

/// What came of a list of cases.
#[derive(Default)]
struct Corpus {
    /// The messages, case by case; what was accepted is listed at the end.
    said: String,
    accepted: Vec<String>,
    /// Cases that were refused.
    refused: usize,
}

impl Corpus {
    /// Reads every case; `file` is the one that was broken.
    fn read(file: &str, cases: &[Case]) -> Self {
        let mut corpus = Self::default();
        for case in cases {
            match job::read(&case.job) {
                Ok((_, notices)) => match unread(&notices).as_slice() {
                    [] => corpus.accepted.push(case.name.clone()),
                    said => {
                        writeln!(
                            corpus.said,
                            "## {} (read)\n{}\n",
                            case.name,
                            said.join("\n")
                        )
                        .expect("writing to a string");
                    }
                },
                Err(faults) => {
                    corpus.refused += 1;
                    writeln!(corpus.said, "## {}", case.name).expect("writing to a string");
                    for fault in &faults.faults {
                        keeps_its_promise(&case.name, fault);
                    }
                    let names_it = faults.faults.iter().any(|fault| {
                        let text = fault.to_string();
                        fault.file == file
                            || text.contains(file.trim_start_matches("../catalogue/"))
                    });
                    // A thing that is gone is missed by who names it, in another file.
                    let missed = faults
                        .faults
                        .iter()
                        .any(|fault| fault.given.is_some() || fault.code == Code::FileMissing);
                    assert!(names_it || missed, "{}: {faults}", case.name);
                    for fault in faults.faults.iter().take(WRITTEN) {
                        writeln!(corpus.said, "{fault}").expect("writing to a string");
                    }
                    let more = faults.faults.len().saturating_sub(WRITTEN) + faults.left_out;
                    if more > 0 {
                        writeln!(corpus.said, "(and {more} more)").expect("writing to a string");
                    }
                    for note in unread(&faults.notices) {
                        writeln!(corpus.said, "{note}").expect("writing to a string");
                    }
                    corpus.said.push('\n');
                }
            }
        }
        corpus
    }

    /// The messages, then the cases that no message was called for.
    fn text(&self) -> String {
        let accepted = self.accepted.join("\n  ");
        format!("{}## read without complaint\n  {accepted}\n", self.said)
    }
}

/// What is said of headings and keys that nothing reads: a misspelt one explains a missing one.
fn unread(notices: &[Notice]) -> Vec<String> {
    let unread = notices.iter().filter(|notice| notice.code == Code::Unread);
    unread.map(ToString::to_string).collect()
}

/// Codes of faults that belong to a whole file, and so have no line.
const OF_A_FILE: [Code; 8] = [
    Code::FileMissing,
    Code::FileTooLarge,
    Code::NoHeading,
    Code::KeyMissing,
    Code::NothingJoins,
    Code::NoHomeRunCable,
    Code::NoUsableTap,
    Code::NoLayout,
];

/// Holds a message to what every message promises.
fn keeps_its_promise(case: &str, fault: &Fault) {
    assert!(!fault.file.is_empty(), "{case}: names no file\n{fault}");
    assert!(
        fault.line.is_some() || OF_A_FILE.contains(&fault.code),
        "{case}: names no line\n{fault}"
    );
    assert!(
        fault.accepted.is_some() || fault.help.is_some(),
        "{case}: says neither what is accepted nor what to do\n{fault}"
    );
}
