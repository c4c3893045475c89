//! The bare packing problem: classes of equal lengths, kinds of spools. No
//! names, no pulls; [`super::solve`] translates both ways.

/// How many pieces of which classes lie on one spool: `(class, count)`, by class, counts > 0.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pattern(Vec<(u32, u32)>);

impl Pattern {
    /// Adds up equal classes and sorts.
    pub(super) fn new(mut parts: Vec<(u32, u32)>) -> Self {
        parts.sort_unstable();
        let mut merged: Vec<(u32, u32)> = Vec::with_capacity(parts.len());
        for (class, count) in parts {
            match merged.last_mut() {
                Some(last) if last.0 == class => last.1 += count,
                _ if count > 0 => merged.push((class, count)),
                _ => {}
            }
        }
        Self(merged)
    }
    /// `(class, count)` in class order.
    pub(super) fn parts(&self) -> impl Iterator<Item = (usize, u32)> {
        self.0.iter().map(|&(class, count)| (class as usize, count))
    }
    /// Whether nothing lies on it.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
    /// Sum of `values` over its pieces.
    pub(super) fn total(&self, values: &[i64]) -> i128 {
        self.parts()
            .map(|(class, count)| i128::from(values[class]) * i128::from(count))
            .sum()
    }
    /// No more of any class than is still wanted.
    pub(super) fn trimmed(&self, demand: &[u32]) -> Self {
        Self(
            self.0
                .iter()
                .map(|&(class, count)| (class, count.min(demand[class as usize])))
                .filter(|&(_, count)| count > 0)
                .collect(),
        )
    }
}

/// A kind of spool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Kind {
    /// Length.
    pub(super) capacity: i64,
    /// Price in whole units of the finest decimal; 0 for stock.
    pub(super) cost: i64,
    /// How many there are; `None`: any number on sale.
    pub(super) limit: Option<u32>,
}

/// A filled spool.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Load {
    /// Its kind.
    pub(super) kind: usize,
    /// What lies on it.
    pub(super) pattern: Pattern,
}

impl Load {
    /// The same load with class `i` called `classes[i]` (rising).
    pub(super) fn renumbered(&self, classes: &[usize]) -> Self {
        let parts = self.pattern.parts();
        let renamed =
            parts.map(|(class, count)| (u32::try_from(classes[class]).unwrap_or(u32::MAX), count));
        Self {
            kind: self.kind,
            pattern: Pattern::new(renamed.collect()),
        }
    }
}

/// A packing problem.
#[derive(Clone, Debug)]
pub(super) struct Packing {
    /// Lengths, falling, distinct, > 0.
    pub(super) sizes: Vec<i64>,
    /// How many of each.
    pub(super) demand: Vec<u32>,
    /// Kinds: stock by rising length, then kinds on sale (price > 0), none both shorter and dearer than another.
    pub(super) kinds: Vec<Kind>,
}

impl Packing {
    /// Longest kind.
    pub(super) fn longest(&self) -> i64 {
        self.kinds
            .iter()
            .map(|kind| kind.capacity)
            .max()
            .unwrap_or(0)
    }
    /// Kinds on sale.
    pub(super) fn on_sale(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.kinds.len()).filter(|&kind| self.kinds[kind].limit.is_none())
    }
    /// Counts with all the stock and nothing bought.
    pub(super) fn stock_only(&self) -> Vec<u32> {
        self.kinds
            .iter()
            .map(|kind| kind.limit.unwrap_or(0))
            .collect()
    }
    /// Price of the loads.
    pub(super) fn cost(&self, loads: &[Load]) -> i64 {
        loads.iter().map(|load| self.kinds[load.kind].cost).sum()
    }
    /// Whether the loads hold every piece, fit their spools and keep to the supply.
    pub(super) fn is_packed_by(&self, loads: &[Load]) -> bool {
        let mut left: Vec<i64> = self.demand.iter().map(|&count| i64::from(count)).collect();
        let mut used = vec![0_u32; self.kinds.len()];
        for load in loads {
            used[load.kind] += 1;
            if load.pattern.total(&self.sizes) > i128::from(self.kinds[load.kind].capacity) {
                return false;
            }
            for (class, count) in load.pattern.parts() {
                left[class] -= i64::from(count);
            }
        }
        let within = self
            .kinds
            .iter()
            .zip(used)
            .all(|(kind, used)| kind.limit.is_none_or(|limit| used <= limit));
        within && left.iter().all(|&count| count == 0)
    }
}
