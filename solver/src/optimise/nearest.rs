//! The rule of thumb that a plan is held against: nearest-neighbour chains, each
//! filled to the limit.
//!
//! From the site a chain goes to the nearest fixture without a circuit, then to the
//! nearest of the rest, and so on until the next one would break a limit; then the
//! next chain starts, on a transformer already there if one bears it, else on a new one
//! of the model that costs least by VA. Gauges, hardware and taps are chosen as for any run.

use super::insert::{Tools, child_random};
use super::search::Trial;
use super::settle::settle;
use super::state::{Unit, zone_of};
use crate::ids::{FixtureId, NodeId, SegmentId, SiteId, TransformerModelId};
use crate::job::{Job, Layout};
use crate::plan::{Plan, TransformerSource};
use crate::run::{Context, Landing, Run, Shape};
use crate::site::Reach;
use std::sync::Arc;

/// The plan of nearest-neighbour chains; `None` when some fixture finds no place in it.
///
/// Deterministic. O(fixtures²) shortest-path searches.
#[must_use]
pub fn nearest_neighbour_chains(job: &Job) -> Option<Plan> {
    let ctx = &Context::new(job, Layout::Chain);
    let mut tools = Tools::new(ctx, child_random(0, 0));
    let mut trial = Trial::empty(ctx);
    let mut left = std::mem::take(&mut trial.unserved);
    while !left.is_empty() {
        start(ctx, &mut trial, &mut tools, &mut left)?;
        while extend(ctx, &mut trial, &mut tools, &mut left) {}
    }
    let holds = settle(ctx, &mut trial, &mut tools) && trial.unserved.is_empty();
    holds.then(|| super::plan_of(ctx, &trial.state))
}

/// The slot of the chain under way: chains fill slots in order and none is taken out.
fn last_slot(trial: &Trial) -> usize {
    trial.state.runs.len() - 1
}

/// Lengths from `from` to the nearest landing of each fixture in `left`, nearest first.
fn by_distance(
    ctx: &Context<'_>,
    tools: &mut Tools,
    from: NodeId,
    left: &[FixtureId],
) -> Vec<(f64, FixtureId)> {
    let weight = |segment: SegmentId| ctx.length_m[segment.index()];
    (tools.routes).search(&ctx.graph, [(from, 0.0)], (weight, 1.0), |_, _| {
        Reach::Further
    });
    let to = |id: FixtureId| {
        let landings = ctx.fixtures[id.index()].landings.iter();
        landings
            .filter_map(|landing| tools.routes.distance(landing.node))
            .min_by(f64::total_cmp)
    };
    let mut found: Vec<(f64, FixtureId)> = (left.iter())
        .filter_map(|&id| Some((to(id)?, id)))
        .collect();
    found.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)));
    found
}

/// The shortest way from a node to a landing of a fixture.
fn way<'c>(
    ctx: &'c Context<'_>,
    tools: &mut Tools,
    from: NodeId,
    fixture: FixtureId,
) -> Option<(Vec<SegmentId>, &'c Landing)> {
    let landings = &ctx.fixtures[fixture.index()].landings;
    let weight = |segment: SegmentId| ctx.length_m[segment.index()];
    let starts: Vec<(NodeId, f64)> = landings.iter().map(|landing| (landing.node, 0.0)).collect();
    (tools.routes).search(&ctx.graph, starts, (weight, 1.0), |_, _| Reach::Further);
    let landing = landings.get(tools.routes.start(from)?)?;
    let mut route = Vec::new();
    tools.routes.route_back(from, &mut route);
    Some((route, landing))
}

/// Starts a chain with the fixture nearest to any site.
fn start(
    ctx: &Context<'_>,
    trial: &mut Trial,
    tools: &mut Tools,
    left: &mut Vec<FixtureId>,
) -> Option<()> {
    let mut nearest: Vec<(f64, FixtureId, SiteId)> = Vec::new();
    for site in (0..ctx.job.sites.len()).map(SiteId::new) {
        let found = by_distance(ctx, tools, ctx.job.site(site).node, left);
        nearest.extend(found.into_iter().map(|(metres, id)| (metres, id, site)));
    }
    nearest.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)));
    for (_, fixture, site) in nearest {
        let node = ctx.job.site(site).node;
        let Some((route, landing)) = way(ctx, tools, node, fixture) else {
            continue;
        };
        let mut shape = Shape::new(node, landing.node, route);
        shape.land(fixture, 0, landing.route.clone());
        if feed(ctx, trial, tools, site, &shape) {
            left.retain(|&other| other != fixture);
            return Some(());
        }
    }
    None
}

/// Hangs a new chain on a transformer at the site; false when none bears it.
fn feed(
    ctx: &Context<'_>,
    trial: &mut Trial,
    tools: &mut Tools,
    site: SiteId,
    shape: &Shape,
) -> bool {
    let state = &mut trial.state;
    let standing: Vec<usize> = (0..state.units.len())
        .filter(|&unit| state.units[unit].is_some_and(|unit| unit.site == site))
        .collect();
    for unit in standing {
        if let Some(run) = on_unit(ctx, trial, tools, unit, shape) {
            trial.state.place(ctx, None, unit, Arc::new(run));
            return true;
        }
    }
    let mut models: Vec<TransformerModelId> = (0..ctx.job.transformers.len())
        .map(TransformerModelId::new)
        .collect();
    // The cheapest by VA is taken first: a chain filled to the limit needs room.
    models.sort_by(|&x, &y| {
        let rate = |id: TransformerModelId| {
            ctx.tariff.transformer(id).value() / ctx.job.transformer(id).rated.value()
        };
        rate(x).total_cmp(&rate(y)).then(x.cmp(&y))
    });
    for model in models {
        let unit = trial.state.add_unit(Unit {
            site,
            source: TransformerSource::New(model),
            model,
            pinned: false,
        });
        if trial.state.site_has_room(ctx, site)
            && let Some(run) = on_unit(ctx, trial, tools, unit, shape)
        {
            trial.state.place(ctx, None, unit, Arc::new(run));
            return true;
        }
        trial.state.units[unit] = None;
    }
    false
}

/// The chain on the first secondary of a transformer that bears it.
fn on_unit(
    ctx: &Context<'_>,
    trial: &Trial,
    tools: &mut Tools,
    unit: usize,
    shape: &Shape,
) -> Option<Run> {
    let state = &trial.state;
    let model = state.units[unit]?.model;
    (0..ctx.job.transformer(model).secondaries.len()).find_map(|secondary| {
        let zone = zone_of(ctx, shape);
        if !state.zone_fits(ctx, unit, secondary, zone, None) {
            return None;
        }
        let supply = state.supply(ctx, unit, secondary, None)?;
        tools.evaluator.evaluate(ctx, shape, &supply)
    })
}

/// Adds the fixture nearest to the end of the chain; false when the chain is full.
fn extend(
    ctx: &Context<'_>,
    trial: &mut Trial,
    tools: &mut Tools,
    left: &mut Vec<FixtureId>,
) -> bool {
    let slot = last_slot(trial);
    let Some(placed) = trial.state.runs[slot].clone() else {
        return false;
    };
    let chain = &placed.run.shape;
    let end = chain.joints.len() - 1;
    let zone = zone_of(ctx, chain);
    let found = by_distance(ctx, tools, chain.joints[end].node, left);
    let next = found.into_iter().find(|&(_, id)| {
        let other = ctx.fixtures[id.index()].zone;
        zone.is_none() || other.is_none() || other == zone
    });
    let Some((_, fixture)) = next else {
        return false;
    };
    let Some((route, landing)) = way(ctx, tools, chain.joints[end].node, fixture) else {
        return false;
    };
    let mut shape = chain.clone();
    let joint = match shape.joint_at(landing.node) {
        Some(joint) => joint,
        None => shape.grow(end, landing.node, route),
    };
    shape.land(fixture, joint, landing.route.clone());
    let run = (trial.state)
        .supply(ctx, placed.unit, placed.run.secondary, Some(slot))
        .and_then(|supply| tools.evaluator.evaluate(ctx, &shape, &supply));
    let Some(run) = run else {
        return false;
    };
    trial
        .state
        .place(ctx, Some(slot), placed.unit, Arc::new(run));
    left.retain(|&other| other != fixture);
    true
}
