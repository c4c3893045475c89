//! Every pattern that a packing of a given purchase can use, or the news that there are too many.

use super::columns::Column;
use super::cover::Cover;
use super::knapsack::Knapsack;
use super::packing::{Packing, Pattern};

/// Outcome of the listing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Listed {
    /// Complete: a packing exists if and only if one exists from these.
    All(Vec<Column>),
    /// More than asked for, or too long to list.
    TooMany,
}

/// Steps of the listing per pattern allowed.
const STEPS_PER_PATTERN: usize = 200;
/// Largest table of one weighting, entries (8 bytes each).
const MOST_ENTRIES: usize = 8_000_000;

/// Lists the patterns.
///
/// For each weighting the spools of the purchase carry at most `sum carry x
/// count`; a packing carries `need`. So no spool of a packing may stay more
/// than `slack = sum carry x count - need` below its `carry`: the waste rule for
/// the lengths, reduced-cost fixing for the duals of the relaxation. Patterns that
/// take one more piece of some class still missing are left out unless
/// no piece fits: surplus is allowed in the programme that follows.
pub(super) fn every_pattern(
    packing: &Packing,
    counts: &[u32],
    weightings: &[Vec<i64>],
    most: usize,
) -> Listed {
    let entries =
        packing.sizes.len() * usize::try_from(packing.longest() + 1).unwrap_or(usize::MAX);
    if entries.saturating_mul(weightings.len()) > MOST_ENTRIES {
        return Listed::TooMany;
    }
    let rules: Vec<Rule> = weightings
        .iter()
        .map(|weights| Rule::of(packing, counts, weights))
        .collect();
    let mut listing = Listing {
        packing,
        rules: &rules,
        parts: Vec::new(),
        found: Vec::new(),
        most,
        steps: most.saturating_mul(STEPS_PER_PATTERN),
        kind: 0,
    };
    for kind in (0..counts.len()).filter(|&kind| counts[kind] > 0) {
        listing.kind = kind;
        let room = packing.kinds[kind].capacity;
        let floors: Vec<i64> = rules.iter().map(|rule| rule.floor(kind)).collect();
        if !listing.extend(0, room, &floors) {
            return Listed::TooMany;
        }
    }
    Listed::All(listing.found)
}

/// One weighting with what each spool must at least carry and what the last classes can still bring.
struct Rule {
    weights: Vec<i64>,
    cover: Cover,
    slack: i128,
    /// `[class][room]`: most weight of the classes from `class` on in this room.
    rest: Vec<Vec<i64>>,
}

impl Rule {
    fn of(packing: &Packing, counts: &[u32], weights: &[i64]) -> Self {
        let cover = Cover::of(packing, weights);
        let longest = packing.longest();
        let rest = (0..packing.sizes.len()).map(|class| {
            let (sizes, demand) = (&packing.sizes[class..], &packing.demand[class..]);
            let solved = Knapsack::solve(sizes, demand, &weights[class..], longest, 0);
            (0..=longest).map(|room| solved.carry(room)).collect()
        });
        Self {
            weights: weights.to_vec(),
            slack: -cover.missing(counts),
            rest: rest.collect(),
            cover,
        }
    }
    /// Least weight on a spool of this kind.
    fn floor(&self, kind: usize) -> i64 {
        let floor = i128::from(self.cover.carry[kind]) - self.slack;
        i64::try_from(floor).unwrap_or(i64::MIN).max(0)
    }
}

struct Listing<'a> {
    packing: &'a Packing,
    rules: &'a [Rule],
    parts: Vec<(u32, u32)>,
    found: Vec<Column>,
    most: usize,
    steps: usize,
    kind: usize,
}

impl Listing<'_> {
    /// Extends the pattern by the classes from `class` on; `missing` is the weight still needed by each rule. False: too many.
    fn extend(&mut self, class: usize, room: i64, missing: &[i64]) -> bool {
        if self.steps == 0 || self.found.len() > self.most {
            return false;
        }
        self.steps -= 1;
        let Some(&size) = self.packing.sizes.get(class) else {
            if missing.iter().all(|&missing| missing <= 0) {
                self.close(room);
            }
            return true;
        };
        let index = usize::try_from(room).unwrap_or(0);
        let hopeless = |(rule, &missing): (&Rule, &i64)| rule.rest[class][index] < missing;
        if self.rules.iter().zip(missing).any(hopeless) {
            return true;
        }
        let most = i64::from(self.packing.demand[class]).min(room / size);
        for count in (0..=most).rev() {
            let left: Vec<i64> = self
                .rules
                .iter()
                .zip(missing)
                .map(|(rule, missing)| missing - rule.weights[class] * count)
                .collect();
            if count > 0 {
                self.parts.push((
                    u32::try_from(class).unwrap_or(u32::MAX),
                    u32::try_from(count).unwrap_or(u32::MAX),
                ));
            }
            let on = self.extend(class + 1, room - size * count, &left);
            if count > 0 {
                self.parts.pop();
            }
            if !on {
                return false;
            }
        }
        true
    }

    /// Keeps the pattern if nothing more fits it.
    fn close(&mut self, room: i64) {
        let pattern = Pattern::new(self.parts.clone());
        let mut left = self.packing.demand.clone();
        for (class, count) in pattern.parts() {
            left[class] -= count;
        }
        let takes_more =
            (0..left.len()).any(|class| left[class] > 0 && self.packing.sizes[class] <= room);
        if !takes_more && !pattern.is_empty() {
            self.found.push(Column {
                kind: self.kind,
                pattern,
            });
        }
    }
}
