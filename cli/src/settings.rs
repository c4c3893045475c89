//! What the typed words mean: ranges checked, defaults resolved.

use crate::args::{
    CompareArguments, EffortWord, LayoutWord, PaperWord, PapersWord, PlanArguments, SheetWord,
};
use crate::batch::record::Asked;
use crate::failure::Failure;
use crate::firm;
use crate::papers::Extras;
use crate::planning::effort_word;
use duskwright_report::{Firm, Paper, PaperSize, Presentation, ReportDate};
use duskwright_solver::job::{Job, Layout, Layouts};
use duskwright_solver::optimise::{Effort, Settings};
use duskwright_solver::units::UnitSystem;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// Most threads that may be asked for; more is surely a slip of the finger.
const MOST_THREADS: usize = 1024;

/// Seconds of a day in universal time.
const SECONDS_PER_DAY: u64 = 86_400;

/// Longest time limit, s: a year.
const LONGEST_SECONDS: f64 = 365.0 * 86_400.0;

/// Reads `YYYY-MM-DD`.
///
/// # Errors
/// [`Failure::Refused`] when it is not written so or no such day exists.
fn date(text: &str) -> Result<ReportDate, Failure> {
    let refused = || {
        Failure::Refused(format!(
            "--date: `{text}` is not a date; write year, month and day, as in 2026-03-28"
        ))
    };
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts.as_slice() else {
        return Err(refused());
    };
    let year = digits(year, 4).ok_or_else(refused)?;
    let month = digits(month, 2)
        .and_then(|number| u8::try_from(number).ok())
        .ok_or_else(refused)?;
    let day = digits(day, 2)
        .and_then(|number| u8::try_from(number).ok())
        .ok_or_else(refused)?;
    ReportDate::new(year, month, day).map_err(|_| refused())
}

/// A number written with exactly `count` digits.
fn digits(part: &str, count: usize) -> Option<u16> {
    let lawful = part.len() == count && part.bytes().all(|byte| byte.is_ascii_digit());
    lawful.then(|| part.parse().ok()).flatten()
}

/// The day that the system's clock shows, in universal time.
fn today() -> Result<ReportDate, Failure> {
    let seconds = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |since| since.as_secs());
    date_of_day(seconds / SECONDS_PER_DAY).ok_or_else(|| {
        Failure::Refused("the system's clock shows no usable date; give one with --date".to_owned())
    })
}

/// The Gregorian date of a number of days since 1970-01-01; `None` past the year 9999.
fn date_of_day(mut day: u64) -> Option<ReportDate> {
    for year in 1970..=9999 {
        for month in 1..=12 {
            let last = (28..=31)
                .rev()
                .find_map(|last| ReportDate::new(year, month, last).ok())?;
            let length = u64::from(last.day());
            if day < length {
                return ReportDate::new(year, month, u8::try_from(day).ok()? + 1).ok();
            }
            day -= length;
        }
    }
    None
}

/// Paper and date.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Papers {
    size: Option<PaperSize>,
    /// Date on the papers.
    pub(crate) date: ReportDate,
}

impl Papers {
    /// Gives the typed words their meaning.
    ///
    /// # Errors
    /// [`Failure::Refused`] for a date that is none.
    pub(crate) fn read(size: Option<PaperWord>, day: Option<&str>) -> Result<Self, Failure> {
        Ok(Self {
            size: size.map(paper),
            date: day.map_or_else(today, date)?,
        })
    }
    /// As asked, or letter for feet and A4 for metres.
    pub(crate) fn size(&self, units: UnitSystem) -> PaperSize {
        self.size.unwrap_or(match units {
            UnitSystem::Us => PaperSize::Letter,
            UnitSystem::Metric => PaperSize::A4,
        })
    }
}

/// Everything `plan` needs besides the job.
#[derive(Clone, Debug)]
pub(crate) struct PlanSettings {
    effort: Effort,
    seed: u64,
    layout: Option<Layout>,
    /// Paper and date.
    pub(crate) papers: Papers,
    /// Threads; `None`: one a core.
    pub(crate) threads: Option<usize>,
    /// Time limit.
    pub(crate) time_limit: Option<Duration>,
    /// Papers, drawings and letterhead beside what every plan leaves.
    pub(crate) extras: Extras,
}

/// Date printed on a paper: as typed, else today.
///
/// # Errors
/// [`Failure::Refused`] for what is no date.
pub(crate) fn paper_date(typed: Option<&str>) -> Result<ReportDate, Failure> {
    typed.map_or_else(today, date)
}

/// Size of a paper: as typed, else letter for feet and A4 for metres.
pub(crate) fn paper_size(typed: Option<PaperWord>, job: &Job) -> PaperSize {
    typed.map_or_else(
        || match job.units {
            UnitSystem::Us => PaperSize::Letter,
            UnitSystem::Metric => PaperSize::A4,
        },
        paper,
    )
}

impl PlanSettings {
    /// Gives the typed words their meaning.
    ///
    /// # Errors
    /// [`Failure::Refused`] naming the option, its value and what is accepted;
    /// [`Failure::File`] when the firm's file cannot be read.
    pub(crate) fn read(arguments: &PlanArguments) -> Result<Self, Failure> {
        Ok(Self {
            effort: effort(arguments.effort),
            seed: arguments.seed,
            layout: arguments.layout.map(layout),
            papers: Papers::read(arguments.paper, arguments.date.as_deref())?,
            threads: thread_count(arguments.threads)?,
            time_limit: arguments.time_limit.map(time_limit).transpose()?,
            extras: extras(arguments)?,
        })
    }
    /// What every job of a batch is planned with.
    pub(crate) fn of_batch(
        effort_asked: EffortWord,
        seed: u64,
        layout_asked: Option<LayoutWord>,
        papers: Papers,
    ) -> Self {
        Self {
            effort: effort(effort_asked),
            seed,
            layout: layout_asked.map(layout),
            papers,
            threads: None,
            time_limit: None,
            extras: Extras::default(),
        }
    }
    /// The same, as written on a batch's card.
    pub(crate) fn asked(&self) -> Asked {
        Asked {
            effort: effort_word(self.effort).to_owned(),
            seed: self.seed,
            layout: self.layout.map(|layout| layout_word(layout).to_owned()),
            paper: self.papers.size.map(|size| paper_word(size).to_owned()),
            date: self.papers.date.to_string(),
        }
    }
    /// What the solver is asked for a job.
    ///
    /// # Errors
    /// [`Failure::Refused`] when the job's rules do not allow the layout asked for.
    pub(crate) fn search(&self, job: &Job) -> Result<Settings, Failure> {
        Ok(Settings {
            effort: self.effort,
            layout: self.layout_for(job.rules.layouts)?,
            seed: self.seed,
        })
    }

    fn layout_for(&self, allowed: Layouts) -> Result<Layout, Failure> {
        let open: Vec<Layout> = [
            (Layout::Mixed, allowed.mixed),
            (Layout::Hub, allowed.hub),
            (Layout::Chain, allowed.chain),
        ]
        .into_iter()
        .filter_map(|(layout, open)| open.then_some(layout))
        .collect();
        let Some(wanted) = self.layout else {
            // Where mixed is not allowed the search takes the cheaper of the others.
            return Ok(Layout::Mixed);
        };
        if open.contains(&wanted) {
            return Ok(wanted);
        }
        let open: Vec<&str> = open.into_iter().map(layout_word).collect();
        Err(Failure::Refused(format!(
            "--layout {}: the job's rules allow only {} (job.toml, [rules] layouts)",
            layout_word(wanted),
            open.join(", ")
        )))
    }
}

/// Everything `compare` needs besides the job and its alternatives.
#[derive(Clone, Debug)]
pub(crate) struct CompareSettings {
    /// How hard each column is searched.
    pub(crate) effort: Effort,
    /// Seed.
    pub(crate) seed: u64,
    /// Paper and date of the page.
    pub(crate) papers: Papers,
    /// Threads; `None`: one a core.
    pub(crate) threads: Option<usize>,
    /// Time limit over all columns.
    pub(crate) time_limit: Option<Duration>,
}

impl CompareSettings {
    /// Gives the typed words their meaning.
    ///
    /// # Errors
    /// [`Failure::Refused`] naming the option, its value and what is accepted.
    pub(crate) fn read(arguments: &CompareArguments) -> Result<Self, Failure> {
        Ok(Self {
            effort: effort(arguments.effort),
            seed: arguments.seed,
            papers: Papers::read(arguments.paper, arguments.date.as_deref())?,
            threads: thread_count(arguments.threads)?,
            time_limit: arguments.time_limit.map(time_limit).transpose()?,
        })
    }
}

/// Checks a number of threads.
///
/// # Errors
/// [`Failure::Refused`] when it is out of range.
pub(crate) fn thread_count(count: Option<usize>) -> Result<Option<usize>, Failure> {
    count.map(threads).transpose()
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

const fn layout_word(layout: Layout) -> &'static str {
    match layout {
        Layout::Mixed => "mixed",
        Layout::Chain => "chain",
        Layout::Hub => "hub",
    }
}

/// Papers in their own order, each once, however they were typed.
fn extras(arguments: &PlanArguments) -> Result<Extras, Failure> {
    let asked = |word: PapersWord| {
        let typed = &arguments.papers;
        typed.contains(&word) || typed.contains(&PapersWord::All)
    };
    let papers = [
        (PapersWord::Bid, Paper::Bid),
        (PapersWord::Crew, Paper::Crew),
        (PapersWord::Buy, Paper::Buy),
    ];
    if arguments.alternatives.is_some() && !asked(PapersWord::Bid) {
        return Err(Failure::Refused(
            "--alternatives: options are priced in the bid; write --papers bid too".to_owned(),
        ));
    }
    let firm = arguments.firm.as_deref();
    let firm = firm
        .map(|path| firm::read(path, arguments.job.allow_outside))
        .transpose()?;
    Ok(Extras {
        papers: papers
            .into_iter()
            .filter(|&(word, _)| asked(word))
            .map(|(_, paper)| paper)
            .collect(),
        drawings: arguments.svg,
        presentation: Presentation {
            firm: firm.unwrap_or_else(Firm::default),
            sheets: arguments.sheets.map(sheet),
            ..Presentation::default()
        },
    })
}

const fn sheet(word: SheetWord) -> PaperSize {
    match word {
        SheetWord::Letter => PaperSize::Letter,
        SheetWord::A4 => PaperSize::A4,
        SheetWord::Tabloid => PaperSize::Tabloid,
        SheetWord::A3 => PaperSize::A3,
    }
}

const fn paper_word(size: PaperSize) -> &'static str {
    match size {
        PaperSize::Letter => "letter",
        PaperSize::A4 => "a4",
        PaperSize::Tabloid => "tabloid",
        PaperSize::A3 => "a3",
    }
}

const fn paper(word: PaperWord) -> PaperSize {
    match word {
        PaperWord::Letter => PaperSize::Letter,
        PaperWord::A4 => PaperSize::A4,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_that_exist_are_dates() {
        for good in ["2026-03-28", "2024-02-29", "2000-02-29", "2026-12-31"] {
            assert_eq!(date(good).expect(good).to_string(), good);
        }
        for bad in [
            "2026-02-29",
            "2100-02-29",
            "2026-13-01",
            "2026-00-10",
            "2026-04-31",
            "2026-1-01",
            "28.03.2026",
            "2026-03-28T00:00",
            "",
            "2026-03",
            "+026-03-28",
            "2026-03-00",
        ] {
            let message = date(bad).expect_err(bad).to_string();
            assert!(message.contains("--date"), "{message}");
        }
    }

    #[test]
    fn days_since_1970_are_counted_with_their_leap_years() {
        // Day numbers from `date --date=@$((N * 86400)) --utc` (GNU coreutils).
        for (day, text) in [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (11_017, "2000-03-01"),
            (20_540, "2026-03-28"),
        ] {
            let date = date_of_day(day).expect("before the year 10000");
            assert_eq!(date.to_string(), text);
        }
        assert!(date_of_day(u64::MAX).is_none());
    }

    #[test]
    fn limits_are_refused_with_their_range() {
        assert!(threads(0).is_err());
        assert!(threads(8).is_ok());
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(time_limit(bad).is_err(), "{bad}");
        }
        assert_eq!(
            time_limit(2.5).expect("in range"),
            Duration::from_millis(2500)
        );
    }
}
