//! The runs that the search has met, and the best plan that they make together.

mod promising;

use super::guided;
use super::insert::Tools;
use super::master::Programme;
use super::search::Trial;
use super::settle::settle;
use super::state::{State, Unit};
use crate::ids::{FixtureId, SegmentId, SiteId};
use crate::plan::TransformerSource;
use crate::run::{Context, Run};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;

/// A unit by what it is: the `ordinal`-th of its model at its site.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct UnitKey {
    pub site: SiteId,
    pub source: TransformerSource,
    pub ordinal: usize,
}

/// What a run does for a plan: of two that do the same, the cheaper is worth keeping.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Kind {
    pub unit: UnitKey,
    secondary: usize,
    tap: usize,
    /// Those served, in order, each once.
    pub fixtures: Vec<FixtureId>,
    /// The segments passed that cost something to open, in order, each once.
    pub trenches: Vec<SegmentId>,
}

impl Kind {
    fn of(ctx: &Context<'_>, unit: UnitKey, run: &Run) -> Self {
        let leads = run.shape.leads.iter();
        let mut fixtures: Vec<FixtureId> = leads.map(|lead| lead.fixture).collect();
        fixtures.sort_unstable();
        let pieces = run.shape.joints.iter();
        let pieces = pieces.flat_map(|joint| &joint.incoming.route.segments);
        let leads = run.shape.leads.iter().flat_map(|lead| &lead.route.segments);
        let mut trenches: Vec<SegmentId> = (pieces.chain(leads).copied())
            .filter(|segment| ctx.opening[segment.index()] > 0.0)
            .collect();
        trenches.sort_unstable();
        trenches.dedup();
        Self {
            unit,
            secondary: run.secondary,
            tap: run.tap,
            fixtures,
            trenches,
        }
    }
}

/// The cheapest run of its kind.
#[derive(Clone)]
struct Known {
    run: Arc<Run>,
    /// The least cost of a plan that held one of its kind, in the job's money.
    plan_cost: f64,
}

/// Runs of the plans that the search took up.
#[derive(Default)]
pub(super) struct Pool {
    known: BTreeMap<Kind, Known>,
    models: BTreeMap<UnitKey, Unit>,
}

/// A run that a programme may choose.
pub(super) struct Column {
    pub kind: Kind,
    pub run: Arc<Run>,
}

/// Most kinds of runs remembered; beyond twice as many, those of the dearest plans are forgotten.
const MOST_KNOWN: usize = 4000;

impl Pool {
    /// Adds every run of a plan.
    pub fn add(&mut self, ctx: &Context<'_>, state: &State) {
        for (key, unit, run) in runs_by_key(state) {
            self.models.insert(key, unit);
            let known = Known {
                run: Arc::clone(run),
                plan_cost: state.cost(),
            };
            self.know(Kind::of(ctx, key, run), known);
        }
        if self.known.len() > 2 * MOST_KNOWN {
            let mut costs: Vec<f64> = self.known.values().map(|known| known.plan_cost).collect();
            costs.sort_by(f64::total_cmp);
            let limit = costs[MOST_KNOWN];
            self.known.retain(|_, known| known.plan_cost <= limit);
        }
    }

    /// Adds the runs of another pool.
    pub fn join(&mut self, other: &Self) {
        self.models.extend(&other.models);
        for (kind, known) in &other.known {
            self.know(kind.clone(), known.clone());
        }
    }

    fn know(&mut self, kind: Kind, known: Known) {
        match self.known.entry(kind) {
            Entry::Vacant(entry) => {
                entry.insert(known);
            }
            Entry::Occupied(mut entry) => {
                let entry = entry.get_mut();
                entry.plan_cost = entry.plan_cost.min(known.plan_cost);
                if known.run.figures.cost < entry.run.figures.cost {
                    entry.run = known.run;
                }
            }
        }
    }

    /// The best plan that the runs make together, if one is found that holds; `most_links`
    /// limits the programme: a link is a place of a fixture and a trench in a run.
    pub fn combine(
        &self,
        ctx: &Context<'_>,
        incumbent: &Trial,
        tools: &mut Tools,
        most_links: usize,
    ) -> Option<Trial> {
        let columns = promising::choose(ctx, self, &incumbent.state, most_links);
        let programme = Programme::new(ctx, &columns, &self.models)?;
        let chosen = programme.solve(incumbent.state.cost())?;
        let served = chosen
            .iter()
            .flat_map(|&index| columns[index].kind.fixtures.iter().copied());
        // The solver's word is not taken for it: what it chose is counted before it is used.
        if !each_once(ctx.job.fixtures.len(), served) {
            return None;
        }
        let mut state = State::empty(ctx);
        let mut slots: BTreeMap<UnitKey, usize> = BTreeMap::new();
        for column in chosen.into_iter().map(|index| &columns[index]) {
            let unit = self.models[&column.kind.unit];
            let slot = *slots
                .entry(column.kind.unit)
                .or_insert_with(|| match unit.source {
                    TransformerSource::Existing(id) => id.index(),
                    TransformerSource::New(_) => state
                        .pinned_like(&unit)
                        .unwrap_or_else(|| state.add_unit(unit)),
                });
            state.place(ctx, None, slot, Arc::clone(&column.run));
        }
        let mut trial = Trial {
            state,
            unserved: Vec::new(),
        };
        let holds = settle(ctx, &mut trial, tools)
            && trial.unserved.is_empty()
            && guided::holds(ctx, &trial.state);
        holds.then_some(trial)
    }
}

/// The runs of a plan with what they hang on.
fn runs_by_key(state: &State) -> Vec<(UnitKey, Unit, &Arc<Run>)> {
    let mut ordinals: BTreeMap<(SiteId, TransformerSource), usize> = BTreeMap::new();
    let mut keyed = Vec::new();
    for (slot, unit) in state.units.iter().enumerate() {
        let Some(unit) = *unit else { continue };
        let before = keyed.len();
        let next = ordinals.entry((unit.site, unit.source)).or_default();
        let key = UnitKey {
            site: unit.site,
            source: unit.source,
            ordinal: *next,
        };
        let runs = state.runs_on(slot);
        keyed.extend(runs.map(|(_, placed)| (key, unit, &placed.run)));
        *next += usize::from(keyed.len() > before);
    }
    keyed
}

/// Whether every one of `count` fixtures is served, and none twice.
fn each_once(count: usize, served: impl Iterator<Item = FixtureId>) -> bool {
    let mut seen = vec![false; count];
    let mut fixtures = 0;
    for fixture in served {
        if std::mem::replace(&mut seen[fixture.index()], true) {
            return false;
        }
        fixtures += 1;
    }
    fixtures == count
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a solver that fails silently, or is wrong, may hand back.
    #[test]
    fn a_choice_that_misses_a_fixture_or_serves_one_twice_is_not_believed() {
        let each = |served: &[u32]| each_once(3, served.iter().map(|&id| FixtureId(id)));
        assert!(each(&[2, 0, 1]));
        assert!(!each(&[]));
        assert!(!each(&[0, 1]));
        assert!(!each(&[0, 1, 1]));
        assert!(!each(&[0, 1, 2, 0]));
    }
}
