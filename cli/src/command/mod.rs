//! One file a command.

pub(crate) mod batch;
pub(crate) mod compare;
pub(crate) mod completions;
pub(crate) mod diagnose;
pub(crate) mod inspect;
pub(crate) mod manual;
pub(crate) mod new;
pub(crate) mod order;
pub(crate) mod plan;
pub(crate) mod readings;
pub(crate) mod rebuild;
pub(crate) mod schema;
pub(crate) mod survey;
pub(crate) mod timers;
pub(crate) mod verify;

use crate::console;
use crate::failure::Failure;
use serde::Serialize;
use std::path::Path;

/// Prints results for people.
fn print(text: &str) -> Result<(), Failure> {
    console::results(text).map_err(Failure::file("write", Path::new("standard output")))
}

/// Prints results for programs: one JSON value.
fn print_json(value: &impl Serialize) -> Result<(), Failure> {
    let mut text = serde_json::to_string_pretty(value).map_err(|error| Failure::Paper {
        paper: "JSON",
        reason: error.to_string(),
    })?;
    text.push('\n');
    print(&text)
}
