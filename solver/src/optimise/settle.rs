//! From a trial with circuits that were only ranked to a plan that holds.

use super::insert::Tools;
use super::search::Trial;
use super::state::State;
use crate::run::{Context, Run};
use std::sync::Arc;

/// Evaluates exactly what so far was only ranked; the slot of a run that does not hold.
fn firm_up(ctx: &Context<'_>, state: &mut State, tools: &mut Tools) -> Result<(), usize> {
    for slot in 0..state.runs.len() {
        let Some(placed) = state.runs[slot]
            .clone()
            .filter(|placed| !placed.run.figures.exact)
        else {
            continue;
        };
        let run = state
            .supply(ctx, placed.unit, placed.run.secondary, Some(slot))
            .and_then(|supply| tools.evaluator.evaluate(ctx, &placed.run.shape, &supply));
        state.place(ctx, Some(slot), placed.unit, Arc::new(run.ok_or(slot)?));
    }
    Ok(())
}

/// Makes a trial a plan: exact runs, transformers in agreement with their load,
/// sites that carry what stands there. What does not hold is taken out and its
/// fixtures are left unserved; false when that does not end.
pub(crate) fn settle(ctx: &Context<'_>, trial: &mut Trial, tools: &mut Tools) -> bool {
    const MOST_REMOVALS: usize = 40;
    for _ in 0..MOST_REMOVALS {
        let state = &mut trial.state;
        let failing = firm_up(ctx, state, tools).and_then(|()| recouple(ctx, state, tools));
        match failing {
            Err(slot) => trial.drop_run(ctx, slot),
            Ok(()) if trial.state.settle_units(ctx) => return true,
            Ok(()) => {
                let Some(unit) = trial.state.unit_too_many(ctx) else {
                    return false;
                };
                let slots: Vec<usize> = trial.state.runs_on(unit).map(|(slot, _)| slot).collect();
                for slot in slots {
                    trial.drop_run(ctx, slot);
                }
            }
        }
    }
    false
}

/// Brings all runs of each transformer into agreement on its load: regulation
/// ties their voltages together. The slot of a run that cannot be made to hold.
///
/// The load of one run changes the source voltage of another by regulation x
/// VA share only, so the rounds contract quickly; they end when no VA moves.
fn recouple(ctx: &Context<'_>, state: &mut State, tools: &mut Tools) -> Result<(), usize> {
    const SETTLED_VA: f64 = 1e-7;
    const MOST_ROUNDS: usize = 30;
    for _ in 0..MOST_ROUNDS {
        let mut moved = false;
        for slot in 0..state.runs.len() {
            let Some(placed) = state.runs[slot]
                .clone()
                .filter(|placed| !state.is_closed(placed.unit))
            else {
                continue;
            };
            let Some(supply) = state.supply(ctx, placed.unit, placed.run.secondary, Some(slot))
            else {
                return Err(slot);
            };
            if (supply.other_va - placed.run.figures.other_va).abs() <= SETTLED_VA {
                continue;
            }
            moved = true;
            let refreshed = match tools.evaluator.refresh(ctx, &placed.run, &supply) {
                Some(figures) => Run {
                    figures,
                    ..(*placed.run).clone()
                },
                None => match tools.evaluator.evaluate(ctx, &placed.run.shape, &supply) {
                    Some(run) => run,
                    None => return Err(slot),
                },
            };
            state.place(ctx, Some(slot), placed.unit, Arc::new(refreshed));
        }
        if !moved {
            return Ok(());
        }
    }
    Err(0)
}
