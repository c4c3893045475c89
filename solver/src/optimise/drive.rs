//! The whole search: chains side by side, rounds, exchange of the best.
//!
//! The number of chains and their work do not depend on the number of threads;
//! results are compared in chain order. So any number of threads gives the same plan.

use super::effort::{Effort, Observer, Progress, Settings};
use super::insert::child_random;
use super::master::Pool;
use super::ruin::Neighbours;
use super::search::{Chain, Stretch, Trial};
use crate::run::Context;
use crate::units::Cost;
use rayon::prelude::*;

/// Chains that run side by side.
const CHAINS: usize = 4;

/// What the search brought home.
pub(crate) struct Found {
    pub trial: Trial,
    /// The caller asked to stop before the work was done.
    pub stopped: bool,
}

/// Rounds and iterations per chain and round.
fn work(effort: Effort, fixtures: usize) -> (u32, u32) {
    let size = fixtures.max(4) as u32;
    match effort {
        Effort::Quick => (2, 40 + 10 * size),
        Effort::Standard => (8, 60 + 30 * size),
        Effort::Thorough => (20, 100 + 80 * size),
    }
}

/// Searches for the cheapest plan.
pub(crate) fn search(ctx: &Context<'_>, settings: &Settings, observer: &dyn Observer) -> Found {
    let near = Neighbours::new(ctx);
    let stop = || observer.should_stop();
    let mut chains: Vec<Chain> = (0..CHAINS)
        .map(|index| Chain::new(ctx, child_random(settings.seed, index as u64)))
        .collect();
    chains
        .par_iter_mut()
        .enumerate()
        .for_each(|(index, chain)| chain.construct(ctx, index % 2 == 0));
    let (rounds, iterations) = work(settings.effort, ctx.fixtures.len());
    for round in 0..rounds {
        let share = |done: u32| f64::from(done) / f64::from(rounds);
        let warm = |share: f64| 0.03 * (1.0 - share) * (1.0 - share);
        let stretch = Stretch {
            iterations,
            warm: warm(share(round)),
            cool: warm(share(round + 1)),
        };
        chains
            .par_iter_mut()
            .for_each(|chain| chain.run(ctx, &near, stretch, &stop));
        combine(ctx, &mut chains);
        let best = best_of(&chains).clone();
        // The weakest half goes on from the best; the others keep their own way.
        if round % 2 == 1 {
            let mut order: Vec<usize> = (0..chains.len()).collect();
            order.sort_by(|&x, &y| {
                let key = |chain: &Chain| (chain.best.unserved.len(), chain.best.state.cost());
                let ((x_left, x_cost), (y_left, y_cost)) = (key(&chains[x]), key(&chains[y]));
                x_left
                    .cmp(&y_left)
                    .then(x_cost.total_cmp(&y_cost))
                    .then(x.cmp(&y))
            });
            for &weak in &order[order.len() / 2..] {
                chains[weak].current = best.clone();
                chains[weak].best = best.clone();
            }
        }
        let served_all = best.unserved.is_empty();
        observer.progress(Progress {
            incumbent: served_all.then(|| Cost::new(best.state.cost())),
            bound: None,
            done: share(round + 1),
        });
        if observer.should_stop() {
            return Found {
                trial: best,
                stopped: true,
            };
        }
    }
    Found {
        trial: best_of(&chains).clone(),
        stopped: false,
    }
}

/// Puts the runs of all chains together and hands a better plan to the weakest chain.
fn combine(ctx: &Context<'_>, chains: &mut [Chain]) {
    let best = best_of(chains).clone();
    if !best.unserved.is_empty() {
        return;
    }
    let mut pool = Pool::default();
    for chain in &*chains {
        pool.add(&chain.best.state);
    }
    for chain in &*chains {
        pool.add(&chain.current.state);
        pool.join(&chain.pool);
    }
    let weakest = (0..chains.len())
        .max_by(|&x, &y| {
            chains[x]
                .best
                .state
                .cost()
                .total_cmp(&chains[y].best.state.cost())
        })
        .expect("there is always a chain");
    let tools = &mut chains[weakest].tools;
    if let Some(found) = pool
        .combine(ctx, &best, tools)
        .filter(|found| found.beats(&best))
    {
        chains[weakest].current = found.clone();
        chains[weakest].best = found;
    }
}

/// The best trial; the first chain wins ties.
fn best_of(chains: &[Chain]) -> &Trial {
    let mut best = &chains[0].best;
    for chain in &chains[1..] {
        if chain.best.beats(best) {
            best = &chain.best;
        }
    }
    best
}
