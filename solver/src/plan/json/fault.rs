//! What can be wrong with a plan file, each with its place.

use crate::job::in_plain_words;

/// One fault of a plan file.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlanFault {
    /// Not JSON, or not of the shape of a plan.
    #[error("P101: line {line}, column {column}: {message}")]
    Form {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What was expected.
        message: String,
    },
    /// Another version of the file's shape.
    #[error(
        "P102: schema: version {given} is not read; accepted: {accepted}; use a program of the version that wrote the plan, or plan again"
    )]
    Schema {
        /// Version of the file.
        given: u32,
        /// Version this program reads.
        accepted: u32,
    },
    /// A plan for another job.
    #[error("P103: job.name: the plan is for `{given}`, the job is `{accepted}`")]
    OtherJob {
        /// Name in the plan.
        given: String,
        /// Name of the job.
        accepted: String,
    },
    /// A tag that the job does not have.
    #[error("P201: {field}: {table} `{given}` is not in the job; known: {known}")]
    UnknownTag {
        /// Path of the field.
        field: String,
        /// What kind of thing it should name.
        table: &'static str,
        /// The tag.
        given: String,
        /// Tags that exist.
        known: String,
    },
    /// A label that the plan does not have.
    #[error("P202: {field}: `{given}` is no {table} of this plan; known: {known}")]
    UnknownLabel {
        /// Path of the field.
        field: String,
        /// What kind of thing it should name.
        table: &'static str,
        /// The label.
        given: String,
        /// Labels that exist.
        known: String,
    },
    /// Two things of one label.
    #[error("P203: {field}: the label `{given}` is used twice")]
    LabelTwice {
        /// Path of the second one.
        field: String,
        /// The label.
        given: String,
    },
    /// A joint without exactly one piece to feed it.
    #[error("P204: {field}: joint `{joint}` is fed by {pieces} pieces; accepted: one")]
    Feeds {
        /// Path of the joint.
        field: String,
        /// Its label.
        joint: String,
        /// How many pieces end in it.
        pieces: usize,
    },
    /// A route step that the site graph does not have.
    #[error(
        "P205: {field}: the job has {parallels} segments from `{from}` to `{to}`, the plan asks for number {given}"
    )]
    UnknownSegment {
        /// Path of the step.
        field: String,
        /// Tag of one end.
        from: String,
        /// Tag of the other end.
        to: String,
        /// Ordinal asked for, from 1.
        given: u32,
        /// How many segments join these nodes.
        parallels: usize,
    },
    /// A stated length that does not follow from the job.
    #[error(
        "P206: {field}: the plan states {given} steps of the length grid, the job gives {found}"
    )]
    Length {
        /// Path of the field.
        field: String,
        /// Steps stated.
        given: i64,
        /// Steps by route, slack and rise.
        found: i64,
    },
}

impl PlanFault {
    /// Stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Form { .. } => "P101",
            Self::Schema { .. } => "P102",
            Self::OtherJob { .. } => "P103",
            Self::UnknownTag { .. } => "P201",
            Self::UnknownLabel { .. } => "P202",
            Self::LabelTwice { .. } => "P203",
            Self::Feeds { .. } => "P204",
            Self::UnknownSegment { .. } => "P205",
            Self::Length { .. } => "P206",
        }
    }
}

/// Everything wrong with a plan file, in file order; never empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanFaults(pub Vec<PlanFault>);

impl PlanFaults {
    pub(super) fn of_form(error: serde_json::Error) -> Self {
        let message = error.to_string();
        let end = message.rfind(" at line ").unwrap_or(message.len());
        Self(vec![PlanFault::Form {
            line: error.line(),
            column: error.column(),
            message: in_plain_words(&message[..end]),
        }])
    }
}

impl std::fmt::Display for PlanFaults {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (index, fault) in self.0.iter().enumerate() {
            if index > 0 {
                f.write_str("\n")?;
            }
            std::fmt::Display::fmt(fault, f)?;
        }
        Ok(())
    }
}
impl std::error::Error for PlanFaults {}
