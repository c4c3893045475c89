//! Decisions made beforehand, and starting from a given plan.

use super::insert::Tools;
use super::state::{State, Unit};
use crate::ids::FixtureId;
use crate::plan::{Circuit, Plan, TransformerSource};
use crate::run::{Context, Figures, Keep, Run, Shape, Supply};
use std::sync::Arc;

/// Whether the decisions let a circuit on a unit take this shape; `slot` is the circuit's own.
pub(super) fn allowed(
    ctx: &Context<'_>,
    state: &State,
    slot: Option<usize>,
    shape: &Shape,
    site: crate::ids::SiteId,
) -> bool {
    let decisions = &ctx.guidance.decisions;
    if decisions.is_empty() {
        return true;
    }
    let served: Vec<FixtureId> = shape.leads.iter().map(|lead| lead.fixture).collect();
    let serves = |shape: &Shape, fixture| shape.leads.iter().any(|lead| lead.fixture == fixture);
    decisions.allow(&served, site, |mate| {
        state
            .placed()
            .any(|(other, placed)| Some(other) != slot && serves(&placed.run.shape, mate))
    })
}

/// Whether every circuit of a state obeys the decisions.
pub(super) fn holds(ctx: &Context<'_>, state: &State) -> bool {
    ctx.guidance.decisions.is_empty()
        || state.placed().all(|(slot, placed)| {
            state.units[placed.unit]
                .is_some_and(|unit| allowed(ctx, state, Some(slot), &placed.run.shape, unit.site))
        })
}

/// The circuits of a given plan as far as they hold; the fixtures left over.
pub(super) fn start_from(
    ctx: &Context<'_>,
    keep: &Keep,
    tools: &mut Tools,
) -> (State, Vec<FixtureId>) {
    let plan = &keep.plan;
    let mut state = State::empty(ctx);
    let mut waiting = Vec::new();
    let units: Vec<usize> = plan
        .transformers
        .iter()
        .map(|placed| match placed.source {
            TransformerSource::Existing(id) => id.index(),
            TransformerSource::New(model) => {
                let unit = Unit {
                    pinned: false,
                    ..super::reconnect::bought(placed.site, model)
                };
                state
                    .pinned_like(&unit)
                    .unwrap_or_else(|| state.add_unit(unit))
            }
        })
        .collect();
    for circuit in &plan.circuits {
        let unit = units[circuit.transformer.index()];
        let run = state
            .supply(ctx, unit, circuit.secondary, None)
            .and_then(|supply| kept_run(ctx, plan, circuit, keep, &supply, tools));
        let site = plan.transformers[circuit.transformer.index()].site;
        match run.filter(|run| allowed(ctx, &state, None, &run.shape, site)) {
            Some(run) => {
                state.place(ctx, None, unit, Arc::new(run));
            }
            None => waiting.extend(circuit.leads.iter().map(|lead| lead.fixture)),
        }
    }
    let served: Vec<FixtureId> = state.served().collect();
    let fresh = ctx.job.fixture_ids();
    waiting.extend(fresh.filter(|fixture| !served.contains(fixture)));
    waiting.sort_unstable();
    waiting.dedup();
    (state, waiting)
}

/// A circuit as it was, with its cables, joints and tap; where the plan no longer
/// obeys the job's rules, or the supply has changed, with new ones.
fn kept_run(
    ctx: &Context<'_>,
    plan: &Plan,
    circuit: &Circuit,
    keep: &Keep,
    supply: &Supply,
    tools: &mut Tools,
) -> Option<Run> {
    let shape = Shape {
        source: plan.source_node(ctx.job, circuit),
        joints: circuit.joints.clone(),
        leads: circuit.leads.clone(),
    };
    let as_it_was =
        keep.lawful && supply.tap_free[circuit.tap] && supply.common_free[circuit.common];
    let refreshed = as_it_was
        .then(|| {
            let run = Run {
                figures: Figures {
                    cost: cost(ctx, plan, circuit, keep, &shape),
                    amps: 0.0,
                    va: shape
                        .leads
                        .iter()
                        .map(|lead| ctx.fixtures[lead.fixture.index()].apparent_va)
                        .sum(),
                    margin_v: 0.0,
                    other_va: supply.other_va,
                    exact: true,
                },
                shape: shape.clone(),
                secondary: circuit.secondary,
                tap: circuit.tap,
                common: circuit.common,
            };
            let figures = tools.evaluator.refresh(ctx, &run, supply)?;
            Some(Run { figures, ..run })
        })
        .flatten();
    refreshed.or_else(|| tools.evaluator.evaluate(ctx, &shape, supply))
}

/// Pieces, per-cable work and joints of a circuit, less what keeping its pieces is worth.
fn cost(ctx: &Context<'_>, plan: &Plan, circuit: &Circuit, keep: &Keep, shape: &Shape) -> f64 {
    let of_joint = |joint: usize| {
        let fed = &circuit.joints[joint];
        let length = circuit.piece_length(ctx.job, plan, crate::ids::JointId::new(joint));
        let segments = fed.incoming.route.segments.iter();
        let passes: f64 = segments.map(|id| ctx.per_pass[id.index()]).sum();
        ctx.tariff.cable_per_metre(fed.incoming.cable) * length.metres(ctx.job).value()
            + passes
            + ctx.tariff.hardware(fed.hardware).value()
            - keep.worth(shape, joint, fed.incoming.cable)
    };
    (0..circuit.joints.len()).map(of_joint).sum()
}
