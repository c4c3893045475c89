//! Working on several parts of a large plan at a time.
//!
//! Local changes of one chain and of another do not add up when only the better
//! plan of the two is kept. So the transformers of a plan, with their circuits,
//! are divided among the chains; each changes its own region while everything
//! else stays, and the regions are put together again. After the idea of
//! POPMUSIC (E. D. Taillard, S. Voss, "POPMUSIC: partial optimization
//! metaheuristic under special intensification conditions", in: Essays and
//! Surveys in Metaheuristics, Kluwer 2002, 613-629; from memory).

use super::insert::{Random, Tools};
use super::ruin::Neighbours;
use super::search::Trial;
use super::settle::settle;
use super::state::State;
use crate::plan::TransformerSource;
use crate::run::Context;
use rand::RngExt as _;
use std::sync::Arc;

/// What must stay while a region is worked on.
pub(crate) struct Closed {
    /// By unit slot.
    pub units: Vec<bool>,
    /// By fixture.
    pub fixtures: Vec<bool>,
}

/// Neighbours of a fixture that tell how closely two transformers' circuits lie together.
const NEAREST: usize = 12;

/// Most fixtures of a region, unless one transformer alone has more.
const REGION_FIXTURES: usize = 70;

/// Unit slots, region by region: each grown from a unit at random by those whose
/// fixtures lie among its own. At most `count` regions; units left over belong to none.
pub(super) fn divide(
    ctx: &Context<'_>,
    state: &State,
    near: &Neighbours,
    count: usize,
    random: &mut Random,
) -> Vec<Vec<usize>> {
    let unit_of = units_of_fixtures(ctx, state);
    let fixtures_on = fixtures_on_units(state, &unit_of);
    let target = (ctx.fixtures.len() / count).clamp(1, REGION_FIXTURES);
    let mut free: Vec<usize> = (0..state.units.len())
        .filter(|&unit| !fixtures_on[unit].is_empty())
        .collect();
    let mut regions = Vec::new();
    while regions.len() < count && !free.is_empty() {
        let first = free.swap_remove(random.random_range(0..free.len()));
        let mut region = vec![first];
        let mut size = fixtures_on[first].len();
        while size < target && !free.is_empty() {
            let closeness = |unit: usize| -> usize {
                let theirs = fixtures_on[unit].iter();
                let among = theirs.flat_map(|&id| near.of(id).iter().take(NEAREST));
                among
                    .filter(|id| unit_of[id.index()].is_some_and(|unit| region.contains(&unit)))
                    .count()
            };
            let Some((at, _)) = free
                .iter()
                .enumerate()
                .map(|(at, &unit)| (at, closeness(unit)))
                .filter(|&(_, closeness)| closeness > 0)
                .max_by(|x, y| x.1.cmp(&y.1).then(y.0.cmp(&x.0)))
            else {
                break;
            };
            let unit = free.swap_remove(at);
            size += fixtures_on[unit].len();
            region.push(unit);
        }
        regions.push(region);
    }
    regions
}

fn units_of_fixtures(ctx: &Context<'_>, state: &State) -> Vec<Option<usize>> {
    let mut unit_of = vec![None; ctx.fixtures.len()];
    for (_, placed) in state.placed() {
        for lead in &placed.run.shape.leads {
            unit_of[lead.fixture.index()] = Some(placed.unit);
        }
    }
    unit_of
}

fn fixtures_on_units(state: &State, unit_of: &[Option<usize>]) -> Vec<Vec<crate::ids::FixtureId>> {
    let mut fixtures = vec![Vec::new(); state.units.len()];
    for (fixture, unit) in unit_of.iter().enumerate() {
        if let Some(unit) = unit {
            fixtures[*unit].push(crate::ids::FixtureId::new(fixture));
        }
    }
    fixtures
}

/// A plan of which only one region may change.
pub(super) fn only(ctx: &Context<'_>, plan: &Trial, region: &[usize]) -> Trial {
    let unit_of = units_of_fixtures(ctx, &plan.state);
    let closed = Closed {
        units: (0..plan.state.units.len())
            .map(|unit| plan.state.units[unit].is_some() && !region.contains(&unit))
            .collect(),
        fixtures: unit_of
            .iter()
            .map(|unit| unit.is_some_and(|unit| !region.contains(&unit)))
            .collect(),
    };
    let mut trial = plan.clone();
    trial.state.closed = Some(Arc::new(closed));
    trial
}

/// Puts together what several chains made of their regions of `before`; `None`
/// when the whole does not hold, as when two regions claim the same outlet.
pub(super) fn together(
    ctx: &Context<'_>,
    before: &Trial,
    regions: &[Vec<usize>],
    worked: &[&Trial],
    tools: &mut Tools,
) -> Option<Trial> {
    let mut state = State::empty(ctx);
    let untouched = |unit: usize| !regions.iter().any(|region| region.contains(&unit));
    carry_over(ctx, &mut state, &before.state, &untouched);
    for trial in worked {
        let own = |unit: usize| !trial.state.is_closed(unit);
        carry_over(ctx, &mut state, &trial.state, &own);
    }
    let mut whole = Trial {
        state,
        unserved: before.unserved.clone(),
    };
    (settle(ctx, &mut whole, tools) && whole.unserved.len() == before.unserved.len())
        .then_some(whole)
}

/// Copies units with their runs.
fn carry_over(ctx: &Context<'_>, to: &mut State, from: &State, chosen: &dyn Fn(usize) -> bool) {
    for (slot, unit) in from.units.iter().enumerate() {
        let Some(unit) = unit.filter(|_| chosen(slot) && from.runs_on(slot).next().is_some())
        else {
            continue;
        };
        let fixed = unit.pinned || matches!(unit.source, TransformerSource::Existing(_));
        let fresh = if fixed { slot } else { to.add_unit(unit) };
        for (_, placed) in from.runs_on(slot) {
            to.place(ctx, None, fresh, Arc::clone(&placed.run));
        }
    }
}
