//! The exact integer knapsack over all capacities at once: the most weight that
//! one spool of each length can carry, and the pattern that carries it.

use super::packing::Pattern;

/// One row of the recursion: `copies` pieces of a class taken together or not at all.
#[derive(Clone, Copy, Debug)]
struct Row {
    class: u32,
    copies: u32,
    length: usize,
    weight: i64,
}

/// The solved recursion for one weighting.
#[derive(Clone, Debug)]
pub(super) struct Knapsack {
    rows: Vec<Row>,
    best: Vec<i64>,
    /// Bit `w` of row `r`: taking the row improves capacity `w`.
    taken: Vec<u64>,
    words: usize,
}

impl Knapsack {
    /// Solves for every capacity `0..=capacity`.
    ///
    /// `demand[i]` pieces of length `sizes[i]` and weight `weights[i]` (>= 0)
    /// are available. Time and bits: capacity x sum of log2(demand + 1).
    /// `turn` rotates the order of the classes (other patterns of equal weight, other [`Self::variants`]).
    pub(super) fn solve(
        sizes: &[i64],
        demand: &[u32],
        weights: &[i64],
        capacity: i64,
        turn: usize,
    ) -> Self {
        let capacity = usize::try_from(capacity).unwrap_or(0);
        let rows = rows(sizes, demand, weights, capacity, turn);
        let words = capacity / 64 + 1;
        let mut best = vec![0_i64; capacity + 1];
        let mut previous = best.clone();
        let mut taken = vec![0_u64; words * rows.len()];
        for (row, bits) in rows.iter().zip(taken.chunks_exact_mut(words)) {
            std::mem::swap(&mut best, &mut previous);
            best[..row.length].copy_from_slice(&previous[..row.length]);
            let shifted = previous.iter().zip(&previous[row.length..]);
            for ((&below, &keep), now) in shifted.zip(&mut best[row.length..]) {
                *now = keep.max(below + row.weight);
            }
            let words = best.chunks(64).zip(previous.chunks(64));
            for (word, (now, before)) in bits.iter_mut().zip(words).skip(row.length / 64) {
                let improved = now.iter().zip(before).enumerate();
                *word = improved.fold(0, |word, (bit, (now, before))| {
                    word | u64::from(now > before) << bit
                });
            }
        }
        Self {
            rows,
            best,
            taken,
            words,
        }
    }

    /// Most weight on a spool of this length.
    pub(super) fn carry(&self, capacity: i64) -> i64 {
        self.best[self.index(capacity)]
    }
    /// A pattern of that weight.
    pub(super) fn pattern(&self, capacity: i64) -> Pattern {
        self.trace(self.index(capacity), self.rows.len())
    }
    /// Best patterns that use only the first rows of the recursion, for falling numbers of rows: at most `most`.
    pub(super) fn variants(&self, capacity: i64, most: usize) -> Vec<Pattern> {
        let index = self.index(capacity);
        let mut found = Vec::new();
        let mut rows = self.rows.len();
        while rows > 0 && found.len() < most {
            // The last row that changed this capacity makes the next different pattern.
            let changed = (0..rows).rev().find(|&row| self.takes(row, index));
            let Some(row) = changed else { break };
            found.push(self.trace(index, row + 1));
            rows = row;
        }
        found
    }

    fn index(&self, capacity: i64) -> usize {
        usize::try_from(capacity)
            .unwrap_or(0)
            .min(self.best.len() - 1)
    }
    fn takes(&self, row: usize, capacity: usize) -> bool {
        self.taken[row * self.words + capacity / 64] >> (capacity % 64) & 1 == 1
    }
    fn trace(&self, mut capacity: usize, rows: usize) -> Pattern {
        let mut parts = Vec::new();
        for (index, row) in self.rows[..rows].iter().enumerate().rev() {
            if self.takes(index, capacity) {
                parts.push((row.class, row.copies));
                capacity -= row.length;
            }
        }
        Pattern::new(parts)
    }
}

/// Splits each demand into powers of two and a rest, so that rows reach every count.
fn rows(sizes: &[i64], demand: &[u32], weights: &[i64], capacity: usize, turn: usize) -> Vec<Row> {
    let mut rows = Vec::new();
    for position in 0..sizes.len() {
        let class = (position + turn) % sizes.len();
        let length = usize::try_from(sizes[class]).unwrap_or(usize::MAX);
        if weights[class] <= 0 || length > capacity {
            continue;
        }
        let mut left = demand[class].min(u32::try_from(capacity / length).unwrap_or(u32::MAX));
        let mut copies = 1;
        while left > 0 {
            let take = copies.min(left);
            rows.push(Row {
                class: u32::try_from(class).unwrap_or(u32::MAX),
                copies: take,
                length: length * take as usize,
                weight: weights[class] * i64::from(take),
            });
            left -= take;
            copies *= 2;
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_carries_the_best_of_all_bounded_choices() {
        let (sizes, demand, weights) = ([7, 5, 3], [2, 3, 4], [10, 7, 4]);
        let solved = Knapsack::solve(&sizes, &demand, &weights, 30, 0);
        for capacity in 0..=30_i64 {
            let mut most = 0;
            for a in 0..=2_i64 {
                for b in 0..=3_i64 {
                    for c in 0..=4_i64 {
                        if 7 * a + 5 * b + 3 * c <= capacity {
                            most = most.max(10 * a + 7 * b + 4 * c);
                        }
                    }
                }
            }
            assert_eq!(solved.carry(capacity), most, "capacity {capacity}");
            let pattern = solved.pattern(capacity);
            assert_eq!(pattern.total(&weights), i128::from(most));
            assert!(pattern.total(&sizes) <= i128::from(capacity));
        }
    }
}
