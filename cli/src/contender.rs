//! Other ways to do a job, each planned to stand beside the others: read from a file
//! of alternatives, planned, and said what came of it.

use crate::failure::Failure;
use crate::folder::read_text;
use crate::planning::{losses, standing};
use crate::supply;
use crate::watch::Watch;
use duskwright_solver::alternative::{self, Alternative, AlternativeFault};
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::leftover::{Balance, Resource, State};
use duskwright_solver::optimise::{Observer, Progress, Settings, bound};
use duskwright_solver::run::Guidance;
use duskwright_solver::schedule::{Compared, Dossier, Findings, Planned};
use duskwright_solver::solve::{self, Outcome, Solution};
use std::path::Path;

/// A way to do the job.
pub(crate) struct Contender {
    /// Its name.
    pub(crate) name: String,
    /// What a client reads of it; may be empty.
    pub(crate) difference: String,
    /// The job as this way has it.
    pub(crate) job: Job,
    /// Layout of its circuits.
    pub(crate) layout: Layout,
}

/// The named alternatives of a file.
///
/// # Errors
/// [`Failure`] when the file cannot be read or does not fit the job.
pub(crate) fn named(job: &Job, path: &Path) -> Result<Vec<Contender>, Failure> {
    let refused = |reason: String| Failure::Refused(format!("{}: {reason}", path.display()));
    let text = read_text(path)?;
    let named = alternative::read(&text).map_err(|fault| refused(fault.to_string()))?;
    let contenders = named.iter().map(|one| contender(job, one));
    contenders
        .collect::<Result<_, _>>()
        .map_err(|fault| refused(fault.to_string()))
}

fn contender(job: &Job, one: &Alternative) -> Result<Contender, AlternativeFault> {
    Ok(Contender {
        name: one.name.clone(),
        difference: one.difference.clone().unwrap_or_default(),
        layout: one.layout.unwrap_or(Layout::Mixed),
        job: one.of(job)?,
    })
}

/// What planning one column leads to, with the solution when there is one.
/// # Errors
/// [`Failure`] when the plan found cannot be cut.
pub(crate) fn plan(
    job: &Job,
    search: &Settings,
    guidance: &Guidance,
    watch: &Watch,
) -> Result<(Compared, Option<Box<Solution>>), Failure> {
    let allowed = job.rules.layouts;
    let open = match search.layout {
        Layout::Chain => allowed.chain,
        Layout::Hub => allowed.hub,
        // Where mixed is not allowed the search takes the cheaper of the others.
        Layout::Mixed => true,
    };
    if !open {
        return Ok(none("the job's rules do not allow this layout"));
    }
    let unservable = bound::unservable(job);
    if let Some(first) = unservable.first() {
        let tag = &job.fixture(first.fixture).tag;
        let more = match unservable.len() {
            1 => String::new(),
            count => format!(" and {} more", count - 1),
        };
        return Ok(none(&format!("proven: no plan can serve {tag}{more}")));
    }
    match solve::plan_guided(job, search, guidance, &Stopping(watch)) {
        Outcome::Feasible(solution) => {
            let cuttings = supply::cuttings(job, &solution.plan)?;
            let standing = standing(job, &solution, None);
            let found = Findings::of(
                job,
                &solution.plan,
                cuttings,
                losses(job, &solution),
                standing,
            );
            Ok(match found {
                Err(collapsed) => none(&collapsed.to_string()),
                Ok(findings) => {
                    let dossier = Dossier::of(job, &solution.plan, &findings);
                    let planned = Compared::Planned(Box::new(Planned::of(&dossier)));
                    (planned, Some(solution))
                }
            })
        }
        Outcome::NotFound {
            unserved, leftover, ..
        } => Ok(none(&format!(
            "no plan found; {} left over{}",
            crate::summary::counted(unserved.len(), "fixture"),
            scarce(&leftover.balances)
        ))),
        Outcome::Unsound { .. } => Ok(none(
            "the plan found fails the check: a defect of this program",
        )),
    }
}

/// What the job as a whole has too little of, or hardly enough: in brackets, or nothing.
fn scarce(balances: &[Balance]) -> String {
    let short = |balance: &&Balance| balance.state() != State::Ample;
    let words: Vec<String> = balances
        .iter()
        .filter(short)
        .map(|balance| {
            let (what, unit) = match balance.resource {
                Resource::TransformerLoad => ("load on transformers", " VA"),
                Resource::Mains => ("load on the mains", " VA"),
                Resource::Positions => ("transformers", " places"),
                Resource::Lugs => ("circuits", " lugs"),
            };
            let (needed, offered) = (balance.needed, balance.offered);
            format!("{what}: at least {needed:.0} for at most {offered:.0}{unit}")
        })
        .collect();
    if words.is_empty() {
        String::new()
    } else {
        format!(" ({})", words.join("; "))
    }
}

fn none(why: &str) -> (Compared, Option<Box<Solution>>) {
    (Compared::None(why.to_owned()), None)
}

/// Passes on only the wish to stop: several searches share one watch.
struct Stopping<'w>(&'w Watch);

impl Observer for Stopping<'_> {
    fn progress(&self, _progress: Progress) {}
    fn should_stop(&self) -> bool {
        self.0.should_stop()
    }
}
