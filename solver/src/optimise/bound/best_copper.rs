//! The prices of copper and of losses that are best for paths of given copper length.

use super::lagrangian;
use super::loads::{Load, SharedPrices};
use super::prices::Prices;
use super::relaxation::Relaxation;

/// Most by which the price of losses changes in a step: further ahead of what the paths
/// have adapted to, it would undo more than it adds.
const LOSS_GROWTH: f64 = 1.1;
/// What it may grow by besides, money per VA.
const LOSS_START: f64 = 0.05;

/// The multipliers that are best when the fixtures' cable paths have the given copper lengths.
pub(super) fn set(relaxation: &Relaxation, copper_length: &[f64], prices: &mut Prices) {
    let (least, most) = (
        prices.loss / LOSS_GROWTH,
        prices.loss * LOSS_GROWTH + LOSS_START,
    );
    prices.loss = loss_price(relaxation, copper_length).clamp(least, most);
    let shared = prices.shared(relaxation);
    let best = copper_length.iter().zip(&relaxation.loads);
    let best: Vec<f64> = best
        .map(|(&length, load)| best_for(load, length, shared))
        .collect();
    prices.take_copper(&best, relaxation);
    set_fall(relaxation, prices);
}

/// The best price of the fall of transformers for the prices of copper.
pub(super) fn set_fall(relaxation: &Relaxation, prices: &mut Prices) {
    let shared = prices.shared(relaxation);
    // Nothing to share, or no limit: the fall has no price.
    if relaxation.source_firmness > 0.0 && relaxation.source_firmness.is_finite() {
        let pulls = prices.copper.iter().zip(&relaxation.loads);
        let pull: f64 = pulls.map(|(t, load)| load.pull_on_source(*t, shared)).sum();
        prices.fall = pull / relaxation.source_firmness;
    }
}

/// The price of copper that is best for a fixture whose cable path has the given copper length.
fn best_for(load: &Load, length: f64, shared: SharedPrices) -> f64 {
    let worth = |t: f64| t * length + load.least_term(t, 0.0, shared);
    let at = load.at.iter();
    let candidates = at.flat_map(|at| {
        let at_limit = match at.ohms > 0.0 {
            true => (length + 2.0 * shared.fall * at.volts.sqrt()) / (2.0 * at.ohms),
            false => 0.0,
        };
        [at_limit, (shared.loss * shared.loss_scale).sqrt() * at.amps]
    });
    candidates
        .max_by(|one, other| worth(*one).total_cmp(&worth(*other)))
        .unwrap_or(0.0)
}

/// The price of losses that is best for the given copper lengths: where what the pieces
/// lose meets what the transformers leave over. By bisection; any price is valid.
///
/// A fixture at its voltage limit loses `s I² ohms` whatever the price; one that is
/// not, `s I length / (2 sqrt(mu s))`.
fn loss_price(relaxation: &Relaxation, copper_length: &[f64]) -> f64 {
    /// Money per VA: dearer than any cable that saves it.
    const DEAREST: f64 = 1e4;
    const HALVINGS: u32 = 40;
    if relaxation.most_va.is_infinite() {
        return 0.0;
    }
    let left_va = relaxation.most_va - relaxation.drawn_va;
    let scale = relaxation.loss_scale;
    let lost_va = |price: f64| -> f64 {
        let root = (price * scale).sqrt();
        let each = copper_length.iter().zip(&relaxation.loosest);
        each.map(|(length, at)| {
            let free = scale * at.amps * length / (2.0 * root);
            if at.ohms > 0.0 {
                free.min(scale * at.amps * at.amps * at.ohms)
            } else {
                free
            }
        })
        .sum()
    };
    let (mut low, mut high) = (1e-6, DEAREST);
    if lost_va(low) <= left_va {
        return 0.0;
    }
    if lost_va(high) >= left_va {
        return DEAREST;
    }
    for _ in 0..HALVINGS {
        let middle = (low * high).sqrt();
        if lost_va(middle) > left_va {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// Least copper length from any site to each fixture's landings.
pub(super) fn distances(relaxation: &Relaxation) -> Vec<f64> {
    let mut free = Prices::zero(relaxation);
    free.copper.fill(1.0);
    lagrangian::evaluate(relaxation, &free)
        .paths
        .iter()
        .map(|paths| paths.cable.as_ref().map_or(f64::INFINITY, |path| path.cost))
        .collect()
}
