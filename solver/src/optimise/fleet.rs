//! Another set of transformers in place of some that stand: fewer and larger, more
//! and smaller, elsewhere. What hung on the old ones is then put back.
//!
//! Single insertions never find these: the first fixture of a larger transformer
//! would have to pay for all of it.

use super::insert::{Manner, Tools};
use super::resize;
use super::state::{State, Unit};
use crate::ids::{FixtureId, SiteId, TransformerModelId};
use crate::plan::TransformerSource;
use crate::run::{Context, Run, permitted_va};
use rand::RngExt as _;
use std::sync::Arc;

/// Most transformers that give way at once.
const MOST_GIVING_WAY: usize = 3;
/// Draws of a replacement before the change is given up.
const MOST_DRAWS: usize = 30;
/// A replacement may cost this much more than what it replaces: shorter circuits may pay for it.
const DEARER: f64 = 1.35;
/// A replacement may offer this much less than the old ones carry: other routes lose less.
const TIGHTER: f64 = 0.93;

/// Replaces one to three bought transformers by another set. Their circuits are hung whole
/// on the new ones, at the same site as they are, elsewhere on another home run or circuit.
/// The fixtures of those that find no place are to be served anew. `None` when no set was found.
pub(crate) fn carry_over(
    ctx: &Context<'_>,
    state: &mut State,
    tools: &mut Tools,
    manner: Manner,
) -> Option<Vec<FixtureId>> {
    let Exchanged {
        mut circuits,
        fresh,
    } = exchange(ctx, state, tools)?;
    circuits.sort_by(|x, y| y.1.figures.va.total_cmp(&x.1.figures.va));
    let mut homeless = Vec::new();
    for (site, run) in circuits {
        let beside = |slot: &usize| state.units[*slot].is_some_and(|unit| unit.site == site);
        let mut units: Vec<usize> = fresh.iter().copied().filter(beside).collect();
        let free_va = |slot: usize| {
            let model = state.units[slot].map(|unit| permitted_va(ctx, unit.model));
            model.unwrap_or(0.0) - state.unit_va(ctx, slot, None)
        };
        units.sort_by(|&x, &y| free_va(y).total_cmp(&free_va(x)).then(x.cmp(&y)));
        let hung = units
            .into_iter()
            .any(|unit| resize::hang(ctx, state, tools, &run.shape, unit));
        if !hung {
            let (_, part) = run.shape.cut(ctx.job, 0);
            if !tools.attach(ctx, state, &part, None, manner) {
                homeless.extend(part.leads.iter().map(|lead| lead.fixture));
            }
        }
    }
    Some(homeless)
}

/// The same, with all that hung on the old ones to be served anew.
pub(crate) fn rearrange(
    ctx: &Context<'_>,
    state: &mut State,
    tools: &mut Tools,
) -> Option<Vec<FixtureId>> {
    let exchanged = exchange(ctx, state, tools)?;
    let leads = exchanged
        .circuits
        .iter()
        .flat_map(|(_, run)| &run.shape.leads);
    Some(leads.map(|lead| lead.fixture).collect())
}

/// What an exchange of transformers leaves to be done.
struct Exchanged {
    /// The circuits that hung on the old ones, with their sites.
    circuits: Vec<(SiteId, Arc<Run>)>,
    /// Slots of the new ones, with nothing on them.
    fresh: Vec<usize>,
}

/// Puts an empty set of transformers in place of one to three.
fn exchange(ctx: &Context<'_>, state: &mut State, tools: &mut Tools) -> Option<Exchanged> {
    let leaving = choose_leaving(state, tools)?;
    let old: Vec<Unit> = leaving
        .iter()
        .filter_map(|&slot| state.units[slot])
        .collect();
    let carried_va: f64 = leaving
        .iter()
        .map(|&slot| state.unit_va(ctx, slot, None))
        .sum();
    let fresh = draw_set(ctx, state, tools, &old, carried_va)?;
    let mut circuits = Vec::new();
    for (&unit, details) in leaving.iter().zip(&old) {
        let slots: Vec<usize> = state.runs_on(unit).map(|(slot, _)| slot).collect();
        for slot in slots {
            let taken = state.take(ctx, slot);
            circuits.extend(taken.map(|placed| (details.site, placed.run)));
        }
        state.units[unit] = None;
    }
    let fresh = fresh.into_iter().map(|unit| state.add_unit(unit)).collect();
    Some(Exchanged { circuits, fresh })
}

/// One bought transformer at random, and up to two more, those at its site first.
fn choose_leaving(state: &State, tools: &mut Tools) -> Option<Vec<usize>> {
    let bought = |slot: &usize| {
        !state.is_closed(*slot)
            && state.units[*slot].is_some_and(|unit| {
                !unit.pinned && matches!(unit.source, TransformerSource::New(_))
            })
    };
    let mut others: Vec<usize> = (0..state.units.len()).filter(bought).collect();
    if others.is_empty() {
        return None;
    }
    let first = others.swap_remove(tools.random.random_range(0..others.len()));
    let mut leaving = vec![first];
    let site = |slot: usize| state.units[slot].map(|unit| unit.site);
    let count = tools.random.random_range(0..MOST_GIVING_WAY);
    while leaving.len() <= count && !others.is_empty() {
        let here: Vec<usize> = (0..others.len())
            .filter(|&at| site(others[at]) == site(first))
            .collect();
        let at = if here.is_empty() {
            tools.random.random_range(0..others.len())
        } else {
            here[tools.random.random_range(0..here.len())]
        };
        leaving.push(others.swap_remove(at));
    }
    Some(leaving)
}

/// A set of new transformers that could carry the load at a cost not far above the old.
fn draw_set(
    ctx: &Context<'_>,
    state: &State,
    tools: &mut Tools,
    old: &[Unit],
    carried_va: f64,
) -> Option<Vec<Unit>> {
    let models = ctx.job.transformers.len();
    let cost = |units: &[Unit]| -> f64 {
        let each = units.iter();
        each.map(|unit| ctx.tariff.transformer(unit.model).value())
            .sum()
    };
    let key = |units: &[Unit]| {
        let mut key: Vec<_> = units.iter().map(|unit| (unit.site, unit.model)).collect();
        key.sort_unstable();
        key
    };
    for _ in 0..MOST_DRAWS {
        let count = 1 + tools.random.random_range(0..=old.len());
        let mut drawn = Vec::with_capacity(count);
        for _ in 0..count {
            let site = if tools.random.random_range(0..4_u32) == 0 {
                SiteId::new(tools.random.random_range(0..ctx.job.sites.len()))
            } else {
                old[tools.random.random_range(0..old.len())].site
            };
            let model = TransformerModelId::new(tools.random.random_range(0..models));
            drawn.push(Unit {
                site,
                source: TransformerSource::New(model),
                model,
                pinned: false,
            });
        }
        let offered_va: f64 = drawn.iter().map(|unit| permitted_va(ctx, unit.model)).sum();
        if drawn.iter().all(|unit| !state.is_shut(unit.site))
            && offered_va >= TIGHTER * carried_va
            && cost(&drawn) <= DEARER * cost(old)
            && key(&drawn) != key(old)
        {
            return Some(drawn);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::{carry_over, rearrange};
    use crate::ids::FixtureId;
    use crate::job::Layout;
    use crate::optimise::insert::{Manner, child_random};
    use crate::optimise::search::Chain;
    use crate::run::Context;

    /// Whatever set is drawn, every fixture is served once or comes back to be served anew.
    #[test]
    fn an_exchange_of_transformers_loses_no_fixture() {
        let mut job = crate::bill::specimen::job();
        job.existing.clear();
        let ctx = Context::new(&job, Layout::Mixed);
        let mut chain = Chain::new(&ctx, child_random(3, 0));
        chain.construct(&ctx, true);
        assert!(
            chain.current.unserved.is_empty(),
            "{:?}",
            chain.current.unserved
        );
        let (mut exchanged, mut kept_whole) = (0, 0);
        for trial in 0..60 {
            let mut state = chain.current.state.clone();
            let before = state.cost();
            let found = match trial % 2 {
                0 => carry_over(&ctx, &mut state, &mut chain.tools, Manner::PLAIN),
                _ => rearrange(&ctx, &mut state, &mut chain.tools),
            };
            let Some(homeless) = found else { continue };
            exchanged += 1;
            kept_whole += usize::from(homeless.is_empty());
            let mut all: Vec<FixtureId> = state.served().chain(homeless).collect();
            all.sort_unstable();
            assert!(all.iter().copied().eq(job.fixture_ids()), "{all:?}");
            assert!(before.is_finite() && state.cost().is_finite());
        }
        assert!(exchanged > 0 && kept_whole > 0, "{exchanged} {kept_whole}");
    }
}
