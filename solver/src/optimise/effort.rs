//! How hard to search, counted in work, and what the caller hears meanwhile.

use crate::job::Layout;
use crate::units::Cost;

/// Named amounts of search work. Work, not seconds: the same effort gives the
/// same plan on any machine and any number of threads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effort {
    /// A first good plan.
    Quick,
    /// What a bid deserves.
    Standard,
    /// What a large order deserves.
    Thorough,
}

/// Search settings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// How hard to search.
    pub effort: Effort,
    /// Which layout the circuits must have.
    pub layout: Layout,
    /// Seed of the one random generator.
    pub seed: u64,
}

/// What the caller is told while the search runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Cost of the best plan so far.
    pub incumbent: Option<Cost>,
    /// Best proven lower bound so far.
    pub bound: Option<Cost>,
    /// Share of the work done, 0..=1.
    pub done: f64,
}

/// The caller's side of a running search.
///
/// The search itself never looks at a clock: a caller with a time limit answers
/// `should_stop` from its own clock, and the result then says it was stopped.
pub trait Observer: Sync {
    /// Called now and then from any thread.
    fn progress(&self, progress: Progress);
    /// Whether to finish as soon as possible with the best plan so far.
    fn should_stop(&self) -> bool;
}

/// An observer that hears nothing and never stops the search.
#[derive(Clone, Copy, Debug, Default)]
pub struct Silent;

impl Observer for Silent {
    fn progress(&self, _progress: Progress) {}
    fn should_stop(&self) -> bool {
        false
    }
}
