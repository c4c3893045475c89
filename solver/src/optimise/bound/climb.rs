//! Better prices by deflected subgradient steps.
//!
//! Step length: B. T. Polyak (1969), towards a target above the best value;
//! deflection: P. M. Camerini, L. Fratta, F. Maffioli, "On improving relaxation
//! methods by modified gradient techniques", Mathematical Programming Study 3
//! (1975) 26-34. Every point visited is a valid bound, so the method may stop
//! anywhere.

use super::lagrangian::{self, Evaluation};
use super::prices::Prices;
use super::relaxation::Relaxation;

/// Share of the last direction kept in the next.
const DEFLECTION: f64 = 0.7;
/// Steps without a better value before the step length is cut.
const PATIENCE: u32 = 12;
/// Cut of the step length.
const CUT: f64 = 0.6;
/// Below this step factor the climb starts again from the best prices.
const SHORTEST: f64 = 1e-3;
/// Share of a fresh path in the running mean of a fixture's copper length.
const FRESH: f64 = 0.1;

/// A climb in progress.
#[derive(Debug)]
pub(crate) struct Climb {
    prices: Prices,
    direction: Vec<Vec<f64>>,
    /// Running mean of `2 l sqrt(slope)` along each fixture's cable path.
    copper_length: Vec<f64>,
    factor: f64,
    since_better: u32,
    /// Best value and the prices that gave it.
    pub best: (f64, Prices),
    /// Steps taken.
    pub steps: u32,
}

impl Climb {
    /// Starts from given prices.
    pub(crate) fn new(relaxation: &Relaxation, mut prices: Prices) -> Self {
        let distance: Vec<f64> = copper_distances(relaxation);
        let copper_length: Vec<f64> = distance
            .iter()
            .map(|d| if d.is_finite() { *d } else { 0.0 })
            .collect();
        set_copper(relaxation, &copper_length, &mut prices);
        let direction = prices.rows.iter().map(|row| vec![0.0; row.len()]).collect();
        Self {
            best: (f64::NEG_INFINITY, prices.clone()),
            prices,
            direction,
            copper_length,
            factor: 1.0,
            since_better: 0,
            steps: 0,
        }
    }

    /// Evaluates once and moves on; `above` is the cost of a known plan, if any.
    pub(crate) fn step(&mut self, relaxation: &Relaxation, above: Option<f64>) {
        let found = lagrangian::evaluate(relaxation, &self.prices);
        self.steps += 1;
        if found.value > self.best.0 {
            let gain = found.value - self.best.0;
            self.best = (found.value, self.prices.clone());
            if gain > 1e-4 * found.value.abs() {
                self.since_better = 0;
            }
        }
        self.since_better += 1;
        if self.since_better > PATIENCE {
            self.since_better = 0;
            self.factor *= CUT;
            if self.factor < SHORTEST {
                self.factor = 0.3;
            }
            self.prices = self.best.1.clone();
            self.direction.iter_mut().for_each(|row| row.fill(0.0));
        }
        let margin = 0.02 * self.best.0.abs() + 1e-6;
        let target = above
            .filter(|above| *above > self.best.0)
            .unwrap_or(self.best.0 + margin);
        self.turn(relaxation, &found);
        self.advance((target.min(self.best.0 + 3.0 * margin) - found.value).max(0.0));
        self.refresh_copper(relaxation, &found);
    }

    /// Direction: what the fixtures use, less what the things shared would let them use.
    fn turn(&mut self, relaxation: &Relaxation, found: &Evaluation) {
        let blocks = self.prices.blocks;
        self.direction
            .iter_mut()
            .zip(&found.paths)
            .for_each(|(row, paths)| {
                row.iter_mut().for_each(|entry| *entry *= DEFLECTION);
                if let Some(path) = &paths.trench {
                    row[blocks.trench_site + path.site] += 1.0;
                    path.arcs
                        .iter()
                        .for_each(|arc| row[blocks.trench_arc + arc] += 1.0);
                }
                if let Some(path) = &paths.cable {
                    row[blocks.cable_site + path.site] += 1.0;
                    row[blocks.landing + path.landing] += 1.0;
                    for arc in &path.arcs {
                        row[blocks.cable_arc + arc] += 1.0;
                        row[blocks.open_edge + arc / 2] += 1.0;
                    }
                }
                for &(edge, arc) in &found.opened {
                    row[blocks.open_edge + edge] -= 1.0;
                    row[blocks.trench_arc + arc] -= 1.0;
                }
                for &site in &found.sites {
                    row[blocks.trench_site + site] -= 1.0;
                    row[blocks.cable_site + site] -= 1.0;
                }
            });
        for using in &found.cables {
            for &(f, fraction) in &using.settled.users {
                self.direction[f][blocks.cable_arc + using.place] -= fraction;
            }
        }
        for using in &found.joints {
            for &(f, fraction) in &using.settled.users {
                if let Ok(slot) = relaxation.loads[f].landings.binary_search(&using.place) {
                    self.direction[f][blocks.landing + slot] -= fraction;
                }
            }
        }
    }

    fn advance(&mut self, shortfall: f64) {
        let norms: Vec<f64> = self
            .direction
            .iter_mut()
            .zip(&self.prices.rows)
            .map(|(direction, prices)| {
                let mut norm = 0.0;
                for (entry, price) in direction.iter_mut().zip(prices) {
                    if *entry < 0.0 && *price <= 0.0 {
                        *entry = 0.0;
                    }
                    norm += *entry * *entry;
                }
                norm
            })
            .collect();
        let norm: f64 = norms.iter().sum();
        if norm <= 0.0 {
            return;
        }
        let length = self.factor * shortfall / norm;
        self.prices
            .rows
            .iter_mut()
            .zip(&self.direction)
            .for_each(|(prices, direction)| {
                for (price, entry) in prices.iter_mut().zip(direction) {
                    *price = (*price + length * entry).max(0.0);
                }
            });
    }

    fn refresh_copper(&mut self, relaxation: &Relaxation, found: &Evaluation) {
        for (mean, paths) in self.copper_length.iter_mut().zip(&found.paths) {
            if let Some(path) = &paths.cable {
                let length: f64 = path.arcs.iter().map(|arc| relaxation.copper(arc / 2)).sum();
                *mean += FRESH * (length - *mean);
            }
        }
        set_copper(relaxation, &self.copper_length, &mut self.prices);
    }
}

/// The multiplier that is best when a fixture's cable path has the given copper length.
fn set_copper(relaxation: &Relaxation, copper_length: &[f64], prices: &mut Prices) {
    for ((t, length), load) in prices
        .copper
        .iter_mut()
        .zip(copper_length)
        .zip(&relaxation.loads)
    {
        *t = if load.budget > 0.0 {
            length * load.power_va / (2.0 * load.budget)
        } else {
            0.0
        };
    }
}

/// Least copper length from any site to each fixture's landings.
fn copper_distances(relaxation: &Relaxation) -> Vec<f64> {
    let mut free = Prices::zero(relaxation);
    free.copper.fill(1.0);
    lagrangian::evaluate(relaxation, &free)
        .paths
        .iter()
        .map(|paths| paths.cable.as_ref().map_or(f64::INFINITY, |path| path.cost))
        .collect()
}
