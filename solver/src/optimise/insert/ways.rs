//! What ways to a fixture cost, and segments that are shut for a while.

use super::Tools;
use crate::ids::{FixtureId, NodeId, SegmentId};
use crate::optimise::state::State;
use crate::run::Context;
use crate::site::Reach;
use rand::RngExt as _;

/// What one more cable in a segment costs at the margin; infinite where it is shut.
pub(in crate::optimise) fn passing_cost(
    ctx: &Context<'_>,
    state: &State,
    shut: &[SegmentId],
    segment: SegmentId,
) -> f64 {
    match shut.contains(&segment) {
        true => f64::INFINITY,
        false => state.next_cable_cost(ctx, segment),
    }
}

impl Tools {
    /// Leads nothing through these segments until [`Self::open_all`].
    pub(in crate::optimise) fn shut_all(&mut self, segments: &[SegmentId]) {
        self.shut.clear();
        self.shut.extend(segments);
    }

    /// Ends what [`Self::shut_all`] began.
    pub(in crate::optimise) fn open_all(&mut self) {
        self.shut.clear();
    }

    /// Searches from the fixture's landings with marginal trench cost and the price of one cable.
    pub(super) fn price_routes(
        &mut self,
        ctx: &Context<'_>,
        state: &State,
        fixture: FixtureId,
        most_spots: usize,
        settled: &mut Vec<NodeId>,
    ) {
        let facts = &ctx.fixtures[fixture.index()];
        let gauges = ctx.branch_cables.len().max(1);
        // Mostly the thin gauges; now and then a thick one, which prefers shorter cable to shared trench.
        let gauge = self
            .random
            .random_range(0..gauges)
            .min(self.random.random_range(0..gauges));
        let price_per_m = ctx
            .branch_cables
            .get(gauge)
            .or(ctx.home_cables.first())
            .map_or(0.0, |cable| cable.price_per_m);
        let starts: Vec<(NodeId, f64)> = facts
            .landings
            .iter()
            .map(|landing| {
                let trench: f64 = landing
                    .route
                    .iter()
                    .map(|&segment| passing_cost(ctx, state, &self.shut, segment))
                    .sum();
                (landing.node, trench)
            })
            .filter(|(_, cost)| cost.is_finite())
            .collect();
        let shut = &self.shut;
        let weight = |segment: SegmentId| {
            passing_cost(ctx, state, shut, segment)
                + ctx.per_pass[segment.index()]
                + price_per_m * ctx.length_m[segment.index()]
        };
        let at_node = &self.at_node;
        let run_fits = &self.run_fits;
        let mut spots = 0;
        self.routes
            .search(&ctx.graph, starts, (weight, price_per_m), |node, _| {
                settled.push(node);
                let usable = at_node[node.index()].iter();
                spots += usable.filter(|spot| run_fits[spot.run]).count();
                if spots < most_spots {
                    Reach::Further
                } else {
                    Reach::Enough
                }
            });
    }
}
