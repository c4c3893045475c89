//! Taking a part of the plan out, so that it can be built anew.
//!
//! After "slack induction by string removals" (J. Christiaens, G. Vanden Berghe,
//! Transportation Science 54 (2020) 417-433): what is taken out lies together,
//! so that what is put back can change places.

use super::insert::Random;
use super::state::State;
use crate::ids::{FixtureId, NodeId, SegmentId};
use crate::run::{Context, Shape};
use crate::site::{Reach, ShortestRoutes};
use rand::RngExt as _;
use rand::seq::SliceRandom as _;
use std::sync::Arc;

/// Most neighbours remembered for a fixture.
const MOST_NEIGHBOURS: usize = 40;

/// For each fixture the others, nearest first along the paths.
pub(crate) struct Neighbours {
    near: Vec<Vec<FixtureId>>,
}

impl Neighbours {
    /// The fixtures nearest to one, nearest first.
    pub fn of(&self, fixture: FixtureId) -> &[FixtureId] {
        &self.near[fixture.index()]
    }

    pub fn new(ctx: &Context<'_>) -> Self {
        let mut at: Vec<Vec<FixtureId>> = vec![Vec::new(); ctx.graph.node_count()];
        for id in ctx.job.fixture_ids() {
            at[ctx.fixtures[id.index()].node.index()].push(id);
        }
        let mut routes = ShortestRoutes::new(ctx.graph.node_count());
        let near = ctx
            .job
            .fixture_ids()
            .map(|id| {
                let mut near = Vec::new();
                let start: NodeId = ctx.fixtures[id.index()].node;
                let weight = |segment: SegmentId| ctx.length_m[segment.index()];
                routes.search(&ctx.graph, [(start, 0.0)], (weight, 1.0), |node, _| {
                    near.extend(at[node.index()].iter().filter(|&&other| other != id));
                    if near.len() >= MOST_NEIGHBOURS {
                        Reach::Enough
                    } else {
                        Reach::Further
                    }
                });
                near
            })
            .collect();
        Self { near }
    }
}

/// Chooses what to take out: about `most` fixtures, at least one.
pub(crate) fn choose(
    ctx: &Context<'_>,
    state: &State,
    near: &Neighbours,
    most: usize,
    random: &mut Random,
) -> Vec<FixtureId> {
    let served: Vec<FixtureId> = state.served().collect();
    let Some(&seed) = served.get(random.random_range(0..served.len().max(1))) else {
        return Vec::new();
    };
    let count = random.random_range(1..=most.max(1));
    match random.random_range(0..100_u32) {
        0..45 => neighbourhood(near, seed, count),
        45..65 => behind_a_joint(state, seed, count, random),
        65..80 => strings(state, near, seed, count),
        80..90 => whole_runs(state, near, seed, 2 * most, random),
        90..97 => {
            let mut some = served;
            some.shuffle(random);
            some.truncate(count);
            some
        }
        _ => whole_unit(ctx, state, seed),
    }
}

fn neighbourhood(near: &Neighbours, seed: FixtureId, count: usize) -> Vec<FixtureId> {
    std::iter::once(seed)
        .chain(near.near[seed.index()].iter().copied())
        .take(count)
        .collect()
}

pub(super) fn run_of(state: &State, fixture: FixtureId) -> Option<(usize, &Shape)> {
    state
        .open()
        .map(|(slot, placed)| (slot, &placed.run.shape))
        .find(|(_, shape)| shape.leads.iter().any(|lead| lead.fixture == fixture))
}

/// Everything behind the seed's joint, or behind a joint above it while that is not too much.
fn behind_a_joint(
    state: &State,
    seed: FixtureId,
    count: usize,
    random: &mut Random,
) -> Vec<FixtureId> {
    let Some((_, shape)) = run_of(state, seed) else {
        return vec![seed];
    };
    let behind = |top: usize| {
        let mut inside = vec![false; shape.joints.len()];
        inside[top] = true;
        for joint in top + 1..shape.joints.len() {
            inside[joint] = shape.joints[joint]
                .incoming
                .from
                .is_some_and(|from| inside[from.index()]);
        }
        let leads = shape.leads.iter().filter(|lead| inside[lead.joint.index()]);
        leads.map(|lead| lead.fixture).collect::<Vec<_>>()
    };
    let mut top = shape
        .leads
        .iter()
        .find(|lead| lead.fixture == seed)
        .map_or(0, |lead| lead.joint.index());
    let mut chosen = behind(top);
    while let Some(above) = shape.joints[top].incoming.from {
        let more = behind(above.index());
        if more.len() > count || random.random_range(0..4_u32) == 0 {
            break;
        }
        (top, chosen) = (above.index(), more);
    }
    chosen
}

/// A few neighbouring fixtures from each of the runs nearest to the seed.
fn strings(state: &State, near: &Neighbours, seed: FixtureId, count: usize) -> Vec<FixtureId> {
    let mut slots = Vec::new();
    let mut chosen = Vec::new();
    for fixture in std::iter::once(seed).chain(near.near[seed.index()].iter().copied()) {
        let Some((slot, _)) = run_of(state, fixture) else {
            continue;
        };
        if !slots.contains(&slot) {
            if slots.len() == 3 {
                continue;
            }
            slots.push(slot);
        }
        chosen.push(fixture);
        if chosen.len() >= count {
            break;
        }
    }
    chosen
}

/// The seed's whole run, and perhaps its nearest neighbour, when not too large.
fn whole_runs(
    state: &State,
    near: &Neighbours,
    seed: FixtureId,
    most: usize,
    random: &mut Random,
) -> Vec<FixtureId> {
    let fixtures_of = |shape: &Shape| {
        shape
            .leads
            .iter()
            .map(|lead| lead.fixture)
            .collect::<Vec<_>>()
    };
    let Some((slot, shape)) = run_of(state, seed) else {
        return vec![seed];
    };
    let mut chosen = fixtures_of(shape);
    if random.random_range(0..2_u32) == 0 {
        let other = near.near[seed.index()]
            .iter()
            .filter_map(|&fixture| run_of(state, fixture))
            .find(|&(other, _)| other != slot);
        chosen.extend(other.into_iter().flat_map(|(_, shape)| fixtures_of(shape)));
    }
    if chosen.len() > most {
        return neighbourhood(near, seed, most / 2);
    }
    chosen
}

/// Everything on the seed's transformer, when it is not more than a quarter of the job or 60 fixtures.
fn whole_unit(ctx: &Context<'_>, state: &State, seed: FixtureId) -> Vec<FixtureId> {
    let Some((slot, _)) = run_of(state, seed) else {
        return vec![seed];
    };
    let unit = state.runs[slot].as_ref().map_or(0, |placed| placed.unit);
    let chosen: Vec<FixtureId> = state
        .runs_on(unit)
        .flat_map(|(_, placed)| placed.run.shape.leads.iter().map(|lead| lead.fixture))
        .collect();
    if chosen.len() > 60.max(ctx.fixtures.len() / 4) {
        vec![seed]
    } else {
        chosen
    }
}

/// Everything on one transformer, or on all at one site: chosen at random.
pub(crate) fn choose_upheaval(state: &State, random: &mut Random) -> Vec<FixtureId> {
    let used: Vec<usize> = (0..state.units.len())
        .filter(|&unit| !state.is_closed(unit) && state.runs_on(unit).next().is_some())
        .collect();
    let Some(&unit) = used.get(random.random_range(0..used.len().max(1))) else {
        return Vec::new();
    };
    let whole_site = random.random_range(0..3_u32) == 0;
    let site = state.units[unit].map(|unit| unit.site);
    let hit = |other: usize| {
        other == unit || (whole_site && state.units[other].map(|unit| unit.site) == site)
    };
    let runs = state.open().filter(|(_, placed)| hit(placed.unit));
    runs.flat_map(|(_, placed)| placed.run.shape.leads.iter().map(|lead| lead.fixture))
        .collect()
}

/// Takes fixtures out of the state. Runs that lose some are rebuilt; false when
/// a rebuilt run no longer holds (a shorter run may stand too high in voltage).
pub(crate) fn take_out(
    ctx: &Context<'_>,
    state: &mut State,
    tools: &mut super::insert::Tools,
    gone: &mut Vec<FixtureId>,
) {
    if let Some(closed) = &state.closed {
        gone.retain(|fixture| !closed.fixtures[fixture.index()]);
    }
    ctx.guidance.decisions.complete(gone);
    let mut leaving = vec![false; ctx.fixtures.len()];
    for fixture in &*gone {
        leaving[fixture.index()] = true;
    }
    for slot in 0..state.runs.len() {
        let Some(placed) = &state.runs[slot] else {
            continue;
        };
        if !placed
            .run
            .shape
            .leads
            .iter()
            .any(|lead| leaving[lead.fixture.index()])
        {
            continue;
        }
        let Some(placed) = state.take(ctx, slot) else {
            continue;
        };
        let mut shape = placed.run.shape.clone();
        if !shape.remove(ctx.job, |fixture| leaving[fixture.index()]) {
            continue;
        }
        let rebuilt = state
            .supply(ctx, placed.unit, placed.run.secondary, Some(slot))
            .and_then(|supply| {
                tools
                    .evaluator
                    .rank(ctx, &shape, &supply, f64::INFINITY, None)
            });
        match rebuilt {
            Some(run) => {
                state.place(ctx, Some(slot), placed.unit, Arc::new(run));
            }
            None => gone.extend(shape.leads.iter().map(|lead| lead.fixture)),
        }
    }
}
