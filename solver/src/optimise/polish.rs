//! The end of a search: every part of every circuit is cut off once and hung
//! where it costs least, until nothing gets cheaper. Random steps seldom try all
//! of a large plan; this does.

use super::insert::{Manner, Tools};
use super::reconnect;
use super::search::Trial;
use super::settle::settle;
use crate::run::Context;

/// Times that the whole plan is gone through at most.
const MOST_PASSES: usize = 3;

/// Share of its cost that a pass must bring for another one.
const WORTH_ANOTHER: f64 = 1e-4;

/// Share by which a plan with rough gauges may stand above the present one and
/// still come out cheaper when its gauges are exact.
const ROUGH: f64 = 0.002;

/// Moves parts of a plan as long as that makes it cheaper; `stop` ends it early.
pub(super) fn polish(
    ctx: &Context<'_>,
    trial: &mut Trial,
    tools: &mut Tools,
    stop: &(dyn Fn() -> bool + Sync),
) {
    for _ in 0..MOST_PASSES {
        let before = trial.state.cost();
        for slot in 0..trial.state.runs.len() {
            let mut joint = 0;
            while joint < joints(trial, slot) {
                if stop() {
                    return;
                }
                if let Some(better) = moved(ctx, trial, tools, slot, joint) {
                    *trial = better;
                }
                joint += 1;
            }
        }
        if trial.state.cost() > before * (1.0 - WORTH_ANOTHER) {
            return;
        }
    }
}

fn joints(trial: &Trial, slot: usize) -> usize {
    let placed = trial.state.runs[slot].as_ref();
    placed.map_or(0, |placed| placed.run.shape.joints.len())
}

/// The plan with one part hung elsewhere, when that is cheaper.
fn moved(
    ctx: &Context<'_>,
    trial: &Trial,
    tools: &mut Tools,
    slot: usize,
    joint: usize,
) -> Option<Trial> {
    let mut next = trial.clone();
    let mut homeless = Vec::new();
    let part = reconnect::detach(ctx, &mut next.state, tools, slot, joint, &mut homeless)?;
    let hung =
        homeless.is_empty() && tools.attach(ctx, &mut next.state, &part, None, Manner::PLAIN);
    hung.then_some(())?;
    next.state.settle_units(ctx);
    let promising = next.state.cost() < trial.state.cost() * (1.0 + ROUGH);
    (promising && settle(ctx, &mut next, tools) && next.beats(trial)).then_some(next)
}
