//! The job folder of a survey: what it begins with, what an earlier survey left in it, and
//! its tables.

pub(crate) mod beginning;
pub(crate) mod earlier;
pub(crate) mod tables;

/// Files that a survey derives, and writes anew each time.
pub(crate) const DERIVED: [&str; 5] = [
    "nodes.csv",
    "paths.csv",
    "fixtures.csv",
    "sites.csv",
    "survey.svg",
];
/// Hand edits, which a survey reads and never writes over.
pub(crate) const OVERRIDES: &str = "overrides.csv";
/// What a survey remembers for the next one.
pub(crate) const RECORD: &str = "survey.json";
