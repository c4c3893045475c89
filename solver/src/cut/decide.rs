//! Whether a given purchase packs: relaxation, dive, closing integer programme.

use super::columns::{Aim, Chosen, Column, Columns, Relaxed, choose};
use super::cover::Cover;
use super::every::{Listed, every_pattern};
use super::fill;
use super::model::CutEffort;
use super::packing::{Load, Packing};
use super::seek::{Sought, seek};

/// What is known of a purchase.
#[derive(Clone, Debug)]
pub(super) enum Verdict {
    /// It packs, so.
    Packed(Vec<Load>),
    /// It violates this inequality, newly found.
    Excluded(Cover),
    /// No packing exists: the closing integer programme says so, and [`seek`] confirms it.
    Impossible,
    /// Not settled within the effort.
    Undecided,
}

/// The judge of purchases of one packing problem.
pub(super) struct Decision<'a> {
    packing: &'a Packing,
    effort: CutEffort,
    columns: Columns,
    /// Weightings that bind: lengths first, then duals.
    weightings: Vec<Vec<i64>>,
}

/// A node of the dive: what is still to be packed, and into what.
struct Open {
    packing: Packing,
    counts: Vec<u32>,
    fixed: Vec<Load>,
}

impl<'a> Decision<'a> {
    pub(super) fn new(packing: &'a Packing, effort: &CutEffort) -> Self {
        Self {
            packing,
            effort: *effort,
            columns: Columns::new(effort.relaxations),
            weightings: vec![packing.sizes.clone()],
        }
    }

    /// The inequality of the least-cost relaxation, started from the patterns of a known packing.
    pub(super) fn cost_cover(&mut self, known: &[Load]) -> Option<Cover> {
        for load in known {
            self.columns.add(load.kind, load.pattern.clone());
        }
        let limits: Vec<Option<u32>> = self.packing.kinds.iter().map(|kind| kind.limit).collect();
        match self.columns.relax(self.packing, &limits, Aim::LeastCost) {
            Relaxed::Solved { weights, .. } => {
                let cover = Cover::of(self.packing, &weights);
                self.weightings.push(weights);
                Some(cover)
            }
            Relaxed::Excluded(_) | Relaxed::Unsettled => None,
        }
    }

    /// Judges a purchase that the constructions could not pack.
    pub(super) fn judge(&mut self, counts: &[u32]) -> Verdict {
        let limits: Vec<Option<u32>> = counts.iter().map(|&count| Some(count)).collect();
        let root = match self.columns.relax(self.packing, &limits, Aim::Fit) {
            Relaxed::Excluded(cover) => return Verdict::Excluded(cover),
            Relaxed::Unsettled => return Verdict::Undecided,
            Relaxed::Solved { used, .. } => used,
        };
        let open = Open {
            packing: self.packing.clone(),
            counts: counts.to_vec(),
            fixed: Vec::new(),
        };
        let mut nodes = DIVE_NODES;
        if let Some(loads) = self.dive(&open, root, DISCREPANCIES, &mut nodes) {
            return Verdict::Packed(loads);
        }
        self.close(counts, &limits)
    }

    /// Packs a part of the demand, if it can; used for pieces that only stock holds.
    pub(super) fn pack_some(&mut self, demand: &[u32], counts: &[u32]) -> Option<Vec<Load>> {
        let keep: Vec<usize> = (0..demand.len())
            .filter(|&class| demand[class] > 0)
            .collect();
        let part = Packing {
            sizes: keep
                .iter()
                .map(|&class| self.packing.sizes[class])
                .collect(),
            demand: keep.iter().map(|&class| demand[class]).collect(),
            kinds: self.packing.kinds.clone(),
        };
        let mut decision = Decision::new(&part, &self.effort);
        match decision.judge(counts) {
            Verdict::Packed(loads) => Some(
                loads
                    .into_iter()
                    .map(|load| load.renumbered(&keep))
                    .collect(),
            ),
            Verdict::Excluded(_) | Verdict::Impossible | Verdict::Undecided => None,
        }
    }

    /// Fixes the whole parts of the relaxation and its largest fraction, and goes on with the rest;
    /// `spare` times in all a smaller fraction is tried instead.
    fn dive(
        &mut self,
        open: &Open,
        used: Vec<(Column, f64)>,
        spare: usize,
        nodes: &mut u32,
    ) -> Option<Vec<Load>> {
        let mut fractions = used.clone();
        let part = |value: f64| value - (value + 1e-6).floor();
        fractions.sort_by(|a, b| part(b.1).total_cmp(&part(a.1)).then_with(|| a.0.cmp(&b.0)));
        for (taken, (column, _)) in fractions.iter().take(spare + 1).enumerate() {
            if *nodes == 0 {
                return None;
            }
            *nodes -= 1;
            let mut child = open.after(&used, column);
            if child.packing.demand.iter().all(|&count| count == 0) {
                return Some(child.fixed);
            }
            let rounds = self.effort.value_rounds / 4;
            let (packing, counts) = (&child.packing, &child.counts);
            if let Some(rest) = fill::pack(packing, &packing.demand, counts, rounds) {
                child.fixed.extend(rest);
                return Some(child.fixed);
            }
            let limits: Vec<Option<u32>> = counts.iter().map(|&count| Some(count)).collect();
            if let Relaxed::Solved { used, .. } = self.columns.relax(packing, &limits, Aim::Fit)
                && let Some(loads) = self.dive(&child, used, spare - taken, nodes)
            {
                return Some(loads);
            }
        }
        None
    }

    /// The integer programme over every pattern that a packing of this purchase can use.
    fn close(&mut self, counts: &[u32], limits: &[Option<u32>]) -> Verdict {
        let listed = every_pattern(self.packing, counts, &self.weightings, self.effort.patterns);
        let (columns, complete) = match listed {
            Listed::All(columns) => (columns, true),
            Listed::TooMany => (self.columns.all(self.packing, limits), false),
        };
        match choose(self.packing, limits, &columns, self.effort.nodes) {
            Chosen::Packs(used) => self.packed(used, counts),
            Chosen::Never if complete => self.confirmed(counts, &columns),
            Chosen::Never | Chosen::Unsettled => Verdict::Undecided,
        }
    }

    /// What is left of the word that no packing exists when it is looked for by another way.
    fn confirmed(&self, counts: &[u32], columns: &[Column]) -> Verdict {
        let (packing, steps) = (self.packing, self.effort.steps);
        match seek(packing, counts, columns, &self.weightings, steps) {
            Sought::Never => Verdict::Impossible,
            Sought::Packs(used) => self.packed(used, counts),
            Sought::CutShort => Verdict::Undecided,
        }
    }

    /// A packing by chosen columns, if it is one.
    fn packed(&self, used: Vec<(Column, u32)>, counts: &[u32]) -> Verdict {
        let loads = self.trimmed(used);
        if self.holds(&loads, counts) {
            Verdict::Packed(loads)
        } else {
            Verdict::Undecided
        }
    }

    /// Whether the loads hold the whole demand in at most `counts` spools of each kind: the
    /// word of a programme's solver is not taken for it.
    fn holds(&self, loads: &[Load], counts: &[u32]) -> bool {
        let mut left = counts.to_vec();
        let within = loads.iter().all(|load| {
            let spools = &mut left[load.kind];
            let there = *spools > 0;
            *spools = spools.saturating_sub(1);
            there
        });
        within && self.packing.is_packed_by(loads)
    }

    /// Loads of chosen columns, surplus pieces taken off.
    fn trimmed(&self, used: Vec<(Column, u32)>) -> Vec<Load> {
        let mut left = self.packing.demand.clone();
        let mut loads = Vec::new();
        for (column, count) in used {
            for _ in 0..count {
                let pattern = column.pattern.trimmed(&left);
                if pattern.is_empty() {
                    break;
                }
                fill::take(&mut left, &pattern);
                loads.push(Load {
                    kind: column.kind,
                    pattern,
                });
            }
        }
        loads
    }
}

/// Nodes of one dive.
const DIVE_NODES: u32 = 200;
/// How often in all a dive may leave the largest fraction.
const DISCREPANCIES: usize = 3;

impl Open {
    /// What is left after the whole parts of `used` and one more of `column` are fixed.
    fn after(&self, used: &[(Column, f64)], column: &Column) -> Self {
        let mut child = Self {
            packing: self.packing.clone(),
            counts: self.counts.clone(),
            fixed: self.fixed.clone(),
        };
        for (whole, value) in used {
            let whole_times = (value + 1e-6).floor() as u32;
            for _ in 0..whole_times.min(self.counts[whole.kind]) {
                child.fix(whole);
            }
        }
        child.fix(column);
        child
    }
    fn fix(&mut self, column: &Column) {
        let pattern = column.pattern.trimmed(&self.packing.demand);
        if self.counts[column.kind] == 0 || pattern.is_empty() {
            return;
        }
        self.counts[column.kind] -= 1;
        fill::take(&mut self.packing.demand, &pattern);
        self.fixed.push(Load {
            kind: column.kind,
            pattern,
        });
    }
}
