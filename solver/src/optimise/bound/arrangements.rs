//! The transformers that may be bought, told apart by the sites in use and by how
//! much they deliver: a partition of all plans.
//!
//! For a set of sites `S` let `G(d)` be the least money of sites, mains and
//! transformers that deliver `d` VA. It rises in steps. A plan that delivers `D`
//! lies in exactly one range between two steps: it pays at least the money of
//! that range, and delivers no more than its upper end. Each range has a bound
//! of its own, and the least of them holds for every plan.

use super::covering::Covering;
use super::planted::Planted;
use super::sources::{Demand, has_standing, most_counted};
use crate::ids::SiteId;
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
}

/// All parts; none when there are too many sites, or nothing can feed the job.
pub(crate) fn arrangements(job: &Job, power_va: &[f64], planted: Planted) -> Vec<Arrangement> {
    let sites = job.sites.len();
    if sites > MOST_SITES || job.transformers.is_empty() {
        return Vec::new();
    }
    let demand = Demand::new(job, power_va, planted);
    let covering = Covering::new(job, demand.total_va, most_counted(sites));
    let mut parts = Vec::new();
    for mask in 1..1_usize << sites {
        let open: Vec<bool> = (0..sites).map(|s| mask >> s & 1 == 1).collect();
        let fresh: Vec<usize> = (0..sites)
            .filter(|&s| open[s] && !has_standing(job, SiteId::new(s)))
            .collect();
        let site_money: f64 = fresh
            .iter()
            .map(|&s| job.sites[s].cost.cost().value().max(0.0))
            .sum();
        let standing = demand.standing_va(mask);
        let money = |va: f64| {
            site_money + demand.transformers(&covering, mask, fresh.len(), va) + demand.mains(mask)
        };
        let levels = covering.levels(demand.total_va - standing, fresh.len(), 0);
        let mut of_mask: Vec<Arrangement> = Vec::new();
        for (index, level) in levels.iter().enumerate() {
            let cost = money((level.from_va + standing).max(demand.total_va));
            if !cost.is_finite() {
                continue;
            }
            let last = index + 1 == levels.len() || of_mask.len() + 1 == MOST_RANGES;
            let most_va = if last {
                f64::INFINITY
            } else {
                level.most_va + standing
            };
            // Ranges of the same money are one.
            match of_mask.last_mut() {
                Some(before) if before.cost >= cost => before.most_va = most_va,
                _ => of_mask.push(Arrangement {
                    open: open.clone(),
                    cost,
                    most_va,
                }),
            }
            if last {
                break;
            }
        }
        parts.append(&mut of_mask);
    }
    parts
}
