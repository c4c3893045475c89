//! Which sites to use: every set of them is tried before the search begins, and the
//! chains start from the best.
//!
//! Step by step the search seldom leaves a site: what hangs there would first have to
//! crowd on transformers elsewhere, which cannot be larger before it has come. A site
//! that is shut has nothing bought at it, so the rest is laid out for it from the start.

use super::insert::child_random;
use super::ruin::Neighbours;
use super::search::{Chain, Stretch, Trial};
use crate::ids::SiteId;
use crate::plan::TransformerSource;
use crate::run::Context;
use rayon::prelude::*;
use std::sync::Arc;

/// Up to so many sites every set of them is tried; of more, all and all but one.
const MOST_IN_SETS: usize = 4;

/// Share of a stretch, one in so many, after which a set that does not serve everyone is left:
/// looking for places that are not there takes longest.
const LOOK: u32 = 8;

/// Chains that scout draw from seeds apart from those of the search.
const FIRST_SEED: u64 = 1000;

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
    let sets = sets(ctx);
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

/// Sets of sites to shut.
fn sets(ctx: &Context<'_>) -> Vec<Shut> {
    let sites = ctx.job.sites.len();
    let pinned = |site: usize| {
        let decided = &ctx.guidance.decisions.transformers;
        decided.iter().any(|(at, _)| at.index() == site)
    };
    let free: Vec<usize> = (0..sites).filter(|&site| !pinned(site)).collect();
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
    // Something must be left to stand at.
    let stands = |site: usize| ctx.job.existing.iter().any(|one| one.site.index() == site);
    sets.retain(|shut| (0..sites).any(|site| !shut[site] || stands(site)));
    sets
}

/// The sites where something is bought and nothing decided beforehand.
pub(super) fn bought_at(trial: &Trial) -> Vec<SiteId> {
    let units = trial.state.units.iter().flatten();
    let bought = units.filter(|unit| matches!(unit.source, TransformerSource::New(_)));
    let mut sites: Vec<SiteId> = bought.map(|unit| unit.site).collect();
    sites.sort_unstable();
    sites.dedup();
    let decided = |site: &SiteId| {
        let units = trial.state.units.iter().flatten();
        units
            .filter(|unit| unit.pinned)
            .any(|unit| unit.site == *site)
    };
    sites.retain(|site| !decided(site));
    sites
}
