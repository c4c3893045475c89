//! The papers of a planned job, without the planning: seconds, pages and bytes of
//! each paper.
//!
//! `bench-papers [SAMPLE or number of fixtures]...`; without words: the samples and
//! made-up gardens of 120 and 400 fixtures. A plan is the quickest at hand: chains of
//! nearest neighbours where they are lawful, else a search at quick effort. Pages and bytes
//! are the same on any machine; seconds are not. `OUT=FOLDER` keeps the papers.

use duskwright_benches::{garden, sample};
use duskwright_report::{
    Paper, PaperOptions, PaperSize, Presentation, ReportDate, ReportError, drawings, paper_pages,
    write_paper,
};
use duskwright_solver::check;
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::{Effort, Settings, Silent, nearest_neighbour_chains};
use duskwright_solver::plan::Plan;
use duskwright_solver::schedule::{Dossier, Findings, Standing, Status};
use duskwright_solver::solve::{self, Outcome};
use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

const PAPERS: [(Paper, &str); 4] = [
    (Paper::Report, "report"),
    (Paper::Bid, "bid"),
    (Paper::Crew, "crew"),
    (Paper::Buy, "buy"),
];

fn main() -> ExitCode {
    let mut words: Vec<String> = std::env::args().skip(1).collect();
    if words.is_empty() {
        words = ["courtyard", "garden", "estate", "120", "400"]
            .map(str::to_owned)
            .to_vec();
    }
    println!("| job | fixtures | paper | pages | kB | seconds |");
    println!("|---|---:|---|---:|---:|---:|");
    for word in &words {
        if let Err(reason) = job(word).and_then(|job| measure(word, &job)) {
            eprintln!("{word}: {reason}");
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}

/// A sample, or a garden of so many fixtures.
fn job(word: &str) -> Result<Job, String> {
    match word.parse() {
        Ok(fixtures) => Ok(garden::job(fixtures, 0)),
        Err(_) => sample::read(word),
    }
}

fn measure(name: &str, job: &Job) -> Result<(), String> {
    let plan = plan(job)?;
    let standing = Standing {
        status: Status::Unbounded,
        bound: None,
        gap: None,
        remarks: Vec::new(),
    };
    let started = Instant::now();
    let findings = Findings::of(job, &plan, Vec::new(), None, standing);
    let findings = findings.map_err(|collapsed| collapsed.to_string())?;
    let dossier = Dossier::of(job, &plan, &findings);
    let row = |what: &str, pages: &str, bytes: usize, seconds: f64| {
        println!(
            "| {name} | {} | {what} | {pages} | {} | {seconds:.2} |",
            job.fixtures.len(),
            bytes / 1000
        );
    };
    row("figures", "", 0, started.elapsed().as_secs_f64());
    let (mut all_bytes, mut all_seconds) = (0, 0.0);
    for (paper, word) in PAPERS {
        let (pages, bytes, seconds) =
            written(paper, &dossier).map_err(|error| error.to_string())?;
        if let Some(folder) = std::env::var_os("OUT") {
            let path = Path::new(&folder).join(format!("{name}-{word}.pdf"));
            std::fs::write(path, &bytes).map_err(|error| error.to_string())?;
        }
        row(word, &pages.to_string(), bytes.len(), seconds);
        all_bytes += bytes.len();
        all_seconds += seconds;
    }
    row("all papers", "", all_bytes, all_seconds);
    let started = Instant::now();
    let files = drawings(&dossier, &options(), &Presentation::default());
    let files = files.map_err(|error| error.to_string())?;
    let bytes = files.iter().map(|(_, svg)| svg.len()).sum();
    let count = files.len().to_string();
    row(
        "drawings (SVG)",
        &count,
        bytes,
        started.elapsed().as_secs_f64(),
    );
    Ok(())
}

fn plan(job: &Job) -> Result<Plan, String> {
    if let Some(plan) = nearest_neighbour_chains(job)
        && check::verify(job, &plan).is_lawful()
    {
        return Ok(plan);
    }
    let settings = Settings {
        effort: Effort::Quick,
        layout: Layout::Mixed,
        seed: 1,
    };
    match solve::plan(job, &settings, &Silent) {
        Outcome::Feasible(solution) => Ok(solution.plan),
        Outcome::NotFound { unserved, .. } => {
            Err(format!("no plan found, {} left over", unserved.len()))
        }
        Outcome::Unsound { .. } => Err("the plan found fails the check".to_owned()),
    }
}

/// Number of pages, the file and seconds of a paper; the pages are counted apart from the time.
fn written(paper: Paper, dossier: &Dossier) -> Result<(usize, Vec<u8>, f64), ReportError> {
    let (options, presentation) = (options(), Presentation::default());
    let started = Instant::now();
    let bytes = write_paper(paper, dossier, &options, &presentation)?;
    let seconds = started.elapsed().as_secs_f64();
    let pages = paper_pages(paper, dossier, &options, &presentation)?;
    Ok((pages.frames.len(), bytes, seconds))
}

fn options() -> PaperOptions {
    PaperOptions {
        size: PaperSize::Letter,
        date: ReportDate::new(2026, 11, 25).expect("a day of the calendar"),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        input_hash: String::new(),
        search: "effort quick, seed 1".to_owned(),
    }
}
