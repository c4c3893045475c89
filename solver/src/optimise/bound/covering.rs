//! Least cost of new transformers that cover a load: whole numbers, by dynamic programming.

use super::sources::{VA_TOLERANCE, most_apparent};
use crate::job::Job;

/// Steps per least demand.
const STEPS_PER_DEMAND: usize = 800;

/// Demand covered at most, as a multiple of the least: losses beyond that are not told apart.
const MOST_DEMANDS: usize = 3;

/// Most secondaries counted one by one.
const MOST_SECONDARIES: usize = 8;

/// Least cost of new transformers by number, secondaries and VA to cover.
pub(super) struct Covering {
    step_va: f64,
    /// `least[n][k][d]`: least cost of at least `n` transformers with at least `k`
    /// secondaries that cover `d` steps.
    least: Vec<Vec<Vec<f64>>>,
}

/// A range of demand that the same money covers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Level {
    /// Most VA that may be covered at less than the next level's money; infinite for the last.
    pub most_va: f64,
    /// VA from which this level is needed.
    pub from_va: f64,
}

/// One transformer model: what it adds, and its money.
struct Size {
    steps: usize,
    secondaries: usize,
    cost: f64,
}

impl Covering {
    pub(super) fn new(job: &Job, demand_va: f64, most_counted: usize) -> Self {
        let labour = job.rates.labour.cost().value();
        let step_va = (demand_va / STEPS_PER_DEMAND as f64).max(1e-9);
        let most_steps = STEPS_PER_DEMAND * MOST_DEMANDS;
        let sizes: Vec<Size> = (job.transformers.iter())
            .map(|model| {
                let steps = (most_apparent(job, model) / step_va).ceil() as usize;
                let cost = model.price.cost().value() + model.hours.value() * labour;
                Size {
                    steps: steps.min(most_steps),
                    secondaries: model.secondaries.len(),
                    cost: cost.max(0.0),
                }
            })
            .collect();
        let row = vec![f64::INFINITY; most_steps + 1];
        let mut least = vec![vec![row; MOST_SECONDARIES + 1]; most_counted + 1];
        least[0][0][0] = 0.0;
        for n in 0..=most_counted {
            for k in 0..=MOST_SECONDARIES {
                for size in &sizes {
                    for d in 0..=most_steps {
                        // With nothing left to count, a transformer must cover something.
                        let counts = n > 0 || (k > 0 && size.secondaries > 0);
                        if !counts && (d == 0 || size.steps == 0) {
                            continue;
                        }
                        let rest = least[n.saturating_sub(1)][k.saturating_sub(size.secondaries)]
                            [d.saturating_sub(size.steps)];
                        if rest + size.cost < least[n][k][d] {
                            least[n][k][d] = rest + size.cost;
                        }
                    }
                }
            }
        }
        Self { step_va, least }
    }

    fn row(&self, count: usize, secondaries: usize) -> &[f64] {
        &self.least[count.min(self.least.len() - 1)][secondaries.min(MOST_SECONDARIES)]
    }

    /// Least cost of at least `count` new transformers with at least so many secondaries covering `va`.
    pub(super) fn cost(&self, va: f64, count: usize, secondaries: usize) -> f64 {
        let row = self.row(count, secondaries);
        let steps = ((va - VA_TOLERANCE) / self.step_va).floor().max(0.0) as usize;
        row[steps.min(row.len() - 1)]
    }

    /// The levels of money from a demand upwards: within one, more VA costs no more.
    pub(super) fn levels(&self, from_va: f64, count: usize, secondaries: usize) -> Vec<Level> {
        let row = self.row(count, secondaries);
        let first = ((from_va - VA_TOLERANCE) / self.step_va).floor().max(0.0) as usize;
        let mut start = first.min(row.len() - 1);
        let mut levels = Vec::new();
        for d in start + 1..row.len() {
            if row[d] > row[d - 1] {
                // A load of `d` steps after rounding down costs more; below that it does not.
                let most_va = d as f64 * self.step_va + 2.0 * VA_TOLERANCE;
                levels.push(Level {
                    most_va,
                    from_va: start as f64 * self.step_va + 1.5 * VA_TOLERANCE,
                });
                start = d;
            }
        }
        levels.push(Level {
            most_va: f64::INFINITY,
            from_va: start as f64 * self.step_va + 1.5 * VA_TOLERANCE,
        });
        levels
    }
}
