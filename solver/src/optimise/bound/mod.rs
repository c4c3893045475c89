//! A proven lower bound on the direct cost of every plan of a job.

mod ascent;
mod climb;
mod copper;
mod joints;
mod lagrangian;
mod paths;
mod planted;
mod prices;
mod relaxation;
mod sharing;
mod sources;

use crate::job::{Job, Layout, Objective};
use crate::optimise::effort::{Observer, Progress};
use crate::units::Cost;
use climb::Climb;
use copper::Stock;
use relaxation::Relaxation;

#[doc(hidden)]
pub use planted::Planted;

/// How much work to spend on the bound, in arcs scanned by the path searches.
///
/// Work, not seconds: the same work gives the same bound on any machine. One
/// step scans every arc of the site graph about four times per fixture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BoundWork(pub u64);

impl BoundWork {
    /// A first bound.
    pub const QUICK: Self = Self(20_000_000);
    /// What goes beside a bid.
    pub const STANDARD: Self = Self(400_000_000);
    /// What a large order deserves.
    pub const THOROUGH: Self = Self(4_000_000_000);
}

/// How a bound was reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Prices from dual ascent, improved by so many steps.
    Improved {
        /// Steps taken.
        steps: u32,
    },
    /// As above, but the caller asked to stop before the work was done. Still a bound.
    Stopped {
        /// Steps taken.
        steps: u32,
    },
}

/// A proven lower bound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// No plan of the job has a lower direct cost.
    pub value: Cost,
    /// How it was reached.
    pub how: How,
}

/// A lower bound on the direct cost of every plan of `job`.
///
/// `layout` may restrict the plans; the bound is one for all of them, hence for
/// the restricted ones. `incumbent`, the cost of a known plan, only guides the
/// step length. Deterministic for any number of threads.
#[must_use]
pub fn lower_bound(
    job: &Job,
    layout: Layout,
    incumbent: Option<Cost>,
    work: BoundWork,
    observer: &dyn Observer,
) -> Bound {
    // The plans of a layout are among the mixed ones.
    let _ = layout;
    lower_bound_planted(job, incumbent, work, observer, Planted::Nothing)
}

/// The bound with an error planted in it, for the judge of the tests.
#[doc(hidden)]
#[must_use]
pub fn lower_bound_planted(
    job: &Job,
    incumbent: Option<Cost>,
    work: BoundWork,
    observer: &dyn Observer,
    planted: Planted,
) -> Bound {
    let mut runs: Vec<(Relaxation, Climb)> = relaxations(job, planted)
        .into_iter()
        .map(|relaxation| {
            let prices = ascent::dual_ascent(&relaxation);
            let climb = Climb::new(&relaxation, prices);
            (relaxation, climb)
        })
        .collect();
    let per_step = runs
        .first()
        .map_or(1, |(relaxation, _)| step_work(relaxation));
    let steps = u32::try_from(work.0 / per_step).unwrap_or(u32::MAX).max(1);
    let above = incumbent.map(Cost::value);
    // A third of the work finds out which relaxation is best; it gets the rest.
    let trial = (steps / 3 / runs.len() as u32).max(1);
    let mut stopped = false;
    let mut spent = 0;
    let rounds = if runs.len() > 1 { trial } else { 0 };
    for (relaxation, climb) in &mut runs {
        for _ in 0..rounds.max(1) {
            climb.step(relaxation, above);
            spent += 1;
            stopped |= observer.should_stop();
            if stopped {
                break;
            }
        }
    }
    runs.sort_by(|left, right| right.1.best.0.total_cmp(&left.1.best.0));
    let (relaxation, climb) = &mut runs[0];
    while spent < steps && !stopped {
        climb.step(relaxation, above);
        spent += 1;
        stopped = observer.should_stop();
        if spent % 16 == 0 {
            observer.progress(Progress {
                incumbent,
                bound: Some(Cost::new(climb.best.0.max(0.0))),
                done: f64::from(spent) / f64::from(steps),
            });
        }
        if above.is_some_and(|above| climb.best.0 >= above * (1.0 - 1e-7)) {
            break;
        }
    }
    let mut value = climb.best.0.max(0.0);
    if planted == Planted::SumOfBounds {
        value += trench_alone(relaxation);
    }
    let how = if stopped {
        How::Stopped { steps: spent }
    } else {
        How::Improved { steps: spent }
    };
    Bound {
        value: Cost::new(value),
        how,
    }
}

/// Arcs scanned by one step.
fn step_work(relaxation: &Relaxation) -> u64 {
    (relaxation.loads.len() as u64) * (relaxation.edges.len() as u64 * 4 + 8)
}

/// One relaxation for each way of pricing copper.
fn relaxations(job: &Job, planted: Planted) -> Vec<Relaxation> {
    let on_hand = job.objective == Objective::WholeSpools
        && job.cables.iter().any(|cable| !cable.stock.is_empty());
    let stocks: &[Stock] = if on_hand && planted != Planted::StockHasAPrice {
        &[Stock::Free, Stock::Deducted]
    } else {
        &[Stock::Free]
    };
    let mut relaxations = Vec::new();
    for &stock in stocks {
        let gauges = copper::gauges(job, stock, planted);
        for line in copper::lines(&gauges) {
            relaxations.push(Relaxation::new(job, &gauges, line, planted));
        }
    }
    relaxations
}

/// The planted error: a bound on the trenches, to be added to the whole.
fn trench_alone(relaxation: &Relaxation) -> f64 {
    relaxation
        .edges
        .iter()
        .map(|edge| edge.trench)
        .fold(f64::INFINITY, f64::min)
}
