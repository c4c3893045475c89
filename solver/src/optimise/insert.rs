//! Putting one fixture into a plan where it costs least.
//!
//! One Dijkstra search from the nodes where the fixture's lead can land prices
//! the way to everything near: joints, points inside pieces, sites. The best
//! few places by that estimate are built and evaluated exactly.

mod places;
mod strikes;
mod ways;

use super::guided;
use super::reconnect::bought;
use super::state::{State, TrenchTrial, zone_of};
use crate::ids::{FixtureId, NodeId, SegmentId, SiteId, TransformerModelId};
use crate::run::{Context, Evaluator, Run, Shape};
use crate::site::ShortestRoutes;
use rand::{RngExt as _, SeedableRng as _};
use strikes::Strikes;

pub(super) use ways::passing_cost;

/// Points of circuits with room passed before a search for places ends: most that pay lie nearer.
const NEAR_SPOTS: usize = 160;

/// The search's random generator: small, seedable, the same on every machine.
pub(crate) type Random = rand_pcg::Pcg64Mcg;

/// A generator for child `index` of a seed.
pub(crate) fn child_random(seed: u64, index: u64) -> Random {
    // Odd multiplier of Knuth's multiplicative hashing: spreads neighbouring indices.
    Random::seed_from_u64(seed ^ index.wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15))
}

/// One thread's tools for changing states.
pub(crate) struct Tools {
    pub evaluator: Evaluator,
    pub trial: TrenchTrial,
    pub routes: ShortestRoutes,
    pub random: Random,
    at_node: Vec<Vec<Spot>>,
    dirty_nodes: Vec<NodeId>,
    places: Vec<(f64, Place)>,
    /// Runs that may take what is to be put in.
    pub(super) run_fits: Vec<bool>,
    /// Segments that nothing may be led through for now.
    pub(super) shut: Vec<SegmentId>,
    pub(super) strikes: Strikes,
}

/// Where a run passes a node.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub run: usize,
    pub joint: usize,
    /// Segments of the piece that feeds `joint` already passed; `None` at the joint itself.
    pub passed: Option<usize>,
}

/// Something a run can hang on.
#[derive(Clone, Copy, Debug)]
pub(super) enum Feed {
    Standing(usize),
    New(SiteId, TransformerModelId),
}

/// A home run that could be: what feeds it, and from where.
#[derive(Clone, Copy, Debug)]
pub(super) struct HomeRun {
    pub feed: Feed,
    pub secondary: usize,
    pub node: NodeId,
}

/// A place for a fixture.
#[derive(Clone, Copy, Debug)]
enum Place {
    /// At or from a point of a run.
    Beside { spot: Spot, node: NodeId },
    /// Between the two ends of the piece that feeds a joint.
    Between { run: usize, joint: usize },
    /// On a home run of its own.
    Alone(HomeRun),
}

impl Place {
    /// The run that the fixture would join.
    fn run(self) -> Option<usize> {
        match self {
            Self::Beside { spot, .. } => Some(spot.run),
            Self::Between { run, .. } => Some(run),
            Self::Alone(_) => None,
        }
    }
}

/// How greedily to insert.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Manner {
    /// Places evaluated exactly before the best is taken.
    pub exact_places: usize,
    /// Chance in 0..1 that a place is overlooked.
    pub blink: f64,
    /// Share of a new transformer's cost that counts when it is opened, so that
    /// its later fixtures share it; the true cost is counted once they are in.
    pub opening_share: f64,
}

impl Manner {
    /// Nothing left to chance, and a new transformer at its whole cost.
    pub(super) const PLAIN: Self = Self {
        exact_places: 4,
        blink: 0.0,
        opening_share: 1.0,
    };
}

/// A priced change: the run to put in, its slot, its unit.
pub(super) struct Offer {
    pub difference: f64,
    pub slot: Option<usize>,
    pub feed: Feed,
    pub run: Run,
}

impl Tools {
    pub fn new(ctx: &Context<'_>, random: Random) -> Self {
        let nodes = ctx.graph.node_count();
        Self {
            evaluator: Evaluator::new(),
            trial: TrenchTrial::default(),
            routes: ShortestRoutes::new(nodes),
            random,
            at_node: vec![Vec::new(); nodes],
            dirty_nodes: Vec::new(),
            places: Vec::new(),
            run_fits: Vec::new(),
            shut: Vec::new(),
            strikes: Strikes::default(),
        }
    }

    /// Marks where every run passes.
    pub(super) fn mark_runs(&mut self, ctx: &Context<'_>, state: &State) {
        for node in self.dirty_nodes.drain(..) {
            self.at_node[node.index()].clear();
        }
        for (run, placed) in state.open() {
            let shape = &placed.run.shape;
            for (joint, details) in shape.joints.iter().enumerate() {
                let mut mark = |node: NodeId, passed| {
                    self.dirty_nodes.push(node);
                    self.at_node[node.index()].push(Spot { run, joint, passed });
                };
                mark(details.node, None);
                let mut here = shape.upstream_node(joint);
                if joint == 0 {
                    mark(here, Some(0));
                }
                let route = &details.incoming.route.segments;
                for (passed, &segment) in
                    route.iter().enumerate().take(route.len().saturating_sub(1))
                {
                    let ends = ctx.job.segment(segment);
                    here = if ends.a == here { ends.b } else { ends.a };
                    mark(here, Some(passed + 1));
                }
            }
        }
    }

    /// What passes a node, as last marked.
    pub(super) fn spots(&self, node: NodeId) -> &[Spot] {
        &self.at_node[node.index()]
    }

    /// Inserts a fixture; false when no feasible place was found.
    pub fn insert(
        &mut self,
        ctx: &Context<'_>,
        state: &mut State,
        fixture: FixtureId,
        manner: Manner,
    ) -> bool {
        self.mark_runs(ctx, state);
        let facts = &ctx.fixtures[fixture.index()];
        self.find_fitting_runs(ctx, state, (facts.zone, facts.least_va), 1);
        let offer = self
            .best_offer(ctx, state, fixture, manner, NEAR_SPOTS)
            .or_else(|| self.best_offer(ctx, state, fixture, manner, usize::MAX));
        offer.is_some_and(|offer| {
            self.accept(ctx, state, offer);
            true
        })
    }

    /// The best of the places found before the search has passed so many points of circuits.
    fn best_offer(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        fixture: FixtureId,
        manner: Manner,
        most_spots: usize,
    ) -> Option<Offer> {
        let mut settled = Vec::new();
        self.price_routes(ctx, state, fixture, most_spots, &mut settled);
        self.list_places(ctx, state, fixture, &settled, manner);
        let mut places = std::mem::take(&mut self.places);
        places.sort_by(|x, y| x.0.total_cmp(&y.0));
        let mut best: Option<Offer> = None;
        let mut evaluated = 0;
        self.strikes.clear();
        for &(estimate, place) in &places {
            if evaluated >= manner.exact_places && best.is_some() {
                break;
            }
            // What lies far beyond the best exact offer cannot beat it: the estimate leaves out only joints and gauge changes.
            if best
                .as_ref()
                .is_some_and(|offer| estimate > offer.difference * 2.0 + 1e-9)
                || evaluated >= 8 * manner.exact_places
            {
                break;
            }
            if manner.blink > 0.0 && self.random.random::<f64>() < manner.blink {
                continue;
            }
            let run = place.run();
            if run.is_some_and(|run| self.strikes.is_out(run)) {
                continue;
            }
            let ceiling = best
                .as_ref()
                .map_or(f64::INFINITY, |offer| offer.difference);
            let before = self.evaluator.evaluations;
            let offer = self.try_place(ctx, state, fixture, place, manner, ceiling);
            // What is refused by its form alone costs nothing and does not count.
            let counts = self.evaluator.evaluations > before;
            evaluated += usize::from(counts);
            match (offer, run) {
                (Some(offer), _) if offer.difference < ceiling => best = Some(offer),
                (None, Some(run)) if counts => self.strikes.add(run, self.evaluator.strikes()),
                _ => {}
            }
        }
        // Crowded places near by must not hide that a home run of its own would do.
        if best.is_none() {
            let alone = |(_, place): &&(f64, Place)| matches!(place, Place::Alone(_));
            best = places.iter().filter(alone).find_map(|&(_, place)| {
                self.try_place(ctx, state, fixture, place, manner, f64::INFINITY)
            });
        }
        self.places = places;
        best
    }

    fn try_place(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        fixture: FixtureId,
        place: Place,
        manner: Manner,
        ceiling: f64,
    ) -> Option<Offer> {
        match place {
            Place::Beside { spot, node } => {
                let placed = state.runs[spot.run].as_ref()?;
                let mut shape = placed.run.shape.clone();
                let joint = match spot.passed {
                    None => spot.joint,
                    Some(passed) => shape.split(spot.joint, passed, node),
                };
                self.extend_to(ctx, &mut shape, joint, node, fixture)?;
                self.offer(ctx, state, spot.run, &shape, ceiling)
            }
            Place::Between { run, joint } => {
                let placed = state.runs[run].as_ref()?;
                let shape = self.between(ctx, &placed.run.shape, joint, fixture)?;
                self.offer(ctx, state, run, &shape, ceiling)
            }
            Place::Alone(home) => self.alone(ctx, state, fixture, home, manner, ceiling),
        }
    }

    /// Grows a piece from `joint` at `node` to where the fixture's lead lands, and lands it.
    fn extend_to(
        &self,
        ctx: &Context<'_>,
        shape: &mut Shape,
        joint: usize,
        node: NodeId,
        fixture: FixtureId,
    ) -> Option<()> {
        let mut route = Vec::new();
        self.routes.route_back(node, &mut route);
        let landing = self.landing_of(ctx, fixture, node)?;
        let joint = if route.is_empty() {
            joint
        } else if let Some(there) = shape.joint_at(landing.node) {
            there
        } else {
            shape.grow(joint, landing.node, route)
        };
        shape.land(fixture, joint, landing.route.clone());
        Some(())
    }

    fn landing_of<'c>(
        &self,
        ctx: &'c Context<'_>,
        fixture: FixtureId,
        node: NodeId,
    ) -> Option<&'c crate::run::Landing> {
        // Starts that cost nothing finite were left out, so positions may differ: follow the route instead.
        let mut route = Vec::new();
        self.routes.route_back(node, &mut route);
        let mut here = node;
        for &segment in &route {
            let ends = ctx.job.segment(segment);
            here = if ends.a == here { ends.b } else { ends.a };
        }
        ctx.fixtures[fixture.index()]
            .landings
            .iter()
            .find(|landing| landing.node == here)
    }

    fn between(
        &self,
        ctx: &Context<'_>,
        shape: &Shape,
        joint: usize,
        fixture: FixtureId,
    ) -> Option<Shape> {
        let (near_node, far_node) = (shape.upstream_node(joint), shape.joints[joint].node);
        let landing = self.landing_of(ctx, fixture, near_node)?;
        let other = self.landing_of(ctx, fixture, far_node)?;
        if landing.node != other.node || shape.joint_at(landing.node).is_some() {
            return None;
        }
        let (mut near, mut far) = (Vec::new(), Vec::new());
        self.routes.route_back(near_node, &mut near);
        self.routes.route_back(far_node, &mut far);
        far.reverse();
        let mut shape = shape.clone();
        let joint = shape.detour(joint, landing.node, near, far);
        shape.land(fixture, joint, landing.route.clone());
        Some(shape)
    }

    /// Evaluates a new shape for a run that stands; `None` from `ceiling` up.
    pub(super) fn offer(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        slot: usize,
        shape: &Shape,
        ceiling: f64,
    ) -> Option<Offer> {
        let placed = state.runs[slot].as_ref()?;
        let site = state.units[placed.unit]?.site;
        guided::allowed(ctx, state, Some(slot), shape, site).then_some(())?;
        let rough = self
            .trial
            .difference(ctx, state, Some(&placed.run.shape), shape);
        if !rough.is_finite() {
            return None;
        }
        let run_ceiling = ceiling - rough + placed.run.figures.cost;
        let mut best: Option<Run> = None;
        let secondaries = ctx
            .job
            .transformer(state.units[placed.unit]?.model)
            .secondaries
            .len();
        let zone = zone_of(ctx, shape);
        for secondary in std::iter::once(placed.run.secondary)
            .chain((0..secondaries).filter(|&other| other != placed.run.secondary))
        {
            if !state.zone_fits(ctx, placed.unit, secondary, zone, Some(slot)) {
                continue;
            }
            let Some(supply) = state.supply(ctx, placed.unit, secondary, Some(slot)) else {
                continue;
            };
            best = self
                .evaluator
                .rank(ctx, shape, &supply, run_ceiling, Some(placed.run.tap));
            if best.is_some() {
                break;
            }
        }
        let run = best?;
        let trench = self
            .trial
            .difference(ctx, state, Some(&placed.run.shape), &run.shape);
        let difference = run.figures.cost - placed.run.figures.cost + trench;
        difference.is_finite().then_some(Offer {
            difference,
            slot: Some(slot),
            feed: Feed::Standing(placed.unit),
            run,
        })
    }

    fn alone(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        fixture: FixtureId,
        home: HomeRun,
        manner: Manner,
        ceiling: f64,
    ) -> Option<Offer> {
        let landing = self.landing_of(ctx, fixture, home.node)?;
        let mut route = Vec::new();
        self.routes.route_back(home.node, &mut route);
        let mut shape = Shape::new(home.node, landing.node, route);
        shape.land(fixture, 0, landing.route.clone());
        self.offer_alone(ctx, state, &shape, home, manner, ceiling)
    }

    /// Evaluates a circuit on a home run of its own; `None` from `ceiling` up.
    pub(super) fn offer_alone(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        shape: &Shape,
        home: HomeRun,
        manner: Manner,
        ceiling: f64,
    ) -> Option<Offer> {
        let HomeRun {
            feed, secondary, ..
        } = home;
        let site = match feed {
            Feed::Standing(unit) => state.units[unit]?.site,
            Feed::New(site, _) => site,
        };
        guided::allowed(ctx, state, None, shape, site).then_some(())?;
        let (supply, opening) = match feed {
            Feed::Standing(unit) => (state.supply(ctx, unit, secondary, None)?, 0.0),
            Feed::New(site, model) => {
                let mut with = state.clone();
                let unit = with.add_unit(bought(site, model));
                with.site_has_room(ctx, site).then_some(())?;
                let cost = ctx.unit_cost(model) + self.site_opening(ctx, state, site);
                (
                    with.supply(ctx, unit, secondary, None)?,
                    cost * manner.opening_share,
                )
            }
        };
        let rough = self.trial.difference(ctx, state, None, shape) + opening;
        let run = self
            .evaluator
            .rank(ctx, shape, &supply, ceiling - rough, None)?;
        let trench = self.trial.difference(ctx, state, None, &run.shape);
        let difference = run.figures.cost + trench + opening;
        difference.is_finite().then_some(Offer {
            difference,
            slot: None,
            feed,
            run,
        })
    }
}
