//! What the typed words mean: ranges checked, defaults resolved.

use crate::args::{EffortWord, LayoutWord, PaperWord, PlanArguments};
use crate::failure::Failure;
use duskwright_solver::job::Layout;
use duskwright_solver::optimise::{Effort, Settings};
use std::time::Duration;

/// Most threads that may be asked for; more is surely a slip of the finger.
const MOST_THREADS: usize = 1024;

/// Longest time limit, s: a year.
const LONGEST_SECONDS: f64 = 365.0 * 86_400.0;

/// A calendar date of the proleptic Gregorian calendar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Date(String);

impl Date {
    /// Reads `YYYY-MM-DD`.
    ///
    /// # Errors
    /// [`Failure::Refused`] when it is not written so or no such day exists.
    pub(crate) fn read(text: &str) -> Result<Self, Failure> {
        let refused = || {
            Failure::Refused(format!(
                "--date: `{text}` is not a date; write year, month and day, as in 2026-03-28"
            ))
        };
        let parts: Vec<&str> = text.split('-').collect();
        let [year, month, day] = parts.as_slice() else {
            return Err(refused());
        };
        let digits = |part: &str, count: usize| -> Option<u32> {
            let lawful = part.len() == count && part.bytes().all(|byte| byte.is_ascii_digit());
            lawful.then(|| part.parse().ok()).flatten()
        };
        let (Some(year), Some(month), Some(day)) =
            (digits(year, 4), digits(month, 2), digits(day, 2))
        else {
            return Err(refused());
        };
        if day == 0 || day > days_in_month(year, month) {
            return Err(refused());
        }
        Ok(Self(text.to_owned()))
    }
    /// As typed: `YYYY-MM-DD`.
    pub(crate) fn as_str(&self) -> &str {
        &self.0
    }
}

/// Days of a month, 1..=12; 0 for any other number.
const fn days_in_month(year: u32, month: u32) -> u32 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => 0,
    }
}

/// Everything `plan` needs besides the job.
#[derive(Clone, Debug)]
pub(crate) struct PlanSettings {
    /// For the solver.
    pub(crate) search: Settings,
    /// Threads; `None`: one a core.
    pub(crate) threads: Option<usize>,
    /// Time limit.
    pub(crate) time_limit: Option<Duration>,
    /// Paper; `None`: by the units of the job.
    pub(crate) paper: Option<PaperWord>,
    /// Date on the report.
    pub(crate) date: Option<Date>,
}

impl PlanSettings {
    /// Gives the typed words their meaning.
    ///
    /// # Errors
    /// [`Failure::Refused`] naming the option, its value and what is accepted.
    pub(crate) fn read(arguments: &PlanArguments) -> Result<Self, Failure> {
        Ok(Self {
            search: Settings {
                effort: effort(arguments.effort),
                layout: layout(arguments.layout),
                seed: arguments.seed,
            },
            threads: arguments.threads.map(threads).transpose()?,
            time_limit: arguments.time_limit.map(time_limit).transpose()?,
            paper: arguments.paper,
            date: arguments.date.as_deref().map(Date::read).transpose()?,
        })
    }
}

fn threads(count: usize) -> Result<usize, Failure> {
    if (1..=MOST_THREADS).contains(&count) {
        return Ok(count);
    }
    Err(Failure::Refused(format!(
        "--threads: {count} is not between 1 and {MOST_THREADS}"
    )))
}

fn time_limit(seconds: f64) -> Result<Duration, Failure> {
    if seconds > 0.0 && seconds <= LONGEST_SECONDS {
        return Ok(Duration::from_secs_f64(seconds));
    }
    Err(Failure::Refused(format!(
        "--time-limit: {seconds} is not a number of seconds above 0 and at most {LONGEST_SECONDS}"
    )))
}

const fn effort(word: EffortWord) -> Effort {
    match word {
        EffortWord::Quick => Effort::Quick,
        EffortWord::Standard => Effort::Standard,
        EffortWord::Thorough => Effort::Thorough,
    }
}

const fn layout(word: LayoutWord) -> Layout {
    match word {
        LayoutWord::Mixed => Layout::Mixed,
        LayoutWord::Chain => Layout::Chain,
        LayoutWord::Hub => Layout::Hub,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_that_exist_are_dates() {
        for good in ["2026-03-28", "2024-02-29", "2000-02-29", "2026-12-31"] {
            assert_eq!(Date::read(good).expect(good).as_str(), good);
        }
        for bad in [
            "2026-02-29", "1900-02-29", "2026-13-01", "2026-00-10", "2026-04-31", "2026-1-01",
            "28.03.2026", "2026-03-28T00:00", "", "2026-03", "+026-03-28", "2026-03-00",
        ] {
            let message = Date::read(bad).expect_err(bad).to_string();
            assert!(message.contains("--date"), "{message}");
        }
    }

    #[test]
    fn limits_are_refused_with_their_range() {
        assert!(threads(0).is_err());
        assert!(threads(8).is_ok());
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(time_limit(bad).is_err(), "{bad}");
        }
        assert_eq!(time_limit(2.5).expect("in range"), Duration::from_millis(2500));
    }
}
