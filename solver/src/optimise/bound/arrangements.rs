//! The transformers that may be bought, told apart by the sites in use and by how
//! much they deliver: a partition of all plans.
//!
//! A plan that uses exactly the sites `S` has bought a fleet that may deliver so many VA. What
//! fleets for `S` cost at least rises in steps with what they may deliver, so a plan's fleet
//! lies in exactly one range between two steps: the plan pays at least the money of that
//! range, and delivers no more than its upper end. Each range has a bound of its own, and the
//! least of them holds for every plan.

use super::planted::Planted;
use super::sources::{Demand, FleetsByStanding};
use crate::job::Job;

/// Above this many sites plans are not told apart.
const MOST_SITES: usize = 4;

/// Ranges told apart for one set of sites; the last has no upper end.
const MOST_RANGES: usize = 10;

/// One part of the partition.
#[derive(Clone, Debug)]
pub(crate) struct Arrangement {
    /// Sites that may be in use.
    pub open: Vec<bool>,
    /// Least money of sites, mains and transformers.
    pub cost: f64,
    /// Most VA that the transformers deliver.
    pub most_va: f64,
    /// At most their rated VA, each over the volts that its source falls by at rated load.
    pub source_firmness: f64,
}

/// All parts; none when there are too many sites, or nothing can feed the job.
pub(crate) fn arrangements(job: &Job, power_va: &[f64], planted: Planted) -> Vec<Arrangement> {
    let sites = job.sites.len();
    if sites > MOST_SITES || job.transformers.is_empty() {
        return Vec::new();
    }
    let demand = Demand::new(job, power_va, planted);
    let mut fleets = FleetsByStanding::new(&demand);
    let mut parts = Vec::new();
    for mask in 1..1_usize << sites {
        let standing = demand.standing_va(mask);
        let costs = demand.costs(fleets.of(standing), mask);
        let standing = standing.unwrap_or(0.0);
        let levels = costs.levels(demand.total_va - standing);
        let told_apart = levels.iter().take(MOST_RANGES).enumerate();
        parts.extend(told_apart.map(|(index, level)| {
            let most_va = match index + 1 == MOST_RANGES {
                true => f64::INFINITY,
                false => level.most_va,
            };
            Arrangement {
                open: (0..sites).map(|s| mask >> s & 1 == 1).collect(),
                cost: level.cost,
                most_va: most_va + standing,
                source_firmness: demand.source_firmness(mask, most_va),
            }
        }));
    }
    parts
}
