//! Places where a fixture could go, each with an estimate.

use super::{Feed, HomeRun, Manner, Place, Tools};
use crate::ids::{FixtureId, NodeId, SiteId, TransformerModelId, ZoneId};
use crate::job::Layout;
use crate::optimise::room;
use crate::optimise::state::{State, zone_of};
use crate::run::{Context, FixtureFacts, permitted_va};

impl Tools {
    /// Finds out which runs may take so many fixtures more that belong to a zone and draw so
    /// much at least, VA.
    pub(in crate::optimise) fn find_fitting_runs(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        (zone, least_va): (Option<ZoneId>, f64),
        more: usize,
    ) {
        let fits = |run: usize| {
            state.runs[run].as_ref().is_some_and(|placed| {
                let shape = &placed.run.shape;
                room::has_room(ctx, shape, more)
                    && room::bears(ctx, state, run, least_va)
                    && state.zone_fits(ctx, placed.unit, placed.run.secondary, zone, Some(run))
                    && zone.is_none_or(|zone| zone_of(ctx, shape).is_none_or(|other| other == zone))
            })
        };
        self.run_fits.clear();
        self.run_fits.extend((0..state.runs.len()).map(fits));
    }

    pub(super) fn list_places(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        fixture: FixtureId,
        settled: &[NodeId],
        manner: Manner,
    ) {
        self.places.clear();
        let FixtureFacts { zone, least_va, .. } = ctx.fixtures[fixture.index()];
        for &node in settled {
            let Some(distance) = self.routes.distance(node) else {
                continue;
            };
            if self.at_node[node.index()].is_empty() {
                continue;
            }
            let lands_here = self.is_landing(ctx, fixture, node);
            for &spot in &self.at_node[node.index()] {
                if !self.run_fits[spot.run] {
                    continue;
                }
                let shape = &state.runs[spot.run]
                    .as_ref()
                    .expect("marked runs are alive")
                    .run
                    .shape;
                let inside = spot.passed.is_some();
                if room::layout_takes(ctx, shape, spot.joint, inside, lands_here)
                    && (!inside
                        || (ctx.job.node(node).joint_allowed
                            && self.tee_allowed(ctx, node, lands_here)))
                {
                    self.places.push((distance, Place::Beside { spot, node }));
                }
                if !inside
                    && room::interposes(ctx, shape, spot.joint)
                    && let Some(near) = self.routes.distance(shape.upstream_node(spot.joint))
                {
                    let freed_m: f64 = shape.joints[spot.joint]
                        .incoming
                        .route
                        .segments
                        .iter()
                        .map(|id| ctx.length_m[id.index()])
                        .sum();
                    let price_per_m = ctx
                        .branch_cables
                        .first()
                        .or(ctx.home_cables.first())
                        .map_or(0.0, |cable| cable.price_per_m);
                    let estimate = (near + distance - freed_m * price_per_m).max(0.0);
                    self.places.push((
                        estimate,
                        Place::Between {
                            run: spot.run,
                            joint: spot.joint,
                        },
                    ));
                }
            }
        }
        let mut alone = Vec::new();
        self.list_home_runs(ctx, state, (zone, least_va), manner, &mut alone);
        let alone = alone
            .into_iter()
            .map(|(cost, home)| (cost, Place::Alone(home)));
        self.places.extend(alone);
    }

    /// Home runs that could be for what belongs to a zone and draws so much at least, VA, with
    /// their estimated cost, from where the last search reached.
    pub(in crate::optimise) fn list_home_runs(
        &self,
        ctx: &Context<'_>,
        state: &State,
        (zone, least_va): (Option<ZoneId>, f64),
        manner: Manner,
        found: &mut Vec<(f64, HomeRun)>,
    ) {
        let bears = |model: TransformerModelId, others_va: f64| {
            least_va + others_va <= permitted_va(ctx, model) + room::REFUSED_VA
        };
        for (unit, details) in state.units.iter().enumerate() {
            let Some(details) = details
                .filter(|_| !state.is_closed(unit))
                .filter(|details| bears(details.model, state.unit_va(ctx, unit, None)))
            else {
                continue;
            };
            let node = ctx.job.site(details.site).node;
            let Some(distance) = self.routes.distance(node) else {
                continue;
            };
            for secondary in 0..ctx.job.transformer(details.model).secondaries.len() {
                if state.zone_fits(ctx, unit, secondary, zone, None) {
                    found.push((
                        distance,
                        HomeRun {
                            feed: Feed::Standing(unit),
                            secondary,
                            node,
                        },
                    ));
                }
            }
        }
        for site in 0..ctx.job.sites.len() {
            let id = SiteId::new(site);
            if state.is_shut(id) {
                continue;
            }
            let node = ctx.job.site(id).node;
            let Some(distance) = self.routes.distance(node) else {
                continue;
            };
            for model in 0..ctx.job.transformers.len() {
                let model = TransformerModelId::new(model);
                if !bears(model, 0.0) {
                    continue;
                }
                let cost = (ctx.unit_cost(model) + self.site_opening(ctx, state, id))
                    * manner.opening_share;
                for secondary in 0..ctx.job.transformer(model).secondaries.len() {
                    found.push((
                        distance + cost,
                        HomeRun {
                            feed: Feed::New(id, model),
                            secondary,
                            node,
                        },
                    ));
                }
            }
        }
    }

    pub(super) fn site_opening(&self, ctx: &Context<'_>, state: &State, site: SiteId) -> f64 {
        let open = state.units.iter().flatten().any(|unit| unit.site == site);
        if open {
            0.0
        } else {
            ctx.tariff.site(site).value()
        }
    }

    pub(super) fn is_landing(&self, ctx: &Context<'_>, fixture: FixtureId, node: NodeId) -> bool {
        ctx.fixtures[fixture.index()]
            .landings
            .iter()
            .any(|landing| landing.node == node)
    }

    /// Whether a joint made at `node` would obey the layout.
    pub(in crate::optimise) fn tee_allowed(
        &self,
        ctx: &Context<'_>,
        node: NodeId,
        lands_here: bool,
    ) -> bool {
        match ctx.layout {
            Layout::Chain => lands_here,
            Layout::Hub => false,
            Layout::Mixed => {
                !ctx.job.rules.joints_at_fixtures_and_hubs
                    || ctx.fixture_at[node.index()]
                    || !ctx.job.hubs.is_empty()
            }
        }
    }
}
