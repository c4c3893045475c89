//! Which places of a run can take one more fixture at all, by counts alone: what
//! the job's limits or the layout refuse is never priced.

use super::state::State;
use crate::job::Layout;
use crate::run::{Context, Shape, least_va, permitted_va};

/// Tolerance of what is refused for its apparent power alone, VA.
pub(super) const REFUSED_VA: f64 = 1e-3;

/// Whether the transformer of a run bears so much more in it, if every fixture of the run draws
/// its least.
pub(super) fn bears(ctx: &Context<'_>, state: &State, run: usize, more_va: f64) -> bool {
    state.runs[run].as_ref().is_some_and(|placed| {
        let others_va = state.unit_va(ctx, placed.unit, Some(run));
        let own_va = least_va(ctx, &placed.run.shape) + more_va;
        state.units[placed.unit]
            .is_some_and(|unit| others_va + own_va <= permitted_va(ctx, unit.model) + REFUSED_VA)
    })
}

/// Whether a circuit may serve so many fixtures more.
pub(super) fn has_room(ctx: &Context<'_>, shape: &Shape, more: usize) -> bool {
    let most = ctx.job.rules.most_fixtures_per_circuit;
    let hub_is_full = || {
        let at_hub = shape.children()[0] + shape.landed()[0];
        ctx.layout == Layout::Hub && at_hub >= most_on_a_hub(ctx)
    };
    most.is_none_or(|most| shape.leads.len() + more <= most as usize) && !hub_is_full()
}

/// Most pieces and leads that leave any hub on sale.
fn most_on_a_hub(ctx: &Context<'_>) -> u32 {
    let rules = &ctx.job.rules;
    let ports = ctx.job.hubs.iter().map(|hub| hub.most_in_use);
    let usable = ports.max().unwrap_or(0).saturating_sub(rules.spare.ports);
    rules
        .most_fixtures_per_hub
        .map_or(usable, |most| usable.min(most))
}

/// Whether the layout lets a fixture be fed from this joint, or from a new joint
/// inside the piece that feeds it (`inside`); `lands` when its lead reaches there.
pub(super) fn layout_takes(
    ctx: &Context<'_>,
    shape: &Shape,
    joint: usize,
    inside: bool,
    lands: bool,
) -> bool {
    match ctx.layout {
        Layout::Mixed => true,
        Layout::Hub => joint == 0 && !inside,
        Layout::Chain if inside => lands && interposes(ctx, shape, joint),
        Layout::Chain => lands || shape.children()[joint] < if joint == 0 { 2 } else { 1 },
    }
}

/// Whether the layout lets a new joint stand before this one.
pub(super) fn interposes(ctx: &Context<'_>, shape: &Shape, joint: usize) -> bool {
    match ctx.layout {
        Layout::Mixed => true,
        Layout::Hub => false,
        // The home run may land between the ends of a path; what comes behind its landing may not branch.
        Layout::Chain => joint != 0 || shape.children()[0] <= 1,
    }
}
