//! Test room: every reader of the libraries against text broken at random.
//!
//! A fixed number of executions runs with the other tests. `make fuzz` runs each reader for
//! `SECONDS` or `EXECUTIONS`, whichever is first, and those inside the command after them.

mod picture;
mod readers;
mod survey;

use duskwright_tests::fuzz::{OF_LIBRARIES, long_run, refused, short_run};
use readers::{Desk, READERS};

#[test]
fn no_reader_panics_or_says_two_things() {
    short_run(&Desk::new(), &READERS);
}

#[test]
fn every_reader_reads_its_sound_texts() {
    let refused = refused(&Desk::new(), &READERS);
    assert!(refused.is_empty(), "{}", refused.join("\n"));
}

#[test]
fn every_reader_goes_by_its_name() {
    assert_eq!(READERS.map(|reader| reader.name), OF_LIBRARIES);
}

#[test]
#[ignore = "runs for SECONDS or EXECUTIONS a reader: make fuzz"]
fn no_reader_panics_hangs_or_hoards_for_long() {
    long_run(&Desk::new(), &READERS);
}
