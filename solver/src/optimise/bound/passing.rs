//! Cables branch only in joints: what a tee where no lead lands costs at least.
//!
//! Count at a node the pieces that pass in the direction of feed: a piece leaves the node where
//! it begins once more than it comes, comes once more to the node where it ends, and leaves as
//! often as it comes everywhere else, whatever its walk. With `N_a` cables along arc `a`, `J_v`
//! joints at node `v`, each the end of one piece, `K_v` pieces that begin in them, and `C_v` home
//! runs,
//!
//! ```text
//! sum N_a (out of v) - sum N_a (into v) = K_v - J_v + C_v
//! ```
//!
//! A price `pi_v` for each node, 0 where a home run may begin, adds
//! `pi_u - pi_v` to a cable from `u` to `v` and `pi_v (J_v - K_v)` to the joints, and takes
//! nothing off any plan. Cables must not be worth having for their own sake, so the price rises
//! along a segment by no more than one cable there costs: [`lawful`] lowers prices until it
//! does. A joint with room for `M` wires costs `h`: in it `m` leads land and `k` pieces begin, `m +
//! k <= M`. It must not be worth having for its own sake either, `h + pi - pi M >= 0`; and then
//! it costs least with as many pieces begun as it has room for: `h + pi (1 - M + m)` (the module
//! `joints`).

use super::joints::{self, Way};
use super::planted::Planted;
use super::relaxation::Relaxation;
use super::sharing::Settled;
use std::borrow::Cow;

/// Room for rounding below a limit of a price, as a share of it.
const SAFETY: f64 = 1e-9;

/// How far from a price, money, the costs are taken from which the use of a joint is read.
const STEP: f64 = 1e-4;

/// The most that a price may be at each node, money; infinite where no joint may stand.
pub(super) fn limits(ways: &[Vec<Way>], entry: &[usize], planted: Planted) -> Vec<f64> {
    let limit = |way: &Way| match way.most_wires > 1 {
        true => way.cost / f64::from(way.most_wires - 1) * (1.0 - SAFETY),
        false => f64::INFINITY,
    };
    let each = ways
        .iter()
        .map(|ways| ways.iter().map(limit).fold(f64::INFINITY, f64::min));
    let mut limits: Vec<f64> = each.collect();
    if planted != Planted::CablesBeginInJoints {
        for &node in entry {
            limits[node] = 0.0;
        }
    }
    limits
}

/// The largest prices, none above `wanted`, that the job allows.
pub(super) fn lawful(relaxation: &Relaxation, wanted: &[f64]) -> Vec<f64> {
    let limits = wanted.iter().zip(&relaxation.passing_limits);
    let mut prices: Vec<f64> = limits.map(|(wanted, limit)| wanted.min(*limit)).collect();
    if prices.iter().all(|price| *price <= 0.0) {
        return vec![0.0; wanted.len()];
    }
    relaxation.graph.level(&mut prices, |edge| {
        relaxation.least_cable(edge) * (1.0 - SAFETY)
    });
    prices
}

/// What the joints of a node cost by the leads that land in them, at a price of passing.
pub(super) fn joint_costs(relaxation: &Relaxation, node: usize, price: f64) -> Cow<'_, [f64]> {
    let costs = &relaxation.joint_costs[node];
    if price <= 0.0 {
        return Cow::Borrowed(costs);
    }
    let most = costs.len().saturating_sub(1);
    Cow::Owned(joints::by_leads(
        &relaxation.joint_ways[node],
        price,
        most,
        relaxation.planted,
    ))
}

/// Joints less the pieces that begin in them, where some are used: how fast their cost rises
/// with the price.
pub(super) fn ended(relaxation: &Relaxation, node: usize, price: f64, settled: &Settled) -> f64 {
    if settled.users.is_empty() {
        return 0.0;
    }
    let with_lead = (settled.users.iter()).filter(|(f, _)| relaxation.loads[*f].has_lead);
    let leads = with_lead.count();
    let cost = |price: f64| joints::of_leads(&joint_costs(relaxation, node, price), leads);
    let below = (price - STEP).max(0.0);
    (cost(price + STEP) - cost(below)) / (price + STEP - below)
}
