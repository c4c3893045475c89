//! The whole search: chains side by side, rounds, exchange of the best.
//!
//! The number of chains and their work do not depend on the number of threads;
//! results are compared in chain order. So any number of threads gives the same plan.

use super::effort::{Effort, Observer, Progress, Settings};
use super::insert::child_random;
use super::polish::polish;
use super::pool::Pool;
use super::regions;
use super::ruin::Neighbours;
use super::scout::scout;
use super::search::{Chain, Stretch, Trial};
use crate::run::Context;
use crate::units::Cost;
use rayon::prelude::*;

/// Chains that run side by side.
const CHAINS: usize = 4;

/// What the search brought home.
pub(crate) struct Found {
    pub trial: Trial,
    /// The best of each chain: nearly as good, and different.
    pub others: Vec<Trial>,
    /// The caller asked to stop before the work was done.
    pub stopped: bool,
}

/// Rounds, and iterations per chain and round.
///
/// An iteration costs more the larger the job: its circuits are longer. The
/// table keeps the whole near the times that an estimator waits for.
fn work(effort: Effort, fixtures: usize) -> (u32, u32) {
    let (rounds, iterations) = match fixtures {
        0..=15 => (20, 240),
        16..=35 => (24, 300),
        36..=50 => (28, 500),
        51..=80 => (28, 450),
        81..=160 => (32, 800),
        _ => (48, 600),
    };
    match effort {
        Effort::Quick => (7, (iterations / 2).max(25)),
        Effort::Standard => (rounds, iterations),
        Effort::Thorough => (3 * rounds, 3 * iterations),
    }
}

/// Allowed distance above the record, as a share of the cost, at the start and
/// at the end of the search.
const WARM: f64 = 0.03;
const COOL: f64 = 0.0003;

/// What a round may go above the record: its part of one fall over the whole search.
///
/// When every round fell from warm to cool, the plan froze before its transformers were
/// settled. The fall is a cube of the share that is left: plain products, so that every
/// machine decides alike.
fn stretch_of(round: u32, rounds: u32, iterations: u32) -> Stretch {
    let after = |rounds_done: u32| {
        let left = f64::from(rounds - rounds_done) / f64::from(rounds);
        COOL + (WARM - COOL) * left * left * left
    };
    Stretch {
        iterations,
        warm: after(round),
        cool: after(round + 1),
    }
}

/// Searches for the cheapest plan.
///
/// The first rounds are the chains' own. Then the first chain goes on from the
/// best plan, and the others from an upheaval of it.
pub(crate) fn search(ctx: &Context<'_>, settings: &Settings, observer: &dyn Observer) -> Found {
    let near = Neighbours::new(ctx);
    let stop = || observer.should_stop();
    let mut chains: Vec<Chain> = (0..CHAINS)
        .map(|index| Chain::new(ctx, child_random(settings.seed, index as u64)))
        .collect();
    chains
        .par_iter_mut()
        .enumerate()
        .for_each(|(index, chain)| match &ctx.guidance.keep {
            Some(keep) if index % 2 == 0 => chain.start_from(ctx, keep),
            _ => chain.construct(ctx, index % 2 == 0),
        });
    let (rounds, iterations) = work(settings.effort, ctx.fixtures.len());
    if ctx.guidance.keep.is_none() {
        let look = stretch_of(0, rounds, iterations);
        let scouts = scout(ctx, &near, settings.seed, look, &stop);
        // The last chain stays as it was built: with every site, in random order.
        let starting = &mut chains[..CHAINS - 1];
        for (chain, start) in starting.iter_mut().zip(&scouts) {
            chain.resume(start);
        }
    }
    let own_rounds = rounds.div_ceil(5);
    let mut best = best_of(&chains).clone();
    best.state.shut = None;
    for round in 0..rounds {
        let stretch = stretch_of(round, rounds, iterations);
        if round >= own_rounds
            && round + 2 != rounds
            && by_regions(ctx, &best, round)
            && let Some(better) = work_regions(ctx, &mut chains, &near, &best, stretch, &stop)
        {
            take_if_better(&mut best, &better);
            report(observer, &best, round + 1, rounds);
            continue;
        }
        chains
            .par_iter_mut()
            .enumerate()
            .for_each(|(index, chain)| {
                if round >= own_rounds {
                    if index == 0 {
                        chain.resume(&best);
                    } else {
                        chain.upheave(ctx, &best);
                    }
                }
                chain.run(ctx, &near, stretch, &stop);
            });
        take_if_better(&mut best, best_of(&chains));
        if round + 1 >= own_rounds
            && let Some(most_links) = links_after(round, rounds)
            && let Some(found) = combine(ctx, &mut chains, &best, most_links)
        {
            take_if_better(&mut best, &found);
        }
        report(observer, &best, round + 1, rounds);
        if observer.should_stop() {
            return Found {
                trial: best,
                others: bests(chains),
                stopped: true,
            };
        }
    }
    polish(ctx, &mut best, &mut chains[0].tools, &stop);
    Found {
        trial: best,
        others: bests(chains),
        stopped: false,
    }
}

fn report(observer: &dyn Observer, best: &Trial, round: u32, rounds: u32) {
    let served_all = best.unserved.is_empty();
    observer.progress(Progress {
        incumbent: served_all.then(|| Cost::new(best.state.cost())),
        bound: None,
        done: f64::from(round) / f64::from(rounds),
    });
}

/// Fixtures from which a plan is worked on by regions.
const LARGE: usize = 50;

/// Whether a round works on regions: two of three, in large plans that serve everything.
/// Decisions may tie fixtures of different regions together.
fn by_regions(ctx: &Context<'_>, best: &Trial, round: u32) -> bool {
    ctx.fixtures.len() >= LARGE
        && best.unserved.is_empty()
        && ctx.guidance.decisions.is_empty()
        && !round.is_multiple_of(3)
}

/// Each chain works on a region of `best`; `None` when it is all one region.
fn work_regions(
    ctx: &Context<'_>,
    chains: &mut [Chain],
    near: &Neighbours,
    best: &Trial,
    stretch: Stretch,
    stop: &(dyn Fn() -> bool + Sync),
) -> Option<Trial> {
    let random = &mut chains[0].tools.random;
    let regions = regions::divide(ctx, &best.state, near, CHAINS, random);
    if regions.len() < 2 {
        return None;
    }
    let working = &mut chains[..regions.len()];
    working
        .par_iter_mut()
        .zip(&regions)
        .for_each(|(chain, region)| {
            chain.resume_in(ctx, best, region);
            chain.run(ctx, near, stretch, stop);
        });
    let made: Vec<Trial> = working.iter().map(|chain| chain.best.clone()).collect();
    let made: Vec<&Trial> = made.iter().collect();
    let whole = regions::together(ctx, best, &regions, &made, &mut chains[0].tools);
    // Where the whole does not hold, the best single region does.
    Some(whole.unwrap_or_else(|| {
        let mut single = best_of(chains).clone();
        single.state.closed = None;
        single
    }))
}

fn take_if_better(best: &mut Trial, other: &Trial) {
    if other.beats(best) {
        *best = other.clone();
        best.state.shut = None;
    }
}

/// How large a programme over the runs met so far may be after a round, in links: none while
/// the chains still look for other arrangements, small later on (where the round was not by
/// regions), and large once, before the last round works on what it brings.
fn links_after(round: u32, rounds: u32) -> Option<usize> {
    const SMALL: usize = 2_000;
    const LARGE: usize = 20_000;
    match rounds - round {
        2 => Some(LARGE),
        3..=16 => Some(SMALL),
        _ => None,
    }
}

/// The best plan that the runs of all chains make together.
fn combine(
    ctx: &Context<'_>,
    chains: &mut [Chain],
    best: &Trial,
    most_links: usize,
) -> Option<Trial> {
    if !best.unserved.is_empty() {
        return None;
    }
    let mut pool = Pool::default();
    pool.add(ctx, &best.state);
    for chain in &*chains {
        pool.add(ctx, &chain.best.state);
    }
    for chain in &*chains {
        pool.join(&chain.pool);
    }
    pool.combine(ctx, best, &mut chains[0].tools, most_links)
}

fn bests(chains: Vec<Chain>) -> Vec<Trial> {
    let open_again = |mut trial: Trial| {
        trial.state.closed = None;
        trial.state.shut = None;
        trial
    };
    let best = chains.into_iter().map(|chain| chain.best);
    best.map(open_again).collect()
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

#[cfg(test)]
mod tests {
    use super::{COOL, WARM, stretch_of};

    #[test]
    fn rounds_fall_one_after_the_other_from_warm_to_cool() {
        let rounds = 7;
        let mut above = WARM;
        for round in 0..rounds {
            let stretch = stretch_of(round, rounds, 100);
            assert!((stretch.warm - above).abs() < 1e-15 && stretch.cool < stretch.warm);
            above = stretch.cool;
        }
        assert!((above - COOL).abs() < 1e-15);
    }
}
