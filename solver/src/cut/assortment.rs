//! The cheapest purchase that satisfies every known inequality and was not refused before.

use super::cover::Cover;
use super::packing::Packing;

/// Purchases already judged.
#[derive(Clone, Debug, Default)]
pub(super) struct Judged {
    /// Proved too small; so is everything contained in one of them.
    pub(super) impossible: Vec<Vec<u32>>,
    /// Neither packed nor ruled out within the effort.
    pub(super) undecided: Vec<Vec<u32>>,
}

impl Judged {
    fn refuses(&self, counts: &[u32]) -> bool {
        let within = |other: &Vec<u32>| counts.iter().zip(other).all(|(a, b)| a <= b);
        self.impossible.iter().any(within) || self.undecided.iter().any(|other| other == counts)
    }
}

/// Outcome of the search.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Cheapest {
    /// This purchase (counts by kind, stock included) is the cheapest left.
    Purchase(Vec<u32>, i64),
    /// Every purchase below the limit is ruled out or judged.
    NoneBelow,
    /// The search was cut short; nothing not yet judged costs less than this.
    CutShort(i64),
}

/// Most nodes of one search; jobs of a few spool kinds need some hundreds.
const MOST_NODES: u32 = 400_000;

/// Finds the cheapest purchase with price below `below`; ties go to fewer spools.
pub(super) fn cheapest(
    packing: &Packing,
    covers: &[Cover],
    judged: &Judged,
    below: i64,
) -> Cheapest {
    let mut kinds: Vec<usize> = packing.on_sale().collect();
    kinds.sort_by_key(|&kind| std::cmp::Reverse(packing.kinds[kind].capacity));
    let mut search = Search {
        packing,
        covers,
        judged,
        kinds,
        counts: packing.stock_only(),
        best: None,
        limit: (below, 0),
        nodes: 0,
    };
    let start = search.floor(0);
    search.branch(0, 0, 0);
    match search.best {
        _ if search.nodes > MOST_NODES => Cheapest::CutShort(start),
        Some(counts) => Cheapest::Purchase(counts, search.limit.0),
        None => Cheapest::NoneBelow,
    }
}

struct Search<'a> {
    packing: &'a Packing,
    covers: &'a [Cover],
    judged: &'a Judged,
    kinds: Vec<usize>,
    counts: Vec<u32>,
    best: Option<Vec<u32>>,
    /// Price and number of spools to beat.
    limit: (i64, u32),
    nodes: u32,
}

impl Search<'_> {
    /// Least further price that the kinds from `depth` on need for every inequality, each alone and in fractions.
    fn floor(&self, depth: usize) -> i64 {
        let floors = self.covers.iter().map(|cover| {
            let missing = cover.missing(&self.counts);
            if missing <= 0 {
                return 0;
            }
            let prices = self.kinds[depth..].iter().filter_map(|&kind| {
                let carry = i128::from(cover.carry[kind]);
                let cost = i128::from(self.packing.kinds[kind].cost);
                (carry > 0).then(|| (missing * cost + carry - 1) / carry)
            });
            prices
                .min()
                .map_or(i64::MAX, |price| i64::try_from(price).unwrap_or(i64::MAX))
        });
        floors.max().unwrap_or(0)
    }

    fn branch(&mut self, depth: usize, price: i64, spools: u32) {
        self.nodes += 1;
        if self.nodes > MOST_NODES {
            return;
        }
        let floor = self.floor(depth);
        if price.saturating_add(floor) > self.limit.0
            || (price, spools) >= self.limit
            || (floor > 0 && (price.saturating_add(floor), spools + 1) >= self.limit)
        {
            return;
        }
        let Some(&kind) = self.kinds.get(depth) else {
            if !self.judged.refuses(&self.counts) {
                self.limit = (price, spools);
                self.best = Some(self.counts.clone());
            }
            return;
        };
        let cost = self.packing.kinds[kind].cost;
        let last = depth + 1 == self.kinds.len();
        let mut count = if last { self.least(kind) } else { 0 };
        loop {
            let reached = price.saturating_add(cost.saturating_mul(i64::from(count)));
            if reached > self.limit.0 {
                break;
            }
            self.counts[kind] = count;
            self.branch(depth + 1, reached, spools + count);
            count += 1;
        }
        self.counts[kind] = 0;
    }

    /// Fewest spools of the last kind that satisfy every inequality; beyond any price when none does.
    fn least(&self, kind: usize) -> u32 {
        let counts = self.covers.iter().map(|cover| {
            let missing = cover.missing(&self.counts);
            let carry = i128::from(cover.carry[kind]);
            match (missing, carry) {
                (..=0, _) => 0,
                (_, 0) => u32::MAX,
                _ => u32::try_from((missing + carry - 1) / carry).unwrap_or(u32::MAX),
            }
        });
        counts.max().unwrap_or(0)
    }
}
