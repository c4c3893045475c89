//! Another set of transformers in place of some that stand: fewer and larger, more
//! and smaller, elsewhere. What hung on the old ones is then put back.
//!
//! Single insertions never find these: the first fixture of a larger transformer
//! would have to pay for all of it.

use super::insert::Tools;
use super::state::{State, Unit};
use crate::ids::{FixtureId, SiteId, TransformerModelId};
use crate::plan::TransformerSource;
use crate::run::{Context, permitted_va};
use rand::RngExt as _;

/// Most transformers that give way at once.
const MOST_GIVING_WAY: usize = 3;
/// Draws of a replacement before the change is given up.
const MOST_DRAWS: usize = 30;
/// A replacement may cost this much more than what it replaces: shorter circuits may pay for it.
const DEARER: f64 = 1.35;
/// A replacement may offer this much less than the old ones carry: other routes lose less.
const TIGHTER: f64 = 0.93;

/// Replaces one to three bought transformers by another set, empty so far; what
/// hung on them comes back as the fixtures to serve anew. `None` when no set was found.
pub(crate) fn rearrange(
    ctx: &Context<'_>,
    state: &mut State,
    tools: &mut Tools,
) -> Option<Vec<FixtureId>> {
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
    let mut gone = Vec::new();
    for &unit in &leaving {
        let slots: Vec<usize> = state.runs_on(unit).map(|(slot, _)| slot).collect();
        for slot in slots {
            if let Some(placed) = state.take(ctx, slot) {
                gone.extend(placed.run.shape.leads.iter().map(|lead| lead.fixture));
            }
        }
        state.units[unit] = None;
    }
    for unit in fresh {
        state.add_unit(unit);
    }
    Some(gone)
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
