//! Published optimisation instances as lighting jobs: the special cases that the
//! wiring problem has when most of its prices and limits are taken away.
//!
//! In all of them fixtures draw next to nothing on wires of next to no resistance,
//! so that no voltage, current or rating binds unless the instance says so;
//! joints, transformers and fixtures cost nothing. What is left is the instance.

mod blank;
mod chains;
mod location;
mod steiner;
mod trees;

pub use chains::{chains, straight, walked};
pub use location::{p_median, warehouses};
pub use steiner::{cable_trenches, shortest_paths, steiner_trees};
pub use trees::{capacitated_trees, wind_farms};

use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::{Effort, Settings, Silent};
use duskwright_solver::solve::{self, Outcome, Solution};

/// How far a value can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nothing cheaper exists.
    Optimal,
    /// The best that anyone reported.
    BestKnown,
    /// Of a slightly different problem, or of a heuristic: for orientation.
    Orientation,
}

/// A published instance, translated.
#[derive(Clone, Debug)]
pub struct Optimum {
    /// Name of the instance and its parameters.
    pub name: String,
    /// The job that it becomes.
    pub job: Job,
    /// Part of the direct cost that the translation added to every plan.
    pub added: f64,
    /// Published value.
    pub value: f64,
    /// What the value is.
    pub standing: Standing,
}

impl Optimum {
    /// Plans the job with any layout.
    ///
    /// # Panics
    /// When no plan is found or the plan fails the check.
    #[must_use]
    pub fn solve(&self, effort: Effort, seed: u64) -> Box<Solution> {
        let settings = Settings {
            effort,
            layout: Layout::Mixed,
            seed,
        };
        match solve::plan(&self.job, &settings, &Silent) {
            Outcome::Feasible(solution) => solution,
            Outcome::NotFound { unserved, .. } => {
                panic!(
                    "{}: no plan, {} fixtures left over",
                    self.name,
                    unserved.len()
                )
            }
            Outcome::Unsound { verdict, .. } => {
                panic!("{}: the plan fails the check: {verdict:?}", self.name)
            }
        }
    }

    /// Value of a plan in the measure of the instance.
    #[must_use]
    pub fn measured(&self, solution: &Solution) -> f64 {
        solution.cost.total().value() - self.added
    }

    /// Share by which a value lies above the published one.
    #[must_use]
    pub fn excess(&self, value: f64) -> f64 {
        value / self.value - 1.0
    }
}
