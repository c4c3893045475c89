//! Moving parts of circuits whole: a joint with everything behind it is cut off
//! and hung where it costs least, fed through any of its joints or through a
//! new one inside any of its pieces.
//!
//! One move covers what tree heuristics do under several names: edge exchange in
//! a spanning tree, subtree moves and exchanges between the branches of a
//! capacitated tree (A. Amberg, W. Domschke, S. Voss, Combinatorial Optimization:
//! Theory and Practice 1 (1996) 9-39; from memory), exchange of key paths in a
//! Steiner tree, merging of circuits and turning them round.

use super::insert::{Feed, HomeRun, Manner, Offer, Spot, Tools, passing_cost};
use super::room;
use super::ruin::{Neighbours, run_of};
use super::state::{State, Unit, zone_of};
use crate::ids::{FixtureId, NodeId, SegmentId, SiteId, TransformerModelId};
use crate::plan::TransformerSource;
use crate::run::{Context, Figures, Run, Shape, least_va};
use crate::site::Reach;
use rand::RngExt as _;
use rand::seq::SliceRandom as _;
use std::sync::Arc;

/// A point of a part from which it can be fed: a joint, or so many segments into the piece that feeds it.
#[derive(Clone, Copy, Debug)]
struct Inlet {
    joint: usize,
    passed: Option<usize>,
}

/// Where a part could hang.
#[derive(Clone, Copy, Debug)]
enum Place {
    From(Spot, NodeId),
    Alone(HomeRun),
}

/// Cuts off one to three parts that lie together and hangs each where it costs
/// least. The fixtures of parts that find no place are returned.
pub(super) fn reconnect(
    ctx: &Context<'_>,
    state: &mut State,
    near: &Neighbours,
    tools: &mut Tools,
    manner: Manner,
) -> Vec<FixtureId> {
    let mut homeless = Vec::new();
    let mut parts = Vec::new();
    // Full circuits can only exchange: a part that may go home mostly does.
    let elsewhere = tools.random.random_range(0..2_u32) == 0;
    for seed in seeds(state, near, tools) {
        let Some((slot, joint)) = chosen_joint(ctx, state, seed, tools) else {
            continue;
        };
        let part = detach(ctx, state, tools, slot, joint, &mut homeless);
        parts.extend(part.map(|part| (part, elsewhere.then_some(slot))));
    }
    parts.shuffle(&mut tools.random);
    for (part, barred) in parts {
        if !tools.attach(ctx, state, &part, barred, manner) {
            homeless.extend(part.leads.iter().map(|lead| lead.fixture));
        }
    }
    homeless
}

/// One to three fixtures: the first at random, the others near it.
fn seeds(state: &State, near: &Neighbours, tools: &mut Tools) -> Vec<FixtureId> {
    let served: Vec<FixtureId> = state.served().collect();
    if served.is_empty() {
        return Vec::new();
    }
    let first = served[tools.random.random_range(0..served.len())];
    let count = [0, 0, 0, 1, 1, 2][tools.random.random_range(0..6_usize)];
    let around = near.of(first);
    let nearest = around.len().min(12);
    let others: Vec<FixtureId> = (0..count)
        .filter(|_| nearest > 0)
        .map(|_| around[tools.random.random_range(0..nearest.max(1))])
        .collect();
    std::iter::once(first).chain(others).collect()
}

/// The fixture's joint, or one above it.
fn chosen_joint(
    ctx: &Context<'_>,
    state: &State,
    seed: FixtureId,
    tools: &mut Tools,
) -> Option<(usize, usize)> {
    let (slot, shape) = run_of(state, seed)?;
    let lead = shape.leads.iter().find(|lead| lead.fixture == seed)?;
    let mut joint = lead.joint.index();
    // Most moves that pay are small; a third of the steps goes further up.
    while let Some(above) = shape.joints[joint].incoming.from
        && tools.random.random_range(0..3_u32) == 0
        && ctx.fixtures.len() > 1
    {
        joint = above.index();
    }
    Some((slot, joint))
}

/// Takes a part out of its circuit. What stays is built anew; where that does not
/// hold, its fixtures are homeless.
pub(super) fn detach(
    ctx: &Context<'_>,
    state: &mut State,
    tools: &mut Tools,
    slot: usize,
    joint: usize,
    homeless: &mut Vec<FixtureId>,
) -> Option<Shape> {
    let placed = state.take(ctx, slot)?;
    let (rest, part) = placed.run.shape.cut(ctx.job, joint);
    if let Some(rest) = rest {
        let supply = state.supply(ctx, placed.unit, placed.run.secondary, Some(slot));
        let rebuilt = supply.and_then(|supply| {
            tools
                .evaluator
                .rank(ctx, &rest, &supply, f64::INFINITY, None)
        });
        match rebuilt {
            Some(run) => {
                state.place(ctx, Some(slot), placed.unit, Arc::new(run));
            }
            None => homeless.extend(rest.leads.iter().map(|lead| lead.fixture)),
        }
    }
    Some(part)
}

impl Tools {
    /// Hangs a part where it costs least, but not on the run in the barred slot;
    /// false when it fits nowhere.
    pub(super) fn attach(
        &mut self,
        ctx: &Context<'_>,
        state: &mut State,
        part: &Shape,
        barred: Option<usize>,
        manner: Manner,
    ) -> bool {
        let Some(offer) = self.best_attachment(ctx, state, part, barred, manner) else {
            return false;
        };
        self.accept(ctx, state, offer);
        true
    }

    fn best_attachment(
        &mut self,
        ctx: &Context<'_>,
        state: &mut State,
        part: &Shape,
        barred: Option<usize>,
        manner: Manner,
    ) -> Option<Offer> {
        self.mark_runs(ctx, state);
        let inlets = inlets(ctx, part);
        let settled = self.price_ways_to(ctx, state, part, &inlets);
        let mut places = self.list_attachments(ctx, state, part, &settled, manner);
        places.retain(
            |(_, place)| !matches!(place, Place::From(spot, _) if Some(spot.run) == barred),
        );
        let mut best: Option<Offer> = None;
        let mut evaluated = 0;
        self.strikes.clear();
        for (estimate, place) in places {
            let run = match place {
                Place::From(spot, _) => Some(spot.run),
                Place::Alone(_) => None,
            };
            if run.is_some_and(|run| self.strikes.is_out(run)) {
                continue;
            }
            let ceiling = best
                .as_ref()
                .map_or(f64::INFINITY, |offer| offer.difference);
            if best.is_some() && (evaluated >= manner.exact_places || estimate > 2.0 * ceiling) {
                break;
            }
            if self.random.random::<f64>() < manner.blink {
                continue;
            }
            let before = self.evaluator.evaluations;
            let offer = self.try_attachment(ctx, state, part, &inlets, place, manner, ceiling);
            let counts = self.evaluator.evaluations > before;
            evaluated += usize::from(counts);
            match (offer, run) {
                (Some(offer), _) if offer.difference < ceiling => best = Some(offer),
                (None, Some(run)) if counts => self.strikes.add(run, self.evaluator.strikes()),
                _ => {}
            }
        }
        best
    }

    /// Searches from everywhere the part can be fed; its own trenches stand open.
    fn price_ways_to(
        &mut self,
        ctx: &Context<'_>,
        state: &mut State,
        part: &Shape,
        inlets: &[(NodeId, Inlet)],
    ) -> Vec<NodeId> {
        let slot = state.place(ctx, None, usize::MAX, Arc::new(unpriced(part)));
        let amps: f64 = part
            .leads
            .iter()
            .map(|lead| {
                let facts = &ctx.fixtures[lead.fixture.index()];
                facts.apparent_va / facts.load.rated_v
            })
            .sum();
        let carrying = ctx
            .branch_cables
            .iter()
            .position(|cable| cable.ampacity_a >= amps)
            .unwrap_or(0);
        let gauges = ctx.branch_cables.len().max(1);
        // Mostly the thinnest that carries the part; now and then a thicker one.
        let gauge = match self.random.random_range(0..4_u32) {
            0 => self.random.random_range(carrying.min(gauges - 1)..gauges),
            _ => carrying,
        };
        let price_per_m = ctx
            .branch_cables
            .get(gauge)
            .or(ctx.home_cables.first())
            .map_or(0.0, |cable| cable.price_per_m);
        let shut = &self.shut;
        let weight = |segment: SegmentId| {
            passing_cost(ctx, state, shut, segment)
                + ctx.per_pass[segment.index()]
                + price_per_m * ctx.length_m[segment.index()]
        };
        let mut settled = Vec::new();
        let starts = inlets.iter().map(|&(node, _)| (node, 0.0));
        self.routes
            .search(&ctx.graph, starts, (weight, price_per_m), |node, _| {
                settled.push(node);
                Reach::Further
            });
        state.take(ctx, slot);
        settled
    }

    fn list_attachments(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        part: &Shape,
        settled: &[NodeId],
        manner: Manner,
    ) -> Vec<(f64, Place)> {
        let zone = zone_of(ctx, part);
        let least_va = least_va(ctx, part);
        self.find_fitting_runs(ctx, state, (zone, least_va), part.leads.len());
        let mut places = Vec::new();
        for &node in settled {
            let Some(distance) = self.routes.distance(node) else {
                continue;
            };
            for &spot in self.spots(node) {
                let inside = spot.passed.is_some();
                let lawful = self.run_fits[spot.run]
                    && state.runs[spot.run].as_ref().is_some_and(|placed| {
                        room::layout_takes(ctx, &placed.run.shape, spot.joint, inside, false)
                    })
                    && (!inside
                        || (ctx.job.node(node).joint_allowed
                            && self.tee_allowed(ctx, node, false)));
                if lawful {
                    places.push((distance, Place::From(spot, node)));
                }
            }
        }
        let mut alone = Vec::new();
        self.list_home_runs(ctx, state, (zone, least_va), manner, &mut alone);
        places.extend(
            alone
                .into_iter()
                .map(|(cost, home)| (cost, Place::Alone(home))),
        );
        places.sort_by(|x, y| x.0.total_cmp(&y.0));
        places
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "one place among many, each with the same surroundings"
    )]
    fn try_attachment(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        part: &Shape,
        inlets: &[(NodeId, Inlet)],
        place: Place,
        manner: Manner,
        ceiling: f64,
    ) -> Option<Offer> {
        let node = match place {
            Place::From(_, node) => node,
            Place::Alone(home) => home.node,
        };
        let mut route = Vec::new();
        self.routes.route_back(node, &mut route);
        let inlet = inlets[self.routes.start(node)?];
        let fed = fed_from(ctx, part, inlet, node, route);
        match place {
            Place::From(spot, node) => {
                let mut shape = state.runs[spot.run].as_ref()?.run.shape.clone();
                let joint = match spot.passed {
                    None => spot.joint,
                    Some(passed) => shape.split(spot.joint, passed, node),
                };
                shape.graft(joint, fed);
                self.offer(ctx, state, spot.run, &shape, ceiling)
            }
            Place::Alone(home) => self.offer_alone(ctx, state, &fed, home, manner, ceiling),
        }
    }

    /// Puts an offer into effect.
    pub(super) fn accept(&self, ctx: &Context<'_>, state: &mut State, offer: Offer) {
        let unit = match offer.feed {
            Feed::Standing(unit) => unit,
            Feed::New(site, model) => state.add_unit(bought(site, model)),
        };
        state.place(ctx, offer.slot, unit, Arc::new(offer.run));
    }
}

/// A bought transformer.
pub(super) fn bought(site: SiteId, model: TransformerModelId) -> Unit {
    Unit {
        site,
        source: TransformerSource::New(model),
        model,
        pinned: false,
    }
}

/// A part as a run, for the trenches it keeps open only.
fn unpriced(part: &Shape) -> Run {
    Run {
        shape: part.clone(),
        secondary: 0,
        tap: 0,
        common: 0,
        figures: Figures {
            cost: 0.0,
            amps: 0.0,
            va: 0.0,
            margin_v: 0.0,
            other_va: 0.0,
            exact: true,
        },
    }
}

/// Everywhere a part can be fed: its joints, then nodes inside its pieces where a joint may stand.
fn inlets(ctx: &Context<'_>, part: &Shape) -> Vec<(NodeId, Inlet)> {
    let joints = part.joints.iter().enumerate().map(|(joint, details)| {
        let inlet = Inlet {
            joint,
            passed: None,
        };
        (details.node, inlet)
    });
    let mut inlets: Vec<(NodeId, Inlet)> = joints.collect();
    if ctx.layout != crate::job::Layout::Mixed {
        return inlets;
    }
    for joint in 1..part.joints.len() {
        let mut here = part.upstream_node(joint);
        let route = &part.joints[joint].incoming.route.segments;
        for (at, &segment) in route.iter().enumerate().take(route.len().saturating_sub(1)) {
            let ends = ctx.job.segment(segment);
            here = if ends.a == here { ends.b } else { ends.a };
            let may_stand = ctx.job.node(here).joint_allowed
                && (!ctx.job.rules.joints_at_fixtures_and_hubs
                    || ctx.fixture_at[here.index()]
                    || !ctx.job.hubs.is_empty());
            if may_stand {
                let passed = Some(at + 1);
                inlets.push((here, Inlet { joint, passed }));
            }
        }
    }
    inlets
}

/// The part turned so that it is fed at an inlet, along `route` from `source`.
fn fed_from(
    ctx: &Context<'_>,
    part: &Shape,
    (node, inlet): (NodeId, Inlet),
    source: NodeId,
    route: Vec<SegmentId>,
) -> Shape {
    let mut part = part.clone();
    let joint = match inlet.passed {
        None => inlet.joint,
        Some(passed) => part.split(inlet.joint, passed, node),
    };
    part.landed_at(ctx.job, source, joint, route)
}
