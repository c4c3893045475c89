//! Constructions: pieces into a given set of spools, and a first purchase.

use super::knapsack::Knapsack;
use super::packing::{Load, Packing, Pattern};
use super::subset::fullest_sum;

/// What a construction placed and what it left.
#[derive(Clone, Debug)]
pub(super) struct Filled {
    pub(super) loads: Vec<Load>,
    /// Pieces of each class not placed.
    pub(super) left: Vec<u32>,
}

impl Filled {
    /// The loads, if nothing was left.
    pub(super) fn complete(self) -> Option<Vec<Load>> {
        self.left
            .iter()
            .all(|&count| count == 0)
            .then_some(self.loads)
    }
    /// The largest room left on any of `counts` spools.
    pub(super) fn largest_room(&self, packing: &Packing, counts: &[u32]) -> i64 {
        let mut unused = counts.to_vec();
        let mut room = 0;
        for load in &self.loads {
            unused[load.kind] -= 1;
            let used = i64::try_from(load.pattern.total(&packing.sizes)).unwrap_or(i64::MAX);
            room = room.max(packing.kinds[load.kind].capacity - used);
        }
        let empty = (0..unused.len()).filter(|&kind| unused[kind] > 0);
        empty
            .map(|kind| packing.kinds[kind].capacity)
            .fold(room, i64::max)
    }
}

/// Tries to pack `demand` into `counts` spools of each kind: best fit, fill by
/// subset sums from the short and from the long end, then `rounds` of sequential value correction.
pub(super) fn pack(
    packing: &Packing,
    demand: &[u32],
    counts: &[u32],
    rounds: u32,
) -> Option<Vec<Load>> {
    let mut spools: Vec<usize> = spools_of(counts);
    if let Some(loads) = best_fit(packing, demand, &spools).complete() {
        return Some(loads);
    }
    spools.sort_by_key(|&kind| packing.kinds[kind].capacity);
    for _ in 0..2 {
        if let Some(loads) = subset_fill(packing, demand, &spools).complete() {
            return Some(loads);
        }
        spools.reverse();
    }
    value_correction(packing, demand, &spools, rounds)
}

/// Kind of every single spool.
pub(super) fn spools_of(counts: &[u32]) -> Vec<usize> {
    let each = counts.iter().enumerate();
    each.flat_map(|(kind, &count)| std::iter::repeat_n(kind, count as usize))
        .collect()
}

/// Best-fit decreasing: each piece, longest first, to the spool with the least room that takes it.
pub(super) fn best_fit(packing: &Packing, demand: &[u32], spools: &[usize]) -> Filled {
    let mut room: Vec<i64> = spools
        .iter()
        .map(|&kind| packing.kinds[kind].capacity)
        .collect();
    let mut parts = vec![Vec::new(); spools.len()];
    let mut left = demand.to_vec();
    for (class, &size) in packing.sizes.iter().enumerate() {
        while left[class] > 0 {
            let open = room.iter().enumerate().filter(|&(_, &room)| room >= size);
            let Some((spool, _)) = open.min_by_key(|&(spool, &room)| (room, spool)) else {
                break;
            };
            room[spool] -= size;
            parts[spool].push((u32::try_from(class).unwrap_or(u32::MAX), 1));
            left[class] -= 1;
        }
    }
    let patterns = parts.into_iter().map(Pattern::new);
    Filled {
        loads: loads(spools, patterns),
        left,
    }
}

fn loads(spools: &[usize], patterns: impl Iterator<Item = Pattern>) -> Vec<Load> {
    let all = spools.iter().zip(patterns);
    all.map(|(&kind, pattern)| Load { kind, pattern })
        .filter(|load| !load.pattern.is_empty())
        .collect()
}

/// Spool by spool: the longest piece that fits, then the fullest completion by an exact subset sum.
pub(super) fn subset_fill(packing: &Packing, demand: &[u32], spools: &[usize]) -> Filled {
    let mut left = demand.to_vec();
    let mut patterns = Vec::with_capacity(spools.len());
    for &kind in spools {
        let pattern = fullest(&packing.sizes, &left, packing.kinds[kind].capacity);
        take(&mut left, &pattern);
        patterns.push(pattern);
    }
    Filled {
        loads: loads(spools, patterns.into_iter()),
        left,
    }
}

/// Takes the pieces of a pattern off what is left.
pub(super) fn take(left: &mut [u32], pattern: &Pattern) {
    for (class, count) in pattern.parts() {
        left[class] -= count;
    }
}

/// The fullest pattern that contains the longest piece left that fits.
fn fullest(sizes: &[i64], left: &[u32], capacity: i64) -> Pattern {
    let seed = (0..sizes.len()).find(|&class| left[class] > 0 && sizes[class] <= capacity);
    let Some(seed) = seed else {
        return Pattern::default();
    };
    let mut rest = left.to_vec();
    rest[seed] -= 1;
    let mut parts = fullest_sum(sizes, &rest, capacity - sizes[seed]);
    parts.push((u32::try_from(seed).unwrap_or(u32::MAX), 1));
    Pattern::new(parts)
}

/// Sequential value correction: spools are filled in turn by the most valuable
/// pattern; pieces that ended on badly used spools become more valuable in the next round.
fn value_correction(
    packing: &Packing,
    demand: &[u32],
    spools: &[usize],
    rounds: u32,
) -> Option<Vec<Load>> {
    /// Fixed-point scale of a value.
    const SCALE: f64 = 256.0;
    let mut value: Vec<f64> = packing
        .sizes
        .iter()
        .map(|&size| size as f64 * SCALE)
        .collect();
    let mut order = spools.to_vec();
    for round in 0..rounds {
        let weights: Vec<i64> = value.iter().map(|&value| value as i64).collect();
        let mut left = demand.to_vec();
        let mut patterns = Vec::with_capacity(order.len());
        for (position, &kind) in order.iter().enumerate() {
            let wanted: i64 = packing
                .sizes
                .iter()
                .zip(&left)
                .map(|(&size, &count)| size * i64::from(count))
                .sum();
            if wanted == 0 {
                break;
            }
            let capacity = packing.kinds[kind].capacity.min(wanted);
            let solved = Knapsack::solve(&packing.sizes, &left, &weights, capacity, position);
            let pattern = solved.pattern(capacity);
            take(&mut left, &pattern);
            let used = pattern.total(&packing.sizes) as f64;
            // Step length after Belov and Scheithauer: a half of the correction each time.
            for (class, _) in pattern.parts() {
                let fair = packing.sizes[class] as f64 * SCALE * capacity as f64 / used;
                value[class] = f64::midpoint(
                    value[class],
                    fair * fair / (packing.sizes[class] as f64 * SCALE),
                );
            }
            patterns.push(pattern);
        }
        for (class, _) in left.iter().enumerate().filter(|&(_, &count)| count > 0) {
            value[class] *= 1.1;
        }
        let filled = Filled {
            loads: loads(&order, patterns.into_iter()),
            left,
        };
        if let Some(loads) = filled.complete() {
            return Some(loads);
        }
        if round % 2 == 1 {
            order.reverse();
        }
    }
    None
}

/// A first purchase for `demand` beside the stock `counts`: for each kind on
/// sale a filling with it, longer kinds where a piece needs one, each load then moved
/// to the cheapest kind that holds it. `None` when some piece fits no kind on sale.
pub(super) fn first_purchase(
    packing: &Packing,
    demand: &[u32],
    counts: &[u32],
) -> Option<Vec<Load>> {
    let stock = subset_fill(packing, demand, &spools_of(counts));
    packing
        .on_sale()
        .filter_map(|main| {
            let mut loads = stock.loads.clone();
            loads.extend(bought(packing, &stock.left, main)?);
            Some(loads)
        })
        .min_by_key(|loads| packing.cost(loads))
        .or_else(|| stock.complete())
}

fn bought(packing: &Packing, demand: &[u32], main: usize) -> Option<Vec<Load>> {
    let mut left = demand.to_vec();
    let mut loads = Vec::new();
    while let Some(longest) = left.iter().position(|&count| count > 0) {
        let size = packing.sizes[longest];
        let kind = if packing.kinds[main].capacity >= size {
            main
        } else {
            cheapest_for(packing, size)?
        };
        let pattern = fullest(&packing.sizes, &left, packing.kinds[kind].capacity);
        take(&mut left, &pattern);
        let used = i64::try_from(pattern.total(&packing.sizes)).unwrap_or(i64::MAX);
        loads.push(Load {
            kind: cheapest_for(packing, used).unwrap_or(kind),
            pattern,
        });
    }
    Some(loads)
}

/// The cheapest kind on sale of at least this length.
fn cheapest_for(packing: &Packing, length: i64) -> Option<usize> {
    packing
        .on_sale()
        .filter(|&kind| packing.kinds[kind].capacity >= length)
        .min_by_key(|&kind| packing.kinds[kind].cost)
}
