//! What the cable of a plan costs in whole spools.

use crate::cut::{CutEffort, cut, cut_jobs};
use crate::job::Job;
use crate::plan::Plan;
use crate::tariff::Tariff;
use crate::units::{Cost, Metres};

/// Shortest remnant called useful, m: it changes no price.
const SHORTEST_USEFUL_M: f64 = 3.0;

/// Price of the spools that a plan's cable takes, stock drawn first; cable that
/// neither spool nor stock supplies by length. `None` when a piece is longer than
/// every spool.
pub(super) fn cable_cost(job: &Job, plan: &Plan) -> Option<Cost> {
    let useful = job.units.grid().floor(Metres::new(SHORTEST_USEFUL_M));
    let tariff = Tariff::new(job);
    let mut cost = Cost::ZERO;
    for (cable, problem) in cut_jobs(job, plan, useful) {
        if problem.spools.is_empty() && problem.stock.is_empty() {
            let pieces = problem.pieces.iter();
            let metres = pieces.map(|piece| job.units.grid().metres(piece.length));
            cost += tariff.cable(cable, metres.sum());
        } else {
            cost += cut(&problem, &CutEffort::default()).ok()?.cost.cost();
        }
    }
    Some(cost)
}
