//! How a plan's cable is cut: from whole spools when the job asks for that.

use crate::failure::Failure;
use duskwright_solver::bill::CableCutting;
use duskwright_solver::check;
use duskwright_solver::cut::{CutEffort, cut, cut_jobs};
use duskwright_solver::job::{Job, Objective};
use duskwright_solver::order::cutting_refused;
use duskwright_solver::plan::Plan;

/// The cutting that the job's objective asks for; nothing where cable is paid for by length.
///
/// # Errors
/// [`Failure::Refused`] when the pieces cannot be cut from the spools on sale.
pub(crate) fn cuttings(job: &Job, plan: &Plan) -> Result<Vec<CableCutting>, Failure> {
    if job.objective != Objective::WholeSpools {
        return Ok(Vec::new());
    }
    let useful = job.units.grid().ceil(job.rates.shortest_useful);
    let cuttings: Vec<CableCutting> = cut_jobs(job, plan, useful)
        .into_iter()
        .map(|(cable, problem)| {
            let cut_plan = cut(&problem, &CutEffort::default()).map_err(|error| {
                let refusal = cutting_refused(job, plan, cable, &error);
                Failure::Refused(format!("the plan found cannot be cut: {refusal}"))
            })?;
            Ok(CableCutting {
                cable,
                problem,
                plan: cut_plan,
            })
        })
        .collect::<Result<_, Failure>>()?;
    match check::cutting(job, plan, &cuttings).first() {
        None => Ok(cuttings),
        Some(found) => Err(Failure::Refused(format!(
            "the cutting found fails the check: {found}; this is a defect of the program, please report it"
        ))),
    }
}
