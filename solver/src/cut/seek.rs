//! The search for a packing among listed patterns, in whole numbers: what confirms that there
//! is none. It needs no word of another solver.
//!
//! # The search
//! A node is what is still wanted and which spools are left. Some class still wanted is chosen,
//! the one that fewest patterns hold; one of these must be used. Each is tried in turn, and
//! after it was tried in vain it is barred below the node. That loses nothing: a packing with a
//! barred pattern goes through the node where it was barred, and was looked for there. For the
//! same reason a node that failed has no packing at all, barred patterns or not, and is known
//! again by demand and spools; and of two patterns of one kind, one holding no more of what is
//! wanted than the other, only the fuller is tried.
//!
//! For each weighting the spools left carry at most `sum carry x count`, `carry` by an exact
//! knapsack over what is wanted here. Where that is less than the weight wanted, the node has no
//! packing; and no pattern is used that stays further below its `carry` than the difference.

use super::columns::Column;
use super::cover::Cover;
use super::packing::Packing;
use std::collections::BTreeSet;

/// Most spools of a purchase that is searched, one a level of the recursion.
const MOST_SPOOLS: u64 = 1_000;
/// Most positions of patterns held at once over all levels, 8 bytes each.
const MOST_HELD: usize = 4_000_000;
/// Most numbers in the nodes that are remembered, 4 bytes each.
const MOST_REMEMBERED: usize = 8_000_000;

/// Outcome of the search.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Sought {
    /// A packing: how often to use each column; surplus pieces not taken off.
    Packs(Vec<(Column, u32)>),
    /// There is none from these columns.
    Never,
    /// Cut short by a limit.
    CutShort,
}

/// Looks for columns, at most `counts` of each kind, that hold the whole demand, in at most
/// `steps` steps: entries of knapsacks, and parts of patterns looked at.
pub(super) fn seek(
    packing: &Packing,
    counts: &[u32],
    columns: &[Column],
    weightings: &[Vec<i64>],
    steps: u64,
) -> Sought {
    if counts.iter().map(|&count| u64::from(count)).sum::<u64>() > MOST_SPOOLS {
        return Sought::CutShort;
    }
    let mut search = Search {
        columns,
        weightings,
        here: packing.clone(),
        steps,
        held: 0,
        failed: BTreeSet::new(),
        chosen: Vec::new(),
    };
    let whole = Wanted {
        left: packing.demand.clone(),
        spare: counts.to_vec(),
    };
    let open: Vec<usize> = (0..columns.len()).collect();
    match search.packs(&whole, &open, &[]) {
        Ok(true) => Sought::Packs(search.chosen()),
        Ok(false) => Sought::Never,
        Err(Spent) => Sought::CutShort,
    }
}

/// A limit is reached.
struct Spent;

/// What is still wanted, and which spools there are for it.
struct Wanted {
    left: Vec<u32>,
    spare: Vec<u32>,
}

impl Wanted {
    /// After one more spool is filled.
    fn after(&self, column: &Column) -> Self {
        let mut left = self.left.clone();
        for (class, count) in column.pattern.parts() {
            left[class] = left[class].saturating_sub(count);
        }
        let mut spare = self.spare.clone();
        spare[column.kind] -= 1;
        Self { left, spare }
    }

    /// How much of what is wanted a column holds, by class.
    fn useful<'c>(&'c self, column: &'c Column) -> impl Iterator<Item = (usize, u32)> + 'c {
        let parts = column.pattern.parts();
        parts.map(|(class, count)| (class, count.min(self.left[class])))
    }
}

/// Columns at a node, by position.
struct Lists {
    /// Those that may be used.
    open: Vec<usize>,
    /// Those tried in vain, here or above.
    barred: Vec<usize>,
}

/// What one weighting asks of every further spool.
struct Rule<'a> {
    weights: &'a [i64],
    carry: Vec<i64>,
    slack: i128,
}

impl Rule<'_> {
    fn allows(&self, node: &Wanted, column: &Column) -> bool {
        let weight: i128 = node
            .useful(column)
            .map(|(class, count)| i128::from(self.weights[class]) * i128::from(count))
            .sum();
        weight >= i128::from(self.carry[column.kind]) - self.slack
    }
}

struct Search<'a> {
    columns: &'a [Column],
    weightings: &'a [Vec<i64>],
    /// The problem; its demand is that of the node looked at.
    here: Packing,
    steps: u64,
    held: usize,
    failed: BTreeSet<Vec<u32>>,
    chosen: Vec<usize>,
}

impl<'a> Search<'a> {
    /// Whether there is a packing from a node on; of one that is found, the columns are chosen.
    fn packs(&mut self, node: &Wanted, open: &[usize], barred: &[usize]) -> Result<bool, Spent> {
        if node.left.iter().all(|&count| count == 0) {
            return Ok(true);
        }
        let key = [node.left.as_slice(), &node.spare].concat();
        if self.failed.contains(&key) {
            return Ok(false);
        }
        let Some(rules) = self.rules(node)? else {
            return Ok(false);
        };
        let lists = Lists {
            open: self.allowed(node, open, &rules)?,
            barred: self.allowed(node, barred, &rules)?,
        };
        let held = lists.open.len() + lists.barred.len();
        self.held += held;
        if self.held > MOST_HELD {
            return Err(Spent);
        }
        let found = self.branch(node, lists)?;
        self.held -= held;
        if !found && (self.failed.len() + 1) * key.len() <= MOST_REMEMBERED {
            self.failed.insert(key);
        }
        Ok(found)
    }

    /// Tries the columns of which one must be used.
    fn branch(&mut self, node: &Wanted, mut lists: Lists) -> Result<bool, Spent> {
        for position in self.candidates(node, &lists)? {
            self.chosen.push(position);
            let child = node.after(&self.columns[position]);
            if self.packs(&child, &lists.open, &lists.barred)? {
                return Ok(true);
            }
            self.chosen.pop();
            self.step(lists.open.len() as u64)?;
            lists.open.retain(|&other| other != position);
            lists.barred.push(position);
        }
        Ok(false)
    }

    /// The weightings on what is wanted here; `None` when the spools left cannot carry it.
    fn rules(&mut self, node: &Wanted) -> Result<Option<Vec<Rule<'a>>>, Spent> {
        self.here.demand.clone_from(&node.left);
        let wanted = node.left.iter().filter(|&&count| count > 0).count() as u64;
        let mut rules = Vec::with_capacity(self.weightings.len());
        for weights in self.weightings {
            self.step(wanted * self.here.longest().unsigned_abs())?;
            let cover = Cover::of(&self.here, weights);
            let slack = -cover.missing(&node.spare);
            if slack < 0 {
                return Ok(None);
            }
            rules.push(Rule {
                weights,
                carry: cover.carry,
                slack,
            });
        }
        Ok(Some(rules))
    }

    /// Those of the columns that a packing from this node on may use.
    fn allowed(
        &mut self,
        node: &Wanted,
        positions: &[usize],
        rules: &[Rule<'_>],
    ) -> Result<Vec<usize>, Spent> {
        let mut allowed = Vec::new();
        for &position in positions {
            let column = &self.columns[position];
            let looks = column.pattern.parts().count() * (1 + rules.len());
            self.step(looks as u64)?;
            if node.spare[column.kind] > 0
                && node.useful(column).any(|(_, count)| count > 0)
                && rules.iter().all(|rule| rule.allows(node, column))
            {
                allowed.push(position);
            }
        }
        Ok(allowed)
    }

    /// The columns of which one must be used: those that hold the class which fewest hold, the
    /// fullest first, without those that another one is as good as.
    fn candidates(&mut self, node: &Wanted, lists: &Lists) -> Result<Vec<usize>, Spent> {
        let mut holding = vec![0_usize; node.left.len()];
        let mut looks = 0;
        for &position in &lists.open {
            for (class, count) in node.useful(&self.columns[position]) {
                holding[class] += usize::from(count > 0);
                looks += 1;
            }
        }
        // Counted here, and looked through once more for those that hold the class.
        self.step(2 * looks)?;
        let wanted = (0..holding.len()).filter(|&class| node.left[class] > 0);
        let Some(class) = wanted.min_by_key(|&class| (holding[class], class)) else {
            return Ok(Vec::new());
        };
        let holds = |position: &usize| {
            let mut parts = self.columns[*position].pattern.parts();
            parts.any(|(held, _)| held == class)
        };
        let mut open: Vec<usize> = lists.open.iter().copied().filter(holds).collect();
        let mut better: Vec<usize> = lists.barred.iter().copied().filter(holds).collect();
        let length = |position: &usize| -> i64 {
            let useful = node.useful(&self.columns[*position]);
            useful
                .map(|(class, count)| self.here.sizes[class] * i64::from(count))
                .sum()
        };
        open.sort_by_key(|position| (std::cmp::Reverse(length(position)), *position));
        let mut candidates = Vec::new();
        for position in open {
            let column = &self.columns[position];
            self.step((better.len() * column.pattern.parts().count()) as u64)?;
            if !better
                .iter()
                .any(|&other| as_good(node, &self.columns[other], column))
            {
                candidates.push(position);
                better.push(position);
            }
        }
        Ok(candidates)
    }

    fn step(&mut self, steps: u64) -> Result<(), Spent> {
        self.steps = self.steps.checked_sub(steps).ok_or(Spent)?;
        Ok(())
    }

    fn chosen(&self) -> Vec<(Column, u32)> {
        let mut positions = self.chosen.clone();
        positions.sort_unstable();
        let runs = positions.chunk_by(|one, other| one == other);
        runs.map(|run| {
            let times = u32::try_from(run.len()).unwrap_or(u32::MAX);
            (self.columns[run[0]].clone(), times)
        })
        .collect()
    }
}

/// Whether a column holds at least as much of everything wanted as another of its kind.
fn as_good(node: &Wanted, column: &Column, other: &Column) -> bool {
    let mut held = node.useful(column).peekable();
    column.kind == other.kind
        && node.useful(other).all(|(class, count)| {
            while held.next_if(|&(at, _)| at < class).is_some() {}
            count == 0
                || held
                    .peek()
                    .is_some_and(|&(at, most)| at == class && most >= count)
        })
}

#[cfg(test)]
mod tests {
    use super::super::every::{Listed, every_pattern};
    use super::super::packing::{Kind, Pattern};
    use super::*;
    use rand::{RngExt as _, SeedableRng as _};
    use rand_pcg::Pcg64Mcg;

    /// Steps that none of these problems needs.
    const STEPS: u64 = 100_000_000;

    fn packing(pieces: &[(i64, u32)], capacities: &[i64]) -> Packing {
        Packing {
            sizes: pieces.iter().map(|&(size, _)| size).collect(),
            demand: pieces.iter().map(|&(_, count)| count).collect(),
            kinds: capacities
                .iter()
                .map(|&capacity| Kind {
                    capacity,
                    cost: 1,
                    limit: None,
                })
                .collect(),
        }
    }

    /// What is found among all patterns, and that what is found holds the demand.
    fn sought(packing: &Packing, counts: &[u32], steps: u64) -> Option<bool> {
        let weightings = [packing.sizes.clone()];
        let Listed::All(columns) = every_pattern(packing, counts, &weightings, 10_000) else {
            panic!("few patterns");
        };
        match seek(packing, counts, &columns, &weightings, steps) {
            Sought::CutShort => None,
            Sought::Never => Some(false),
            Sought::Packs(used) => {
                let mut left: Vec<i64> = packing.demand.iter().copied().map(i64::from).collect();
                let mut spare: Vec<i64> = counts.iter().copied().map(i64::from).collect();
                for (column, times) in used {
                    assert!(columns.contains(&column));
                    spare[column.kind] -= i64::from(times);
                    for (class, count) in column.pattern.parts() {
                        left[class] -= i64::from(count) * i64::from(times);
                    }
                }
                assert!(left.iter().all(|&count| count <= 0), "{left:?}");
                assert!(spare.iter().all(|&count| count >= 0), "{spare:?}");
                Some(true)
            }
        }
    }

    /// Every piece, the longest first, tried on every spool with another room.
    fn by_hand(pieces: &[i64], rooms: &mut [i64]) -> bool {
        let Some((&piece, rest)) = pieces.split_first() else {
            return true;
        };
        for spool in 0..rooms.len() {
            if rooms[spool] < piece || rooms[..spool].contains(&rooms[spool]) {
                continue;
            }
            rooms[spool] -= piece;
            let packs = by_hand(rest, rooms);
            rooms[spool] += piece;
            if packs {
                return true;
            }
        }
        false
    }

    #[test]
    fn it_says_what_trying_every_piece_on_every_spool_says() {
        let mut draw = Pcg64Mcg::seed_from_u64(7);
        let (mut packed, mut refused) = (0, 0);
        while packed < 150 || refused < 150 {
            let classes = draw.random_range(2..=5);
            let mut sizes: Vec<i64> = (0..classes).map(|_| draw.random_range(3..=30)).collect();
            sizes.sort_unstable_by(|one, two| two.cmp(one));
            sizes.dedup();
            let pieces: Vec<(i64, u32)> = sizes
                .iter()
                .map(|&size| (size, draw.random_range(1..=3)))
                .collect();
            let capacities = [draw.random_range(30..=40), draw.random_range(41..=60)];
            let problem = packing(&pieces, &capacities);
            let single: Vec<i64> = pieces
                .iter()
                .flat_map(|&(size, count)| std::iter::repeat_n(size, count as usize))
                .collect();
            let total: i64 = single.iter().sum();
            // About as much room as is needed: so it is hard to tell.
            let short = draw.random_range(0..=2);
            let long = (total - short * capacities[0] + capacities[1] - 1) / capacities[1];
            let counts = [short as u32, long.max(0) as u32];
            let room = short * capacities[0] + i64::from(counts[1]) * capacities[1];
            if room < total {
                continue;
            }
            let mut rooms: Vec<i64> = (0..2)
                .flat_map(|kind| std::iter::repeat_n(capacities[kind], counts[kind] as usize))
                .collect();
            let wanted = by_hand(&single, &mut rooms);
            assert_eq!(
                sought(&problem, &counts, STEPS),
                Some(wanted),
                "{pieces:?} on {counts:?} of {capacities:?}"
            );
            packed += u32::from(wanted);
            refused += u32::from(!wanted);
        }
    }

    /// The gap of [`super::super::solve`]'s tests: the relaxation needs 4.96 spools, and six
    /// are needed.
    #[test]
    fn a_gap_of_the_relaxation_is_closed() {
        let gap = packing(&[(44, 5), (33, 7), (12, 17)], &[132]);
        assert_eq!(sought(&gap, &[5], STEPS), Some(false));
        assert_eq!(sought(&gap, &[6], STEPS), Some(true));
    }

    #[test]
    fn a_search_cut_short_says_neither() {
        let gap = packing(&[(44, 5), (33, 7), (12, 17)], &[132]);
        for steps in [0, 1, 100, 300] {
            assert_eq!(sought(&gap, &[5], steps), None, "{steps}");
        }
        let many = u32::try_from(MOST_SPOOLS).expect("a few");
        let row = packing(&[(1, many)], &[1]);
        assert_eq!(sought(&row, &[many], STEPS), Some(true));
        let row = packing(&[(1, many + 1)], &[1]);
        assert_eq!(sought(&row, &[many + 1], STEPS), None);
    }

    #[test]
    fn a_column_is_as_good_when_it_holds_as_much_of_what_is_wanted() {
        let column = |kind, parts: &[(u32, u32)]| Column {
            kind,
            pattern: Pattern::new(parts.to_vec()),
        };
        let node = Wanted {
            left: vec![1, 0, 3],
            spare: vec![1, 1],
        };
        let good = |one: &[(u32, u32)], two: &[(u32, u32)]| {
            as_good(&node, &column(0, one), &column(0, two))
        };
        // Of the first class one is wanted, of the second none.
        assert!(good(&[(0, 1), (2, 2)], &[(0, 2), (1, 4), (2, 2)]));
        assert!(good(&[(0, 1), (2, 2)], &[(2, 1)]));
        assert!(!good(&[(0, 1), (2, 2)], &[(0, 1), (2, 3)]));
        assert!(!good(&[(2, 3)], &[(0, 1)]));
        assert!(!as_good(
            &node,
            &column(0, &[(2, 1)]),
            &column(1, &[(2, 1)])
        ));
    }
}
