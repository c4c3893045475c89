//! `duskwright plan`: read, search, check, write.

use crate::args::PlanArguments;
use crate::command::verify::Opinion;
use crate::command::{print, print_json};
use crate::console;
use crate::contender::{self, Contender};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::guidance;
use crate::planning::{Made, Planned, Planning};
use crate::reading;
use crate::settings::PlanSettings;
use crate::staging::{self, Target};
use crate::summary::Summary;
use crate::unserved::Unserved;
use crate::watch::{Ended, Watch};
use duskwright_report::Alternative;
use duskwright_solver::job::{Job, Objective};
use duskwright_solver::optimise::Settings;
use duskwright_solver::run::Guidance;
use duskwright_solver::schedule::Compared;
use duskwright_solver::solve::Outcome;
use duskwright_solver::units::Money;

/// Plans a job.
///
/// # Errors
/// [`Failure`] when the words, the job or the place for the results are
/// refused, or something cannot be read or written.
pub(crate) fn run(arguments: &PlanArguments) -> Result<Exit, Failure> {
    let settings = PlanSettings::read(arguments)?;
    let target = Target::find(&arguments.out, &staging::PLAN)?;
    let reading = reading::read(&arguments.job)?;
    let mut planning = Planning::of(&reading, &settings)?;
    planning.guide(guidance::read(arguments, &reading.job, planning.layout())?);
    let contenders = match &arguments.alternatives {
        Some(path) => contender::named(&reading.job, path)?,
        None => Vec::new(),
    };
    reading.say_notices();
    if reading.job.objective == Objective::WholeSpools {
        console::talk(
            "The job pays for whole spools. The search weighs cable at its price by length; the \
             cheapest of its best plans by spools is taken.",
        );
    }
    start_threads(settings.threads)?;
    if let Some(told) = planning.unservable() {
        return say_none(arguments, &told);
    }
    let watch = Watch::start(settings.time_limit, &reading.job.currency);
    let outcome = planning.search(&watch);
    if matches!(outcome, Outcome::Feasible(_)) {
        planning.offer(priced(contenders, planning.asked(), &watch)?);
    }
    let ended = watch.finish();
    match planning.made(outcome, ended.stopped)? {
        Planned::Feasible(made) => {
            target.write(&made.files)?;
            tell(arguments, &made, ended)?;
            Ok(Exit::Feasible)
        }
        Planned::Unserved(told) => say_none(arguments, &told),
        Planned::Unsound(opinion) => reject(arguments, &opinion, &reading.job),
    }
}

/// The alternatives that have a plan, with their prices; says which have none.
fn priced(
    contenders: Vec<Contender>,
    asked: Settings,
    watch: &Watch,
) -> Result<Vec<Alternative>, Failure> {
    let mut priced = Vec::new();
    for one in contenders {
        let search = Settings {
            layout: one.layout,
            ..asked
        };
        match contender::plan(&one.job, &search, &Guidance::default(), watch)?.0 {
            Compared::Planned(planned) => priced.push(Alternative {
                name: one.name,
                difference: one.difference,
                transformers: planned.transformers,
                ground: planned.opened,
                price: Money::new(planned.price),
            }),
            Compared::None(why) => console::talk(&format!(
                "The bid leaves out the alternative `{}`: {why}.",
                one.name
            )),
        }
    }
    Ok(priced)
}

/// Makes the one pool of threads that every parallel stage uses.
pub(super) fn start_threads(count: Option<usize>) -> Result<(), Failure> {
    let mut pool = rayon::ThreadPoolBuilder::new();
    if let Some(count) = count {
        pool = pool.num_threads(count);
    }
    pool.build_global()
        .map_err(|error| Failure::Refused(format!("cannot start the threads asked for: {error}")))
}

/// No plan: says which fixtures are unserved and what to do next.
fn say_none(arguments: &PlanArguments, told: &Unserved) -> Result<Exit, Failure> {
    if arguments.json {
        print_json(told)?;
    } else {
        print(&told.text())?;
    }
    Ok(told.exit())
}

/// A plan that fails the check is told, never written.
fn reject(arguments: &PlanArguments, opinion: &Opinion, job: &Job) -> Result<Exit, Failure> {
    if arguments.json {
        print_json(opinion)?;
    } else {
        print(&opinion.text("the plan found", job))?;
    }
    console::talk("The plan found fails the check: a defect of this program. Nothing was written.");
    Ok(Exit::CheckFailed)
}

fn tell(arguments: &PlanArguments, made: &Made, ended: Ended) -> Result<(), Failure> {
    // The folder as the user named it; it exists by now.
    let names = made.files.iter().map(|(name, _)| name.as_str());
    let mut summary = Summary::of(&made.dossier, ended.stopped, &arguments.out, names);
    summary.changed.clone_from(&made.changed);
    if arguments.json {
        print_json(&summary)?;
    } else {
        print(&summary.text())?;
    }
    console::talk(&format!("planned in {:.1} s", ended.elapsed.as_secs_f64()));
    Ok(())
}
