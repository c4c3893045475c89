//! What the caller decides about a report.

use crate::error::ReportError;
use crate::layout::PaperSize;

/// A calendar date, given by the caller: the report has no clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ReportDate {
    year: u16,
    month: u8,
    day: u8,
}

impl ReportDate {
    /// Makes a date of the Gregorian calendar.
    ///
    /// # Errors
    /// [`ReportError::Date`] unless the year is 1970 to 9999 and the month has that day.
    pub const fn new(year: u16, month: u8, day: u8) -> Result<Self, ReportError> {
        let leap =
            year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
        let days = match month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            4 | 6 | 9 | 11 => 30,
            2 if leap => 29,
            2 => 28,
            _ => 0,
        };
        if year >= 1970 && year <= 9999 && day >= 1 && day <= days {
            Ok(Self { year, month, day })
        } else {
            Err(ReportError::Date { year, month, day })
        }
    }
    /// Year, 1970 to 9999.
    #[must_use]
    pub const fn year(self) -> u16 {
        self.year
    }
    /// Month, 1 to 12.
    #[must_use]
    pub const fn month(self) -> u8 {
        self.month
    }
    /// Day of the month, 1 to 31.
    #[must_use]
    pub const fn day(self) -> u8 {
        self.day
    }
}

impl std::fmt::Display for ReportDate {
    /// As ISO 8601 writes it: `2026-11-25`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

/// One of the papers that a plan leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Paper {
    /// Everything, for whoever checks or files the plan.
    Report,
    /// For the client.
    Bid,
    /// For the crew on site.
    Crew,
    /// For who buys.
    Buy,
}

impl Paper {
    /// What its file says that it is.
    pub(crate) const fn subject(self) -> &'static str {
        match self {
            Self::Report => "Bid, schedules and drawings of a low-voltage lighting job",
            Self::Bid => "Offer for a low-voltage lighting job",
            Self::Crew => "Crew packet of a low-voltage lighting job",
            Self::Buy => "Buy list of a low-voltage lighting job",
        }
    }
    pub(crate) const fn title(self) -> &'static str {
        match self {
            Self::Report => "lighting plan",
            Self::Bid => "offer",
            Self::Crew => "crew packet",
            Self::Buy => "buy list",
        }
    }
}

/// Paper, date, and what identifies the input. The same dossier and options give the same bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperOptions {
    /// Paper of the pages; drawings may have another.
    pub size: PaperSize,
    /// Date printed and written into the file.
    pub date: ReportDate,
    /// Version of the program, as printed.
    pub version: String,
    /// Hash of the input, as printed; the file's identifier is made from it.
    pub input_hash: String,
    /// Effort and seed of the search behind the figures, as written into the file.
    pub search: String,
}

impl PaperOptions {
    /// How the file was made, for its description.
    pub(crate) fn made(&self) -> String {
        format!(
            "Duskwright {}, input {}, {}",
            self.version, self.input_hash, self.search
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_real_days_are_dates() {
        assert!(ReportDate::new(2028, 2, 29).is_ok());
        assert!(ReportDate::new(2100, 2, 29).is_err());
        assert!(ReportDate::new(2026, 13, 1).is_err());
        assert_eq!(
            ReportDate::new(2026, 2, 30).unwrap_err().to_string(),
            "R002: 2026-02-30 is not a date; accepted: years 1970 to 9999, real months and days"
        );
    }
}
