//! Changing transformers under standing circuits: another model, or moving all
//! circuits of one transformer onto another at the same site.

use super::insert::Tools;
use super::state::{State, Unit, zone_of};
use crate::ids::TransformerModelId;
use crate::plan::TransformerSource;
use crate::run::{Context, Shape};
use rand::RngExt as _;
use std::sync::Arc;

/// Tries one random change of a bought transformer; false when it does not work out.
pub(crate) fn change_unit(ctx: &Context<'_>, state: &mut State, tools: &mut Tools) -> bool {
    let bought: Vec<(usize, Unit)> = state
        .units
        .iter()
        .enumerate()
        .filter_map(|(slot, unit)| unit.map(|unit| (slot, unit)))
        .filter(|&(slot, _)| !state.is_closed(slot))
        .filter(|(_, unit)| !unit.pinned && matches!(unit.source, TransformerSource::New(_)))
        .collect();
    if bought.is_empty() {
        return false;
    }
    let (slot, unit) = bought[tools.random.random_range(0..bought.len())];
    let beside: Vec<usize> = (0..state.units.len())
        .filter(|&other| {
            other != slot
                && !state.is_closed(other)
                && state.units[other].is_some_and(|other| other.site == unit.site)
        })
        .collect();
    if !beside.is_empty() && tools.random.random_range(0..2_u32) == 0 {
        let other = beside[tools.random.random_range(0..beside.len())];
        return move_runs(ctx, state, tools, slot, other);
    }
    let model = TransformerModelId::new(tools.random.random_range(0..ctx.job.transformers.len()));
    if model == unit.model {
        return false;
    }
    let fresh = state.add_unit(Unit {
        source: TransformerSource::New(model),
        model,
        ..unit
    });
    move_runs(ctx, state, tools, slot, fresh)
}

/// Hangs every run of `from` on some secondary of `to`, largest first.
fn move_runs(
    ctx: &Context<'_>,
    state: &mut State,
    tools: &mut Tools,
    from: usize,
    to: usize,
) -> bool {
    let mut moving: Vec<usize> = state.runs_on(from).map(|(slot, _)| slot).collect();
    let va = |state: &State, slot: usize| {
        state.runs[slot]
            .as_ref()
            .map_or(0.0, |placed| placed.run.figures.va)
    };
    moving.sort_by(|&x, &y| va(state, y).total_cmp(&va(state, x)).then(x.cmp(&y)));
    let taken: Vec<_> = moving
        .into_iter()
        .filter_map(|slot| state.take(ctx, slot))
        .collect();
    taken
        .into_iter()
        .all(|placed| hang(ctx, state, tools, &placed.run.shape, to))
}

/// Hangs a circuit as it is on some secondary of a transformer at its site; false where none
/// takes it.
pub(super) fn hang(
    ctx: &Context<'_>,
    state: &mut State,
    tools: &mut Tools,
    shape: &Shape,
    to: usize,
) -> bool {
    let Some(model) = state.units[to].map(|unit| unit.model) else {
        return false;
    };
    (0..ctx.job.transformer(model).secondaries.len()).any(|secondary| {
        if !state.zone_fits(ctx, to, secondary, zone_of(ctx, shape), None) {
            return false;
        }
        let run = state
            .supply(ctx, to, secondary, None)
            .and_then(|supply| tools.evaluator.evaluate(ctx, shape, &supply));
        run.map(|run| state.place(ctx, None, to, Arc::new(run)))
            .is_some()
    })
}
