//! Ruin and recreate under record-to-record travel, in several chains.
//!
//! Acceptance after G. Dueck, "New optimization heuristics: the great deluge
//! algorithm and the record-to-record travel", J. Comput. Phys. 104 (1993)
//! 86-92: a trial is taken when it is at most a shrinking distance above the
//! record. No exponentials, so every machine decides alike.

use super::fleet;
use super::insert::{Manner, Random, Tools};
use super::pool::Pool;
use super::ruin::{self, Neighbours};
use super::settle::settle;
use super::state::State;
use super::{guided, reconnect, regions, reroute, resize, scout};
use crate::ids::{FixtureId, SiteId, TransformerModelId};
use crate::run::{Context, Keep};
use rand::RngExt as _;
use rand::seq::SliceRandom as _;
use std::sync::Arc;

/// A plan under search with what it leaves unserved.
#[derive(Clone)]
pub(crate) struct Trial {
    pub state: State,
    pub unserved: Vec<FixtureId>,
}

impl Trial {
    /// Nothing served yet.
    pub fn empty(ctx: &Context<'_>) -> Self {
        Self {
            state: State::empty(ctx),
            unserved: ctx.job.fixture_ids().collect(),
        }
    }

    /// Takes a run out and leaves its fixtures unserved.
    pub fn drop_run(&mut self, ctx: &Context<'_>, slot: usize) {
        if let Some(placed) = self.state.take(ctx, slot) {
            let leads = placed.run.shape.leads.iter();
            self.unserved.extend(leads.map(|lead| lead.fixture));
        }
    }

    /// Serves more, or as many at less cost.
    pub fn beats(&self, other: &Self) -> bool {
        match self.unserved.len().cmp(&other.unserved.len()) {
            std::cmp::Ordering::Less => true,
            std::cmp::Ordering::Greater => false,
            std::cmp::Ordering::Equal => self.state.cost() < other.state.cost() - 1e-7,
        }
    }
}

/// One chain of the search.
pub(crate) struct Chain {
    pub current: Trial,
    pub best: Trial,
    /// Runs of the plans that were records.
    pub pool: Pool,
    pub tools: Tools,
}

/// How one stretch of a chain is run.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stretch {
    pub iterations: u32,
    /// Allowed distance above the record at the start, as a share of its cost.
    pub warm: f64,
    /// The same at the end.
    pub cool: f64,
}

/// Share of the steps that change a transformer instead of circuits, %.
const UNIT_CHANGES_PERCENT: u32 = 4;

/// Share of the exchanges of transformers after a round in which circuits are carried over whole, %.
const CARRIED_OVER_PERCENT: u32 = 67;

/// Share of the steps that offer another site to the fixtures around it, %, where there are several.
const SITE_CHANGES_PERCENT: u32 = 6;

/// Share of the steps that shut a stretch of trench, %; where circuits serve fewer than
/// [`SHORT_CIRCUITS`] fixtures each, many share a trench, and it is more.
const SHUT_PERCENT: u32 = 4;
const SHUT_PERCENT_OF_SHORT_CIRCUITS: u32 = 15;
const SHORT_CIRCUITS: usize = 3;

/// Share of the other steps that move parts of circuits whole, %.
const WHOLE_PARTS_PERCENT: u32 = 40;

/// Largest ruin, in fixtures.
fn largest_ruin(ctx: &Context<'_>) -> usize {
    (ctx.fixtures.len() / 3)
        .clamp(4, 12)
        .max(6.min(ctx.fixtures.len()))
}

impl Chain {
    pub fn new(ctx: &Context<'_>, random: Random) -> Self {
        let start = Trial::empty(ctx);
        Self {
            current: start.clone(),
            best: start,
            pool: Pool::default(),
            tools: Tools::new(ctx, random),
        }
    }

    /// Builds a first plan: fixtures in random or near-to-far order.
    pub fn construct(&mut self, ctx: &Context<'_>, near_first: bool) {
        let mut trial = Trial::empty(ctx);
        trial.state.shut.clone_from(&self.current.state.shut);
        let mut order = std::mem::take(&mut trial.unserved);
        order.shuffle(&mut self.tools.random);
        if near_first {
            let far_m = distances_to_sites(ctx, &mut self.tools);
            order.sort_by(|x, y| far_m[x.index()].total_cmp(&far_m[y.index()]));
        }
        recreate(ctx, &mut trial, &mut self.tools, order);
        if settle(ctx, &mut trial, &mut self.tools) {
            self.current = trial;
            if self.current.beats(&self.best) {
                self.best = self.current.clone();
            }
        }
    }

    /// Starts from the given plan, as far as its circuits still hold.
    pub fn start_from(&mut self, ctx: &Context<'_>, keep: &Keep) {
        let (state, waiting) = guided::start_from(ctx, keep, &mut self.tools);
        let mut trial = Trial {
            state,
            unserved: Vec::new(),
        };
        recreate(ctx, &mut trial, &mut self.tools, waiting);
        if settle(ctx, &mut trial, &mut self.tools) {
            self.current = trial;
            self.best = self.current.clone();
        }
    }

    /// Nothing may be bought at these sites until the next plan is taken up.
    pub fn shut(&mut self, shut: &Arc<[bool]>) {
        self.current.state.shut = Some(Arc::clone(shut));
        self.best.state.shut = Some(Arc::clone(shut));
    }

    /// Goes on from a plan.
    pub fn resume(&mut self, from: &Trial) {
        self.current = from.clone();
        self.best = from.clone();
    }

    /// Goes on from a plan of which only a region may change.
    pub fn resume_in(&mut self, ctx: &Context<'_>, from: &Trial, region: &[usize]) {
        self.resume(&regions::only(ctx, from, region));
    }

    /// Starts anew from `best` with an upheaval among its transformers: one gives
    /// way to another model, what hangs on one or on a site is put back where
    /// it fits, mostly without opening another, or a site is shut.
    ///
    /// The stretch that follows has its own record, so that the new arrangement
    /// is judged only after it has been worked out.
    pub fn upheave(&mut self, ctx: &Context<'_>, best: &Trial) {
        let mut trial = best.clone();
        let kind = self.tools.random.random_range(0..6_u32);
        let worked = if self.shut_one(ctx, &mut trial) {
            true
        } else if kind == 0 {
            resize::change_unit(ctx, &mut trial.state, &mut self.tools)
        } else if kind <= 3 {
            self.rearrange(ctx, &mut trial)
        } else {
            let mut gone = ruin::choose_upheaval(&trial.state, &mut self.tools.random);
            open_elsewhere(ctx, &mut trial, &mut self.tools);
            ruin::take_out(ctx, &mut trial.state, &mut self.tools, &mut gone);
            gone.append(&mut trial.unserved);
            gone.shuffle(&mut self.tools.random);
            let share = [1.0, 1.0, 0.2][self.tools.random.random_range(0..3_usize)];
            recreate_sharing(ctx, &mut trial, &mut self.tools, gone, share);
            true
        };
        let holds = worked
            && trial.unserved.len() <= best.unserved.len() + ctx.fixtures.len() / 20
            && settle(ctx, &mut trial, &mut self.tools);
        self.current = if holds { trial } else { best.clone() };
        self.best = self.current.clone();
    }

    /// Now and then shuts a site that is in use, where there are others; what hung there
    /// is put back elsewhere.
    fn shut_one(&mut self, ctx: &Context<'_>, trial: &mut Trial) -> bool {
        let Some(mut gone) = scout::shut_one(ctx, &mut trial.state, &mut self.tools) else {
            return false;
        };
        gone.append(&mut trial.unserved);
        gone.shuffle(&mut self.tools.random);
        recreate_sharing(ctx, trial, &mut self.tools, gone, 0.3);
        true
    }

    /// Puts another set of transformers in place of some, and what hung on them back:
    /// circuit by circuit mostly, or fixture by fixture.
    fn rearrange(&mut self, ctx: &Context<'_>, trial: &mut Trial) -> bool {
        let whole = self.tools.random.random_range(0..100_u32) < CARRIED_OVER_PERCENT;
        let (state, tools) = (&mut trial.state, &mut self.tools);
        let gone = match whole {
            true => {
                let manner = any_manner(tools);
                fleet::carry_over(ctx, state, tools, manner)
            }
            false => fleet::rearrange(ctx, state, tools),
        };
        let Some(mut gone) = gone else {
            return false;
        };
        gone.append(&mut trial.unserved);
        gone.shuffle(&mut self.tools.random);
        recreate_sharing(ctx, trial, &mut self.tools, gone, 1.5);
        true
    }

    /// Runs a stretch; `stop` is asked now and then.
    pub fn run(
        &mut self,
        ctx: &Context<'_>,
        near: &Neighbours,
        stretch: Stretch,
        stop: &(dyn Fn() -> bool + Sync),
    ) {
        // What is allowed is a share of the cost of what may change.
        let open = self.current.state.served().count() + self.current.unserved.len();
        let scale = open as f64 / ctx.fixtures.len().max(1) as f64;
        for iteration in 0..stretch.iterations {
            if iteration % 16 == 0 && stop() {
                return;
            }
            let share = f64::from(iteration) / f64::from(stretch.iterations);
            let allowed = scale * (stretch.warm + (stretch.cool - stretch.warm) * share);
            self.step(ctx, near, allowed);
        }
    }

    fn step(&mut self, ctx: &Context<'_>, near: &Neighbours, allowed: f64) {
        let mut trial = self.current.clone();
        if self.tools.random.random_range(0..100_u32) < UNIT_CHANGES_PERCENT {
            if self.tools.random.random_range(0..2_u32) == 0 {
                let (state, tools) = (&mut trial.state, &mut self.tools);
                let manner = any_manner(tools);
                let Some(mut gone) = fleet::carry_over(ctx, state, tools, manner) else {
                    return;
                };
                gone.append(&mut trial.unserved);
                recreate(ctx, &mut trial, &mut self.tools, gone);
            } else if !resize::change_unit(ctx, &mut trial.state, &mut self.tools) {
                return;
            }
        } else if ctx.job.sites.len() > 1
            && self.tools.random.random_range(0..100_u32) < SITE_CHANGES_PERCENT
        {
            let mut gone = open_elsewhere(ctx, &mut trial, &mut self.tools)
                .map(|site| fixtures_around(ctx, site, &mut self.tools))
                .unwrap_or_default();
            if self.tools.random.random_range(0..2_u32) == 0 {
                gone.extend(ruin::choose_upheaval(&trial.state, &mut self.tools.random));
                gone.sort_unstable();
                gone.dedup();
            }
            ruin::take_out(ctx, &mut trial.state, &mut self.tools, &mut gone);
            gone.append(&mut trial.unserved);
            gone.shuffle(&mut self.tools.random);
            recreate_sharing(ctx, &mut trial, &mut self.tools, gone, 1.0);
        } else if ctx.opening.iter().any(|&cost| cost > 0.0)
            && self.tools.random.random_range(0..100_u32) < shut_percent(ctx, &trial.state)
        {
            let manner = any_manner(&mut self.tools);
            let (state, tools) = (&mut trial.state, &mut self.tools);
            let Some(mut gone) = reroute::shut_a_stretch(ctx, state, tools, manner) else {
                return;
            };
            gone.append(&mut trial.unserved);
            recreate(ctx, &mut trial, &mut self.tools, gone);
            self.tools.open_all();
        } else if self.tools.random.random_range(0..100_u32) < WHOLE_PARTS_PERCENT {
            let manner = any_manner(&mut self.tools);
            let (state, tools) = (&mut trial.state, &mut self.tools);
            let homeless = reconnect::reconnect(ctx, state, near, tools, manner);
            let mut waiting = std::mem::take(&mut trial.unserved);
            waiting.extend(homeless);
            recreate(ctx, &mut trial, &mut self.tools, waiting);
        } else {
            let most = largest_ruin(ctx);
            let mut gone = ruin::choose(ctx, &trial.state, near, most, &mut self.tools.random);
            ruin::take_out(ctx, &mut trial.state, &mut self.tools, &mut gone);
            gone.append(&mut trial.unserved);
            gone.shuffle(&mut self.tools.random);
            recreate(ctx, &mut trial, &mut self.tools, gone);
        }
        trial.state.settle_units(ctx);
        // While fixtures are unserved, cost matters little: dearer transformers may make room.
        const UNSERVED_ALLOWED: f64 = 0.5;
        let allowed = if self.current.unserved.is_empty() {
            allowed
        } else {
            UNSERVED_ALLOWED
        };
        let limit = (self.best.state.cost() * (1.0 + allowed)).max(self.current.state.cost());
        let more = trial.unserved.len() < self.current.unserved.len();
        // Rough gauges are a little too thick: what is just above the limit may come down.
        const ROUGH: f64 = 1.03;
        if trial.unserved.len() > self.current.unserved.len()
            || (!more && trial.state.cost() > limit * ROUGH)
            || !settle(ctx, &mut trial, &mut self.tools)
            || trial.unserved.len() > self.current.unserved.len()
        {
            return;
        }
        let more = trial.unserved.len() < self.current.unserved.len();
        if more || trial.state.cost() < limit {
            if trial.unserved.is_empty() {
                self.pool.add(ctx, &trial.state);
            }
            if trial.beats(&self.best) {
                self.best = trial.clone();
            }
            self.current = trial;
        }
    }
}

fn shut_percent(ctx: &Context<'_>, state: &State) -> u32 {
    match state.placed().count() * SHORT_CIRCUITS > ctx.fixtures.len() {
        true => SHUT_PERCENT_OF_SHORT_CIRCUITS,
        false => SHUT_PERCENT,
    }
}

/// Puts fixtures back, one by one; what finds no place stays unserved.
pub(crate) fn recreate(
    ctx: &Context<'_>,
    trial: &mut Trial,
    tools: &mut Tools,
    order: Vec<FixtureId>,
) {
    let manner = any_manner(tools);
    recreate_in(ctx, trial, tools, order, manner);
}

/// A manner at random: how many places are looked at, how much of a transformer's cost counts.
fn any_manner(tools: &mut Tools) -> Manner {
    let opening_share = [1.0, 0.3, 0.1, 0.03][tools.random.random_range(0..4_usize)];
    manner_sharing(tools, opening_share)
}

fn manner_sharing(tools: &mut Tools, opening_share: f64) -> Manner {
    Manner {
        exact_places: 3 + tools.random.random_range(0..4_usize),
        blink: 0.02,
        opening_share,
    }
}

/// The same with a given share of a transformer's cost counted when it is opened.
fn recreate_sharing(
    ctx: &Context<'_>,
    trial: &mut Trial,
    tools: &mut Tools,
    order: Vec<FixtureId>,
    opening_share: f64,
) {
    let manner = manner_sharing(tools, opening_share);
    recreate_in(ctx, trial, tools, order, manner);
}

fn recreate_in(
    ctx: &Context<'_>,
    trial: &mut Trial,
    tools: &mut Tools,
    mut order: Vec<FixtureId>,
    manner: Manner,
) {
    match tools.random.random_range(0..4_u32) {
        0 => order.sort_by(|x, y| {
            let va = |fixture: &FixtureId| ctx.fixtures[fixture.index()].apparent_va;
            va(y).total_cmp(&va(x))
        }),
        1 => order.sort_by_key(|fixture| ctx.fixtures[fixture.index()].node),
        _ => {}
    }
    for fixture in order {
        if !tools.insert(ctx, &mut trial.state, fixture, manner) {
            trial.unserved.push(fixture);
        }
    }
}

/// Puts a transformer at a site at random, where there is room, ready for those
/// who come; it is dropped when nobody does.
fn open_elsewhere(ctx: &Context<'_>, trial: &mut Trial, tools: &mut Tools) -> Option<SiteId> {
    let site = SiteId::new(tools.random.random_range(0..ctx.job.sites.len()));
    let model = TransformerModelId::new(tools.random.random_range(0..ctx.job.transformers.len()));
    let unit = trial.state.add_unit(reconnect::bought(site, model));
    if trial.state.site_has_room(ctx, site) {
        return Some(site);
    }
    trial.state.units[unit] = None;
    None
}

/// Fixtures near a site: up to a dozen, or more in large jobs, the nearest first.
fn fixtures_around(ctx: &Context<'_>, site: SiteId, tools: &mut Tools) -> Vec<FixtureId> {
    let most = tools
        .random
        .random_range(1..=(ctx.fixtures.len() / 4).clamp(3, 30));
    let mut at: Vec<Vec<FixtureId>> = vec![Vec::new(); ctx.graph.node_count()];
    for id in ctx.job.fixture_ids() {
        at[ctx.fixtures[id.index()].node.index()].push(id);
    }
    let mut found = Vec::new();
    let start = [(ctx.job.site(site).node, 0.0)];
    let weight = |segment: crate::ids::SegmentId| ctx.length_m[segment.index()];
    tools
        .routes
        .search(&ctx.graph, start, (weight, 1.0), |node, _| {
            found.extend(&at[node.index()]);
            if found.len() >= most {
                crate::site::Reach::Enough
            } else {
                crate::site::Reach::Further
            }
        });
    found
}

/// Shortest distance of each fixture to a transformer site, m.
fn distances_to_sites(ctx: &Context<'_>, tools: &mut Tools) -> Vec<f64> {
    let starts: Vec<_> = ctx.job.sites.iter().map(|site| (site.node, 0.0)).collect();
    let weight = |segment: crate::ids::SegmentId| ctx.length_m[segment.index()];
    tools
        .routes
        .search(&ctx.graph, starts, (weight, 1.0), |_, _| {
            crate::site::Reach::Further
        });
    ctx.fixtures
        .iter()
        .map(|facts| tools.routes.distance(facts.node).unwrap_or(f64::INFINITY))
        .collect()
}
