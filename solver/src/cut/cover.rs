//! Inequalities that every purchase must satisfy, each from one weighting of the pieces.

use super::knapsack::Knapsack;
use super::packing::Packing;

/// `sum over kinds of carry x count >= need`: valid for every purchase that holds all pieces.
///
/// `carry[t]` is the most weight one spool of kind `t` can hold (exact), `need`
/// the weight of all pieces. Any weights `>= 0` make a valid inequality, so
/// weights may come from floating-point duals once rounded to integers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cover {
    pub(super) carry: Vec<i64>,
    pub(super) need: i128,
}

impl Cover {
    /// The inequality of these weights; one knapsack of the longest kind.
    pub(super) fn of(packing: &Packing, weights: &[i64]) -> Self {
        let longest = packing.longest();
        let solved = Knapsack::solve(&packing.sizes, &packing.demand, weights, longest, 0);
        Self::solved(packing, weights, &solved)
    }
    /// The same from a knapsack already solved for these weights and the whole demand.
    pub(super) fn solved(packing: &Packing, weights: &[i64], solved: &Knapsack) -> Self {
        let need = weights.iter().zip(&packing.demand);
        Self {
            carry: packing
                .kinds
                .iter()
                .map(|kind| solved.carry(kind.capacity))
                .collect(),
            need: need.map(|(&w, &d)| i128::from(w) * i128::from(d)).sum(),
        }
    }
    /// `need` less what these counts can carry; at most zero when satisfied.
    pub(super) fn missing(&self, counts: &[u32]) -> i128 {
        let carried = self.carry.iter().zip(counts);
        self.need
            - carried
                .map(|(&carry, &count)| i128::from(carry) * i128::from(count))
                .sum::<i128>()
    }
}

/// The inequality of the lengths themselves (with the reachable sums as capacities).
pub(super) fn by_length(packing: &Packing) -> Cover {
    Cover::of(packing, &packing.sizes)
}

/// Threshold and rounding weights against each kind on sale: the classical
/// dual-feasible functions (S. Fekete, J. Schepers, *Math. Program.* 91 (2001)
/// 11-31, from memory), here with exact capacities, hence valid for all kinds at once.
pub(super) fn by_thresholds(packing: &Packing) -> Vec<Cover> {
    const FRACTIONS: i64 = 5;
    let mut covers = Vec::new();
    for kind in packing.on_sale() {
        let capacity = packing.kinds[kind].capacity;
        for parts in 2..=FRACTIONS {
            let count = |&size: &i64| i64::from(size * parts > capacity);
            let share = |&size: &i64| (size * parts - 1).max(0) / capacity;
            covers.push(Cover::of(
                packing,
                &packing.sizes.iter().map(count).collect::<Vec<_>>(),
            ));
            covers.push(Cover::of(
                packing,
                &packing.sizes.iter().map(share).collect::<Vec<_>>(),
            ));
        }
    }
    covers.dedup();
    covers
}
