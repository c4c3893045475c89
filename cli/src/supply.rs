//! How a plan's cable is cut: from whole spools when the job asks for that.

use crate::failure::Failure;
use duskwright_solver::bill::CableCutting;
use duskwright_solver::cut::{CutEffort, cut, cut_jobs};
use duskwright_solver::job::{Job, Objective};
use duskwright_solver::plan::Plan;
use duskwright_solver::units::Metres;

/// Shortest remnant worth keeping, m: it changes no price, only what is called waste.
const SHORTEST_USEFUL_M: f64 = 3.0;

/// The cutting that the job's objective asks for; nothing where cable is paid for by length.
///
/// # Errors
/// [`Failure::Paper`] when the pieces cannot be cut from the spools on sale.
pub(crate) fn cuttings(job: &Job, plan: &Plan) -> Result<Vec<CableCutting>, Failure> {
    if job.objective != Objective::WholeSpools {
        return Ok(Vec::new());
    }
    let useful = job.units.grid().floor(Metres::new(SHORTEST_USEFUL_M));
    cut_jobs(job, plan, useful)
        .into_iter()
        .map(|(cable, problem)| {
            let plan = cut(&problem, &CutEffort::default()).map_err(|error| Failure::Paper {
                paper: "the cutting plan",
                reason: format!("cable {}: {error}", job.cable(cable).tag),
            })?;
            Ok(CableCutting {
                cable,
                problem,
                plan,
            })
        })
        .collect()
}
