//! `duskwright batch`: many jobs, one portfolio.

use crate::args::{BatchArguments, JobArguments};
use crate::batch::crew::{Crew, Ended};
use crate::batch::display::{Display, JobWatch, State};
use crate::batch::list::{self, Member};
use crate::batch::merge;
use crate::batch::place::{PORTFOLIO_FILES, Place};
use crate::batch::record::{Asked, Card, Record, SCHEMA, Written, fingerprint};
use crate::batch::shard::Shard;
use crate::command::{print, print_json};
use crate::console;
use crate::digest;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::origin::{Origin, Search};
use crate::planning::{Made, Planned, Planning};
use crate::reading::{self, Reading};
use crate::settings::{self, Papers, PlanSettings};
use crate::summary::counted;
use crate::watch::{self, gap_percent};
use duskwright_report::{PaperOptions, PaperSize};
use duskwright_solver::cells;
use duskwright_solver::job::Objective;
use duskwright_solver::portfolio::{Fate, JobFigures, Portfolio, PortfolioRow};
use duskwright_solver::units::UnitSystem;
use indicatif::ProgressBar;
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

use std::sync::atomic::AtomicBool;

/// Plans a batch of jobs, or merges the parts of one.
///
/// # Errors
/// [`Failure`] when the words, the list or the folder for the results are
/// refused, or the portfolio cannot be written. A job that fails is no error: it
/// is told in the portfolio and by the exit code.
pub(crate) fn run(arguments: &BatchArguments) -> Result<Exit, Failure> {
    let Some(source) = &arguments.jobs else {
        let (place, card, records) = merge::merged(&arguments.merge, &arguments.out)?;
        return conclude(arguments, &place, &card, records);
    };
    let shard = arguments.shard.as_deref().map(Shard::read).transpose()?;
    // Refused before anything is touched.
    Papers::read(arguments.paper, arguments.date.as_deref())?;
    let crew = crew(settings::thread_count(arguments.threads)?)?;
    let members = list::find(source, arguments.allow_outside)?;
    let place = Place::open(&arguments.out)?;
    let earlier = place.card()?;
    let settings = settings_of(arguments, earlier.as_ref())?;
    let names = members.iter().map(|member| member.name.clone()).collect();
    let card = Card::new(settings.asked(), shard, names);
    if let Some(earlier) = earlier.filter(|earlier| earlier.shard != shard) {
        return Err(other_part(&arguments.out, earlier.shard));
    }
    place.put_card(&card)?;
    let mine: Vec<Member> = members
        .into_iter()
        .enumerate()
        .filter(|(position, _)| shard.is_none_or(|shard| shard.has(*position)))
        .map(|(_, member)| member)
        .collect();
    let interrupted = watch::on_interrupt();
    let batch = Batch {
        settings: &settings,
        asked: &card.asked,
        place: &place,
        display: Display::start(mine.len()),
        interrupted: &interrupted.flag,
        allow_outside: arguments.allow_outside,
    };
    let records = batch.all(&crew, &mine);
    batch.display.finish();
    let done: Vec<Record> = records.into_iter().flatten().collect();
    if done.len() < mine.len() {
        console::talk(&format!(
            "stopped: {} of {} done; the same command goes on from here",
            done.len(),
            counted(mine.len(), "job")
        ));
        return Ok(Exit::Unfinished);
    }
    conclude(arguments, &place, &card, done)
}

/// Another part of the batch than this folder holds.
fn other_part(out: &Path, earlier: Option<Shard>) -> Failure {
    let holds = earlier.map_or_else(
        || "a whole batch".to_owned(),
        |shard| format!("part {}/{} of a batch", shard.part, shard.parts),
    );
    Failure::Refused(format!(
        "--out {}: it holds {holds}; give every part a folder of its own",
        out.display()
    ))
}

/// Settings of every job. The date is that of the batch's first run unless one is given:
/// a batch that goes on tomorrow must not plan everything anew.
fn settings_of(
    arguments: &BatchArguments,
    earlier: Option<&Card>,
) -> Result<PlanSettings, Failure> {
    let known = earlier.map(|card| card.asked.date.as_str());
    let date = arguments.date.as_deref().or(known);
    Ok(PlanSettings::of_batch(
        arguments.effort,
        arguments.seed,
        arguments.layout,
        Papers::read(arguments.paper, date)?,
    ))
}

fn crew(threads: Option<usize>) -> Result<Crew, Failure> {
    Crew::new(threads)
        .map_err(|error| Failure::Refused(format!("cannot start the threads asked for: {error}")))
}

/// What all jobs of a batch share.
struct Batch<'a> {
    settings: &'a PlanSettings,
    asked: &'a Asked,
    place: &'a Place,
    display: Display,
    interrupted: &'a AtomicBool,
    allow_outside: bool,
}

impl Batch<'_> {
    /// Plans what is not on record; `None` for jobs that an interrupt left undone.
    fn all(&self, crew: &Crew, members: &[Member]) -> Vec<Option<Record>> {
        let ended = crew.work(members.len(), self.interrupted, |position| {
            self.one(&members[position])
        });
        let records = ended.into_iter().zip(members);
        records
            .map(|(ended, member)| match ended? {
                Ended::Done(record) => record,
                Ended::Panicked(message) => Some(self.broken(member, &message)),
            })
            .collect()
    }

    /// A job on which this program broke.
    fn broken(&self, member: &Member, message: &str) -> Record {
        let reason = format!("a defect of this program broke it off: {message}");
        self.on_record(Record::failed(&member.name, "broken off", &reason))
    }

    fn one(&self, member: &Member) -> Option<Record> {
        #[cfg(test)]
        tests::break_down(&member.name);
        let line = self.display.line(&member.name);
        let (record, state) = match self.attempt(member, &line) {
            Ok(Some((record, State::Kept))) => (record, State::Kept),
            Ok(Some((record, state))) => (self.on_record(record), state),
            Ok(None) => {
                line.finish_and_clear();
                return None;
            }
            Err(failure) => {
                let result = failure.exit().word();
                let record = Record::failed(&member.name, result, &failure.to_string());
                (self.on_record(record), State::Failed)
            }
        };
        self.display.ended(&member.name, &line, state);
        Some(record)
    }

    /// Puts a record on disk. Where that fails the job counts as failed: it would be planned again.
    fn on_record(&self, record: Record) -> Record {
        match self.place.put_record(&record) {
            Ok(()) => record,
            Err(failure) => {
                Record::failed(&record.row.job, failure.exit().word(), &failure.to_string())
            }
        }
    }

    /// Plans a job unless its plan is on record and on disk; `None` when interrupted.
    fn attempt(
        &self,
        member: &Member,
        line: &ProgressBar,
    ) -> Result<Option<(Record, State)>, Failure> {
        let reading = reading::read(&JobArguments {
            job: member.path.clone(),
            allow_outside: self.allow_outside,
        })?;
        let fingerprint = fingerprint(self.asked, &reading.input_hash);
        if let Some(record) = self.kept(&member.name, &fingerprint) {
            return Ok(Some((record, State::Kept)));
        }
        let planning = Planning::of(&reading, self.settings)?;
        let planned = match planning.unservable() {
            Some(told) => Planned::Unserved(told),
            None => {
                line.set_message("searching");
                let watch = JobWatch::new(line, self.interrupted, &reading.job.currency);
                let outcome = planning.search(&watch);
                if watch.cut_short() {
                    return Ok(None);
                }
                line.set_message("writing");
                planning.made(outcome, None)?
            }
        };
        let (record, state) = self.recorded(member, &reading, planned)?;
        let record = Record {
            fingerprint: Some(fingerprint),
            input_hash: Some(reading.input_hash),
            ..record
        };
        Ok(Some((record, state)))
    }

    /// What an earlier run left of this very job.
    fn kept(&self, name: &str, fingerprint: &str) -> Option<Record> {
        let record = self.place.record(name)?;
        let same = record.fingerprint.as_deref() == Some(fingerprint);
        let planned = matches!(record.row.fate, Fate::Planned(_));
        (same && (!planned || self.place.intact(&record).is_some())).then_some(record)
    }

    fn recorded(
        &self,
        member: &Member,
        reading: &Reading,
        planned: Planned,
    ) -> Result<(Record, State), Failure> {
        Ok(match planned {
            Planned::Feasible(made) => {
                let files = self.place.put_results(&member.name, &made.files)?;
                let record = planned_record(member, reading, &made, files);
                (record, State::Planned)
            }
            Planned::Unserved(told) => {
                let record = Record::failed(&member.name, told.exit().word(), &told.text());
                (record, State::Failed)
            }
            Planned::Unsound(opinion) => {
                let text = opinion.text("the plan found", &reading.job);
                let record = Record::failed(&member.name, opinion.exit().word(), &text);
                (record, State::Failed)
            }
        })
    }
}

fn planned_record(member: &Member, reading: &Reading, made: &Made, files: Vec<Written>) -> Record {
    let mut figures = JobFigures::of(&made.dossier, reading.notices.len());
    if reading.job.objective != Objective::Installed {
        let text =
            "asks for another objective than installed cost, which the search does not weigh yet";
        figures.exceptions.push(text.to_owned());
    }
    Record {
        schema: SCHEMA,
        fingerprint: None,
        input_hash: None,
        files,
        row: PortfolioRow {
            job: member.name.clone(),
            fate: Fate::Planned(Box::new(figures)),
        },
    }
}

/// Writes and tells the portfolio.
fn conclude(
    arguments: &BatchArguments,
    place: &Place,
    card: &Card,
    records: Vec<Record>,
) -> Result<Exit, Failure> {
    let parts: Vec<&[u8]> = records
        .iter()
        .flat_map(|record| {
            let input = record.input_hash.as_deref().unwrap_or_default();
            [record.row.job.as_bytes(), input.as_bytes()]
        })
        .collect();
    let search = Search {
        effort: card.asked.effort.clone(),
        seed: card.asked.seed,
    };
    let origin = Origin::new(digest::of(parts), [search]);
    let rows = records.into_iter().map(|record| record.row).collect();
    let portfolio = Portfolio::of(rows);
    let papers = Papers::read(None, Some(&card.asked.date))?;
    let options = PaperOptions {
        size: paper(card, &portfolio, papers),
        date: papers.date,
        version: origin.version.to_owned(),
        input_hash: origin.input_sha256.clone(),
        search: origin.search(),
    };
    let pdf = duskwright_report::write_portfolio_pdf(&portfolio, &options);
    let pdf = pdf.map_err(|error| Failure::Paper {
        paper: "the portfolio",
        reason: error.to_string(),
    })?;
    let table = cells::with_origin(&portfolio.csv(), cells::BESIDE, &origin.facts());
    place.put_portfolio(table.as_bytes(), &pdf)?;
    let exit = if portfolio.missing > 0 {
        Exit::Unfinished
    } else if portfolio.failed > 0 {
        Exit::SomeFailed
    } else {
        Exit::Feasible
    };
    let files = PORTFOLIO_FILES.map(|name| arguments.out.join(name).display().to_string());
    if arguments.json {
        print_json(&Told {
            result: exit.word(),
            portfolio: &portfolio,
            made: &origin,
            files: &files,
        })?;
    } else {
        print(&text(&portfolio, &files))?;
    }
    Ok(exit)
}

/// Paper as asked; else letter where every planned job is in feet.
fn paper(card: &Card, portfolio: &Portfolio, papers: Papers) -> PaperSize {
    match card.asked.paper.as_deref() {
        Some("letter") => PaperSize::Letter,
        Some(_) => PaperSize::A4,
        None => {
            let feet = UnitSystem::Us.length_symbol();
            let mut planned = portfolio.planned_rows();
            let all_in_feet =
                portfolio.planned > 0 && planned.all(|(_, figures)| figures.length_unit == feet);
            papers.size(if all_in_feet {
                UnitSystem::Us
            } else {
                UnitSystem::Metric
            })
        }
    }
}

/// The portfolio for programs.
#[derive(Serialize)]
struct Told<'a> {
    result: &'static str,
    #[serde(flatten)]
    portfolio: &'a Portfolio,
    made: &'a Origin,
    files: &'a [String],
}

/// The portfolio for people.
fn text(portfolio: &Portfolio, files: &[String]) -> String {
    let mut said = format!(
        "{}: {} planned, {} without a plan\n\n",
        counted(portfolio.rows.len(), "job"),
        portfolio.planned,
        portfolio.failed + portfolio.missing,
    );
    let mut fact = |name: &str, text: String| {
        let _infallible = writeln!(said, "  {name:<18} {text}");
    };
    for sum in &portfolio.money {
        let gap = sum.bound.map_or_else(String::new, |bound| {
            format!(", gap {:.1} %", gap_percent(sum.direct_cost, bound))
        });
        fact(
            "price",
            format!(
                "{} {} ({} with tax); direct cost {:.2}{gap}",
                sum.price, sum.currency, sum.total, sum.direct_cost
            ),
        );
    }
    if portfolio.planned > 0 {
        fact("labour", format!("{} h", portfolio.hours));
    }
    for sum in &portfolio.cable {
        fact(
            "cable",
            format!("{}: {} {}", sum.gauge, sum.length, sum.unit),
        );
    }
    for row in &portfolio.transformers {
        fact("transformers", format!("{} x {}", row.count, row.model));
    }
    for row in &portfolio.rows {
        match &row.fate {
            Fate::Planned(_) => {}
            Fate::Failed { result, reason } => {
                fact("failed", format!("{} ({result}): {reason}", row.job));
            }
            Fate::Missing => fact("not planned yet", row.job.clone()),
        }
    }
    for file in files {
        fact("written", file.clone());
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::args::{Arguments, Command};
    use clap::Parser;
    use std::fs;
    use std::path::Path;

    /// A job of this name breaks the program, in tests only.
    const BREAKS: &str = "breaks-the-program";

    pub(super) fn break_down(name: &str) {
        assert!(name != BREAKS, "broken on purpose");
    }

    fn copy(from: &Path, to: &Path) {
        fs::create_dir_all(to).expect("made");
        for entry in fs::read_dir(from).expect("a sample") {
            let entry = entry.expect("readable");
            fs::copy(entry.path(), to.join(entry.file_name())).expect("copied");
        }
    }

    #[test]
    fn a_job_that_breaks_the_program_is_told_and_the_others_are_planned() {
        let home = tempfile::tempdir().expect("a temporary folder");
        let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../samples");
        copy(
            &samples.join("catalogue-metric"),
            &home.path().join("catalogue-metric"),
        );
        for name in [BREAKS, "sound"] {
            let job = home.path().join(name);
            copy(&samples.join("courtyard"), &job);
            let fixtures = fs::read_to_string(job.join("fixtures.csv")).expect("read");
            let few: Vec<&str> = fixtures.lines().take(4).collect();
            fs::write(job.join("fixtures.csv"), few.join("\n") + "\n").expect("written");
        }
        let out = home.path().join("out");
        let words = ["duskwright", "batch", "", "--out", "", "--effort", "quick"];
        let mut words = words.map(std::ffi::OsString::from);
        words[2] = home.path().into();
        words[4] = out.clone().into();
        let Command::Batch(arguments) = Arguments::parse_from(words).command else {
            panic!("a batch was typed");
        };
        let exit = run(&arguments).expect("the batch itself goes on");
        assert_eq!(exit, Exit::SomeFailed);
        let portfolio = fs::read_to_string(out.join("portfolio.csv")).expect("written");
        assert!(
            portfolio.contains("a defect of this program broke it off: broken on purpose"),
            "{portfolio}"
        );
        assert!(out.join("jobs/sound/plan.json").is_file());
        assert!(!out.join("jobs").join(BREAKS).exists());
    }
}
