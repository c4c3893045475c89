//! Steps of the prices of drops, where circuits are taken whole: prices of copper and of volts.
//!
//! The dual function is concave in the squares of the prices of copper, and in those of volts.
//! What pieces drop counts in budgets of the fixture, so that both move like other prices.

use super::circuits::Drop;
use super::climb::DEFLECTION;
use super::prices::Prices;
use super::relaxation::Relaxation;

/// Most that a drop may count above its budget, in budgets.
const MOST_EXCESS: f64 = 2.0;

/// Directions of the prices of copper and of volts, by fixture.
#[derive(Clone, Debug)]
pub(super) struct DropDirections(Vec<[f64; 2]>);

impl DropDirections {
    /// No direction, for so many fixtures.
    pub(super) fn none(count: usize) -> Self {
        Self(vec![[0.0; 2]; count])
    }

    /// The square of their length.
    pub(super) fn square(&self) -> f64 {
        self.0.iter().flatten().map(|drop| drop * drop).sum()
    }

    /// Turns to what pieces drop, over the budget, less one.
    pub(super) fn turn(&mut self, relaxation: &Relaxation, prices: &Prices, found: &[Drop]) {
        for (f, ([copper, volts], drop)) in self.0.iter_mut().zip(found).enumerate() {
            *copper *= DEFLECTION;
            *volts *= DEFLECTION;
            let at = relaxation.loosest[f];
            if !at.bears_some() {
                continue;
            }
            *copper += match drop.copper_length > 0.0 {
                true => drop.copper_length / (2.0 * prices.copper[f] * at.ohms) - 1.0,
                false => -1.0,
            }
            .min(MOST_EXCESS);
            *volts += (drop.volts / at.drop() - 1.0).min(MOST_EXCESS);
            if *volts < 0.0 && prices.volts[f] <= 0.0 {
                *volts = 0.0;
            }
        }
    }

    /// Moves the prices so far.
    pub(super) fn advance(&self, relaxation: &Relaxation, prices: &mut Prices, length: f64) {
        let each = prices.copper.iter_mut().zip(&mut prices.volts);
        for (((t, volt), [copper, volts]), at) in each.zip(&self.0).zip(&relaxation.loosest) {
            if at.bears_some() {
                *t = (*t * *t + length * copper / at.ohms).max(0.0).sqrt();
                *volt = (*volt + length * volts / at.drop()).max(0.0);
            }
        }
    }
}
