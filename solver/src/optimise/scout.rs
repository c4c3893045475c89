//! Which sites to use: every set of them is tried before the search begins, and the
//! chains start from the best.
//!
//! Step by step the search seldom leaves a site: what hangs there would first have to
//! crowd on transformers elsewhere, which cannot be larger before it has come. A site
//! that is shut has nothing bought at it, so the rest is laid out for it from the start.

use super::insert::{Tools, child_random};
use super::ruin::{self, Neighbours};
use super::search::{Chain, Stretch, Trial};
use super::state::{State, Unit};
use crate::ids::{FixtureId, SiteId};
use crate::plan::TransformerSource;
use crate::run::Context;
use rand::RngExt as _;
use rayon::prelude::*;
use std::sync::Arc;

/// Up to so many sites every set of them is tried; of more, all and all but one.
const MOST_IN_SETS: usize = 4;

/// Share of a stretch, one in so many, after which a set that does not serve everyone is left:
/// looking for places that are not there takes longest.
const LOOK: u32 = 8;

/// Chains that scout draw from seeds apart from those of the search.
const FIRST_SEED: u64 = 1000;

/// One upheaval in so many shuts a site, where several are in use.
const CLOSURES_ONE_IN: u32 = 4;

/// What is shut, by site.
type Shut = Arc<[bool]>;

/// Plans for sets of sites, the best first, each with the others still shut; none where
/// there is nothing to choose.
pub(super) fn scout(
    ctx: &Context<'_>,
    near: &Neighbours,
    seed: u64,
    stretch: Stretch,
    stop: &(dyn Fn() -> bool + Sync),
) -> Vec<Trial> {
    let sites = 0..ctx.job.sites.len();
    let decided = &ctx.guidance.decisions.transformers;
    let pinned = |site: usize| decided.iter().any(|(at, _)| at.index() == site);
    let stands = |site: usize| ctx.job.existing.iter().any(|one| one.site.index() == site);
    let pinned: Vec<bool> = sites.clone().map(pinned).collect();
    let stands: Vec<bool> = sites.map(stands).collect();
    let sets = sets(&pinned, &stands);
    let look = Stretch {
        iterations: stretch.iterations / LOOK,
        ..stretch
    };
    let mut tried: Vec<Trial> = (sets.into_par_iter().enumerate())
        .filter_map(|(index, shut)| {
            let random = child_random(seed, FIRST_SEED + index as u64);
            let mut chain = Chain::new(ctx, random);
            chain.shut(&shut);
            chain.construct(ctx, true);
            chain.run(ctx, near, look, stop);
            if !chain.best.unserved.is_empty() {
                return None;
            }
            chain.run(ctx, near, stretch, stop);
            Some(chain.best)
        })
        .collect();
    // Stable: the earlier set wins ties.
    tried.sort_by(|one, other| match (one.beats(other), other.beats(one)) {
        (true, _) => std::cmp::Ordering::Less,
        (_, true) => std::cmp::Ordering::Greater,
        _ => std::cmp::Ordering::Equal,
    });
    tried
}

/// Sets of sites to shut: none of those where something is decided (`pinned`), and never all
/// unless something `stands` at one of them. By site, both.
fn sets(pinned: &[bool], stands: &[bool]) -> Vec<Shut> {
    let sites = pinned.len();
    let free: Vec<usize> = (0..sites).filter(|&site| !pinned[site]).collect();
    let shut = |chosen: &dyn Fn(usize) -> bool| -> Shut {
        let is_shut = |site: usize| free.iter().position(|&at| at == site).is_some_and(chosen);
        (0..sites).map(is_shut).collect()
    };
    let mut sets: Vec<Shut> = if sites < 2 {
        Vec::new()
    } else if sites <= MOST_IN_SETS {
        let masks = 0..1_usize << free.len();
        masks.map(|mask| shut(&|at| mask >> at & 1 == 1)).collect()
    } else {
        let one = (0..free.len()).map(|only| shut(&|at| at == only));
        std::iter::once(shut(&|_| false)).chain(one).collect()
    };
    sets.retain(|shut| (0..sites).any(|site| !shut[site] || stands[site]));
    sets
}

/// Now and then takes out what hangs on transformers bought at one of several sites in use, and
/// shuts that site; the fixtures to serve anew. `None` mostly, and where only one is in use.
pub(super) fn shut_one(
    ctx: &Context<'_>,
    state: &mut State,
    tools: &mut Tools,
) -> Option<Vec<FixtureId>> {
    let used = bought_at(state);
    if used.len() < 2 || tools.random.random_range(0..CLOSURES_ONE_IN) > 0 {
        return None;
    }
    let site = used[tools.random.random_range(0..used.len())];
    let bought_here = |unit: Unit| unit.site == site && is_bought(&unit);
    let here = state
        .placed()
        .filter(|(_, placed)| state.units[placed.unit].is_some_and(bought_here));
    let mut gone: Vec<FixtureId> = here
        .flat_map(|(_, placed)| placed.run.shape.leads.iter().map(|lead| lead.fixture))
        .collect();
    ruin::take_out(ctx, state, tools, &mut gone);
    let sites = 0..ctx.job.sites.len();
    state.shut = Some(sites.map(|at| at == site.index()).collect());
    state.settle_units(ctx);
    Some(gone)
}

/// The sites where something is bought and nothing decided beforehand.
fn bought_at(state: &State) -> Vec<SiteId> {
    let units = || state.units.iter().flatten();
    let mut sites: Vec<SiteId> = units()
        .filter(|unit| is_bought(unit))
        .map(|unit| unit.site)
        .collect();
    sites.sort_unstable();
    sites.dedup();
    sites.retain(|site| !units().any(|unit| unit.pinned && unit.site == *site));
    sites
}

const fn is_bought(unit: &Unit) -> bool {
    matches!(unit.source, TransformerSource::New(_))
}

#[cfg(test)]
mod tests {
    use super::sets;

    fn shut(pinned: &[bool], stands: &[bool]) -> Vec<Vec<usize>> {
        let of = |shut: &[bool]| (0..shut.len()).filter(|&site| shut[site]).collect();
        sets(pinned, stands).iter().map(|one| of(one)).collect()
    }

    #[test]
    fn every_set_of_few_sites_and_all_but_one_of_many() {
        assert_eq!(shut(&[false], &[false]), Vec::<Vec<usize>>::new());
        assert_eq!(shut(&[false; 2], &[false; 2]), [vec![], vec![0], vec![1]]);
        assert_eq!(shut(&[false; 4], &[false; 4]).len(), 15);
        let many = shut(&[false; 6], &[false; 6]);
        assert_eq!(many.len(), 7);
        assert!(many.iter().all(|one| one.len() < 2));
    }

    #[test]
    fn what_is_decided_stays_open_and_all_are_shut_only_where_something_stands() {
        assert_eq!(shut(&[true, false], &[false; 2]), [vec![], vec![1]]);
        let standing = shut(&[false; 2], &[true, false]);
        assert_eq!(standing, [vec![], vec![0], vec![1], vec![0, 1]]);
    }
}
