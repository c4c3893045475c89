//! What can go wrong while a report is written.

/// A report that could not be written.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ReportError {
    /// The font built into the program could not be read.
    #[error("R001: the built-in font `{font}` cannot be read: {reason}")]
    Font {
        /// Which font.
        font: &'static str,
        /// What the reader said.
        reason: String,
    },
    /// The date given is not one.
    #[error(
        "R002: {year:04}-{month:02}-{day:02} is not a date; accepted: years 1970 to 9999, real months and days"
    )]
    Date {
        /// Year given.
        year: u16,
        /// Month given.
        month: u8,
        /// Day given.
        day: u8,
    },
    /// The pages could not be written as PDF.
    #[error("R003: the pages could not be written as PDF: {reason}")]
    Write {
        /// What the writer said.
        reason: String,
    },
    /// A picture for the letterhead could not be read.
    #[error("R005: the picture cannot be used: {reason}")]
    Picture {
        /// What is wrong with it.
        reason: String,
    },
    /// The figures could not be written as a workbook.
    #[error("R006: the figures could not be written as a workbook: {reason}")]
    Workbook {
        /// What the writer said.
        reason: String,
    },
    /// The dossier refers to something that it does not hold.
    #[error("R004: the drawing refers to {what} {index}, but there are only {count}")]
    Dangling {
        /// Kind of thing.
        what: &'static str,
        /// Position referred to.
        index: usize,
        /// How many there are.
        count: usize,
    },
}
