//! How a plan's cable is paid for: by length, or by whole spools when the job
//! asks for that.

use crate::failure::Failure;
use duskwright_solver::bill::{CableSupply, SpoolBought, StockDrawn};
use duskwright_solver::cut::{CutEffort, CutJob, cut, cut_jobs};
use duskwright_solver::ids::CableId;
use duskwright_solver::job::{Job, Objective};
use duskwright_solver::plan::Plan;
use duskwright_solver::units::Metres;

/// Shortest remnant worth keeping, m: it changes no price, only what is called waste.
const SHORTEST_USEFUL_M: f64 = 3.0;

/// The supply that the job's objective asks for.
///
/// # Errors
/// [`Failure::Paper`] when the pieces cannot be cut from the spools on sale.
pub(crate) fn of(job: &Job, plan: &Plan) -> Result<CableSupply, Failure> {
    if job.objective != Objective::WholeSpools {
        return Ok(CableSupply::ByLength);
    }
    let useful = job.units.grid().floor(Metres::new(SHORTEST_USEFUL_M));
    let (mut bought, mut drawn) = (Vec::new(), Vec::new());
    for (cable, cut_job) in cut_jobs(job, plan, useful) {
        let (spools, remnants) = cut_one(cable, &cut_job)?;
        bought.extend(spools);
        drawn.extend(remnants);
    }
    Ok(CableSupply::BySpool { bought, drawn })
}

fn cut_one(cable: CableId, job: &CutJob) -> Result<(Vec<SpoolBought>, Vec<StockDrawn>), Failure> {
    let plan = cut(job, &CutEffort::default()).map_err(|error| Failure::Paper {
        paper: "the cutting plan",
        reason: error.to_string(),
    })?;
    let bought = job.spools.iter().zip(plan.bought(job));
    let bought = bought
        .filter(|(_, count)| *count > 0)
        .map(|(spool, count)| SpoolBought {
            cable,
            length: spool.length,
            count,
            price: spool.price,
        })
        .collect();
    let drawn = job.stock.iter().zip(plan.drawn(job));
    let drawn = drawn
        .filter(|(_, count)| *count > 0)
        .map(|(remnant, count)| StockDrawn {
            cable,
            length: remnant.length,
            count,
        })
        .collect();
    Ok((bought, drawn))
}
