//! Steps of the prices of drops: prices of copper, of volts where circuits are taken whole, and
//! of losses.
//!
//! The dual function is concave in the squares of the prices of copper, and in the prices of
//! volts and of losses. What pieces drop counts in budgets of the fixture, and what transformers
//! deliver in what they may, so that all move like other prices.

use super::circuits::Drop;
use super::climb::DEFLECTION;
use super::prices::Prices;
use super::relaxation::Relaxation;

/// Most that a drop may count above its budget, in budgets.
const MOST_EXCESS: f64 = 2.0;

/// Directions of the prices of copper and of volts, by fixture, and of losses.
#[derive(Clone, Debug)]
pub(super) struct DropDirections {
    each: Vec<[f64; 2]>,
    loss: f64,
}

impl DropDirections {
    /// No direction, for so many fixtures.
    pub(super) fn none(count: usize) -> Self {
        Self {
            each: vec![[0.0; 2]; count],
            loss: 0.0,
        }
    }

    /// The square of their length.
    pub(super) fn square(&self) -> f64 {
        let each = self.each.iter().flatten().map(|drop| drop * drop);
        each.sum::<f64>() + self.loss * self.loss
    }

    /// Turns to what pieces drop, over the budget, less one; and to what is delivered likewise.
    pub(super) fn turn(&mut self, relaxation: &Relaxation, prices: &Prices, found: &[Drop]) {
        let shared = prices.shared(relaxation);
        let mut delivered = 0.0;
        for (f, ([copper, volts], drop)) in self.each.iter_mut().zip(found).enumerate() {
            *copper *= DEFLECTION;
            *volts *= DEFLECTION;
            let t = prices.copper[f];
            let at = relaxation.loads[f].worst(t, prices.volts[f], shared);
            delivered += at.va + at.lost_per_loss(t, shared);
            let budget = relaxation.loosest[f];
            if !budget.bears_some() {
                continue;
            }
            let asked = match drop.copper_length > 0.0 {
                true => drop.copper_length / (2.0 * t),
                false => 0.0,
            };
            *copper += ((asked - at.credit_per_kappa(t, shared)) / budget.ohms).min(MOST_EXCESS);
            *volts += ((drop.volts - at.drop()) / budget.drop()).min(MOST_EXCESS);
            if *volts < 0.0 && prices.volts[f] <= 0.0 {
                *volts = 0.0;
            }
        }
        self.loss *= DEFLECTION;
        if relaxation.most_va.is_finite() && relaxation.most_va > 0.0 {
            self.loss += (delivered / relaxation.most_va - 1.0).min(MOST_EXCESS);
        }
        if self.loss < 0.0 && prices.loss <= 0.0 {
            self.loss = 0.0;
        }
    }

    /// Moves the prices so far.
    pub(super) fn advance(&self, relaxation: &Relaxation, prices: &mut Prices, length: f64) {
        let each = prices.copper.iter_mut().zip(&mut prices.volts);
        for (((t, volt), [copper, volts]), at) in each.zip(&self.each).zip(&relaxation.loosest) {
            if at.bears_some() {
                *t = (*t * *t + length * copper / at.ohms).max(0.0).sqrt();
                *volt = (*volt + length * volts / at.drop()).max(0.0);
            }
        }
        if self.loss != 0.0 {
            prices.loss = (prices.loss + length * self.loss / relaxation.most_va).max(0.0);
        }
    }
}
