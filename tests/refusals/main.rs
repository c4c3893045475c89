//! Test room: broken jobs, and the whole message each gets; and the ways of
//! writing a job that must make no difference.

mod any_bytes;
mod corpus;
mod cutting;
mod documented;
mod page;
mod spreadsheets;
mod together;
mod variants;

use duskwright_solver::job::{self, Job, JobText};

/// Everything said about a job that is refused.
fn refusal(text: &JobText) -> String {
    match job::read(text) {
        Ok(_) => "accepted".to_owned(),
        Err(faults) => faults.to_string(),
    }
}

/// A job that is accepted, with what is noted beside it.
fn accepted(text: &JobText) -> (Job, String) {
    let (job, notices) = job::read(text).unwrap_or_else(|faults| panic!("{faults}"));
    let notes: Vec<String> = notices.iter().map(ToString::to_string).collect();
    (job, notes.join("\n"))
}
