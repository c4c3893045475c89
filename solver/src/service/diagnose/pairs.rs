//! Two faults at once, by a beam.
//!
//! Effects are first taken to add up: that is right for faults on different runs and
//! ranks the rest well enough to choose which pairs are simulated together.

use super::evidence::Evidence;
use super::evidence::{Reading, squared_distance};
use super::library::Library;
use super::rank::{Explanation, Ranking, own_scale, sort};

/// Single faults that a pair may begin with.
const BEAM: usize = 16;
/// Pairs simulated.
const SIMULATED: usize = 48;
/// Prior probability of a second fault, given a first.
const SECOND: f64 = 0.05;

/// A pair by position: hypothesis and size of each, with its rough score.
#[derive(Clone, Copy)]
struct Pair {
    first: (usize, usize),
    second: (usize, usize),
    rough: f64,
}

/// Adds pairs to a ranking of single faults.
pub fn add(library: &Library<'_>, readings: &[Reading], ranking: &mut Ranking) {
    let evidence = &ranking.evidence;
    let sound = evidence.whiten(&library.sound);
    let effects: Vec<Vec<Vec<f64>>> = library
        .predicted
        .iter()
        .map(|predicted| {
            let sizes = predicted.sizes.iter();
            sizes.map(|size| evidence.whiten(&size.readings)).collect()
        })
        .collect();
    let mut pairs = Vec::new();
    for first in begin(library, evidence, &effects) {
        let target: Vec<f64> = evidence
            .read()
            .iter()
            .zip(&effects[first.0][first.1])
            .zip(&sound)
            .map(|((read, first), sound)| read - first + sound)
            .collect();
        for (index, sizes) in effects.iter().enumerate() {
            if index == first.0 {
                continue;
            }
            let best = sizes
                .iter()
                .enumerate()
                .map(|(size, effect)| (size, squared_distance(&target, effect)))
                .min_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((size, misfit)) = best {
                let prior =
                    library.predicted[first.0].log_prior + library.predicted[index].log_prior;
                pairs.push(Pair {
                    first,
                    second: (index, size),
                    rough: prior - 0.5 * misfit,
                });
            }
        }
    }
    pairs.sort_by(|a, b| b.rough.total_cmp(&a.rough));
    let mut seen: Vec<(usize, usize)> = Vec::new();
    for pair in pairs {
        let name = (
            pair.first.0.min(pair.second.0),
            pair.first.0.max(pair.second.0),
        );
        if seen.len() >= SIMULATED {
            break;
        }
        if !seen.contains(&name) {
            seen.push(name);
            ranking
                .explanations
                .extend(together(library, readings, pair));
        }
    }
    sort(&mut ranking.explanations);
}

/// The best sizes of the best single faults.
fn begin(
    library: &Library<'_>,
    evidence: &Evidence,
    effects: &[Vec<Vec<f64>>],
) -> Vec<(usize, usize)> {
    let mut found: Vec<((usize, usize), f64)> = effects
        .iter()
        .enumerate()
        .filter_map(|(index, sizes)| {
            let best = sizes
                .iter()
                .enumerate()
                .map(|(size, effect)| (size, evidence.misfit(effect)))
                .min_by(|a, b| a.1.total_cmp(&b.1))?;
            let score = library.predicted[index].log_prior - 0.5 * best.1;
            Some(((index, best.0), score))
        })
        .collect();
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    found.truncate(BEAM);
    found.into_iter().map(|(place, _)| place).collect()
}

/// Both faults simulated together, sizes improved in turn.
fn together(library: &Library<'_>, readings: &[Reading], pair: Pair) -> Option<Explanation> {
    let mut places = [pair.first, pair.second];
    let mut best = try_pair(library, readings, places)?;
    for _ in 0..2 {
        for which in 0..2 {
            let (index, size) = places[which];
            let last = library.predicted[index].sizes.len() - 1;
            for near in [size.saturating_sub(1), (size + 1).min(last)] {
                if near == size {
                    continue;
                }
                let mut tried = places;
                tried[which].1 = near;
                if let Some(found) = try_pair(library, readings, tried)
                    && found.score > best.score
                {
                    (best, places) = (found, tried);
                }
            }
        }
    }
    Some(best)
}

fn try_pair(
    library: &Library<'_>,
    readings: &[Reading],
    places: [(usize, usize); 2],
) -> Option<Explanation> {
    let faults: Vec<_> = places
        .iter()
        .map(|&(index, size)| {
            let predicted = &library.predicted[index];
            (predicted.hypothesis.fault, predicted.sizes[size].size)
        })
        .collect();
    let prediction = library.simulate(&faults)?;
    let evidence = Evidence::of(library, readings, own_scale(library, &prediction));
    let misfit = evidence.misfit(&evidence.whiten(&prediction));
    let prior: f64 = places
        .iter()
        .map(|&(index, _)| library.predicted[index].log_prior)
        .sum();
    Some(Explanation {
        faults,
        misfit,
        score: (super::rank::WRONG * SECOND).ln() + prior + evidence.log_likelihood(misfit),
        prediction,
    })
}
