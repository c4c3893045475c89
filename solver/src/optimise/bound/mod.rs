//! A proven lower bound on the direct cost of every plan of a job.
//!
//! # What is bounded
//!
//! Take any feasible plan. Write `y_e = 1` for an opened segment, `y_s = 1` for a
//! site with a transformer in use, and for every fixture `f` follow its supply:
//! pieces from the site to the joint where its lead lands, then the lead. Cut the
//! loops out of the pieces' walk and call what is left `x^f` (a simple path of
//! arcs, each inside one particular cable); let `z^f` be `f`'s path in a spanning
//! arborescence of the opened segments, rooted at the sites in use. With `N_a`
//! cables laid along arc `a` in its direction of feed and `J_v` the joints at a node:
//!
//! 1. **Trenches.** Pieces and leads both need an opened segment, so the opened
//!    segments join every fixture to some site in use and the arborescence
//!    exists. Its arcs `w` obey `w_uv + w_vu <= y_e` and `z^f_a <= w_a`: the
//!    directed cut relaxation, far stronger than the undirected one. `z^f` may
//!    enter at *any* site in use: two circuits may cross, so the arborescence
//!    may reach `f` from another site than the one that feeds it.
//! 2. **Cables.** `x^f_uv + x^f_vu <= y_e` for each `f` alone, since two circuits may
//!    pass a segment in opposite directions. `x^f` may end, free of cable, at any
//!    node within reach of the lead. `N_a >= x^f_a`, and the fixtures of one
//!    cable draw no more than it may carry: at least `i_f` each, at most the
//!    smaller of the largest ampacity and the largest circuit limit, or a number
//!    of fixtures where the job limits it. Zones never share a cable; a fixture
//!    without a zone shares with any.
//! 3. **Joints.** A lead lands in a joint. The joints of a node in which `m` leads land cost at
//!    least `h(m)`: the least sum over ways to share the leads among joints, each the cheapest
//!    hardware with room for its leads beside the wire that feeds it, plus the slack and rise
//!    of the piece that feeds it at the cheapest price by length (left out at a site, where a
//!    home run may have no length). Fixtures share joints, except across zones.
//! 4. **Sources.** For every set `S` of sites, `G(S)` is the least cost of sites,
//!    further mains circuits and transformers that cover the least load at the
//!    terminals, own losses of each fixture on the shortest route included (whole
//!    numbers of transformers by dynamic programming, demand rounded down and
//!    ratings up; zones switched at a transformer need transformers of their
//!    own, all groups at once; outlets, wall places and mains limit their number:
//!    the module `fleets`). Charges `phi_s >= 0` and the constant `min_S G(S) - phi(S)` replace it.
//!    Standing transformers are free and may be used by every zone at once; else zones
//!    switched at a secondary need secondaries of their own as well.
//! 5. **Copper.** For a line with `alpha, gamma >= 0` under the prices,
//!    `p_k >= alpha + gamma / R_k` for every gauge `k` that pieces may use (`R_k`: loop
//!    resistance per length, hot and grown). In the low case all currents are in
//!    phase and drops add up: down the path of `f`, whose terminals stand at `V_f`
//!    and draw `I_f = I(V_f)`,
//!
//!    ```text
//!    sum R_a l_a I_a + R_lead I_f <= Vnl - V_f        I_a = sum of I_g behind a
//!    ```
//!
//!    with `Vnl` the highest *no-load* voltage of any tap that may be used. Add
//!    `kappa_f I_f` times this for every `f`, with `L_a = sum kappa_f I_f` over the fixtures
//!    behind `a`; a cable then costs at least, whatever its gauge,
//!
//!    ```text
//!    l_a (alpha + gamma / R_a + R_a I_a L_a) >= l_a (alpha + 2 sqrt(gamma I_a L_a))
//!                                            >= l_a (alpha + sum_f 2 sqrt(gamma kappa_f) I_f)
//!    ```
//!
//!    by the arithmetic-geometric mean and Cauchy-Schwarz. `kappa_f` may be any number
//!    `>= 0` for each plan: with `kappa_f = (t_f / I_f)²` for a fixed `t_f` each fixture
//!    pays `2 t_f l_a sqrt(gamma)` along its own path, whatever its current, less at most
//!    `t_f²` times the greatest `(Vnl - V) / I(V) - R_lead` for `V` inside its window. A
//!    single constant power at the end of a cable is bounded exactly that way. Every line is
//!    valid for every cable, so one through which `q = sum_f t_f` passes costs at least the
//!    largest, `l max (alpha + 2 q sqrt(gamma))`: a convex curve. Several cables cost at
//!    least its perspective `n c(q / n)`, `n >= 1` (the module `curve`). One or two cables cost
//!    more: `l min (p_k + R_k q²)` over whole gauges, by the line above the roots with its gauge
//!    left as it is (the module `laid`).
//!
//! 6. **Losses.** What the transformers deliver holds what the pieces lose: `sum R_a l_a I_a²`.
//!    Plans are told apart by the sites in use, by how much their transformers may
//!    deliver and by the sites that feed each zone (the module `arrangements`): where that is at most `D`, a price `mu >= 0` on
//!    `VA - D <= 0` adds `mu R_a I_a²` to the term under the root above, which becomes
//!    `sum_f sqrt(kappa_f + mu) I_f` by the same inequality. With `t_f = sqrt(kappa_f + mu) I_f`
//!    held fixed, each fixture adds at least `mu VA(V) - (t_f² - mu I(V)²) ((Vnl - V) / I(V) - R_lead)`
//!    for its worst `V` (the bracket no less than 0), and `mu D` is taken off. The least over
//!    all parts holds for every plan. Voltages are told apart by ranges, each with its
//!    least current and power and its largest drop.
//!
//! 7. **Regulation.** A transformer that delivers `P` VA stands `rho P` volts below its no-load
//!    voltage, `rho` its full-load fall over its rating. That takes `kappa_f I_f rho P` of the
//!    budget of each fixture it feeds, together `rho (sum V_f I_f) (sum kappa_f I_f)` at least,
//!    hence `rho x²` with `x = sum sqrt(kappa_f I_f V_f I_f)` over its fixtures. Over all
//!    transformers that is at least `X² / W` with `X` the sum over all fixtures and `W` the sum
//!    of `1 / rho` (Cauchy-Schwarz), which each part limits; and `X² / W >= 2 lambda X - lambda² W`
//!    for any `lambda >= 0` leaves one more term for each fixture.
//!
//! 8. **Branching.** Pieces that leave a node and pieces that come to it differ by the pieces
//!    that begin and end in joints there, so that a tee where no lead lands costs something as
//!    well: a price at each node says how much (the module `passing`).
//!
//! The high case, lugs, fill, contact resistance, losses and rounding up to the
//! grid only raise the cost and are left out. With
//! losses in the objective the installed cost is still a bound. With whole
//! spools a metre costs at least the best rate of a spool or of the price list;
//! cable on hand is free, or (a second relaxation) has its price and the worth
//! of the stock is taken off.
//!
//! # How it is computed
//!
//! Every coupling row (`z <= w`, `x <= y`, `x <= N`, landings and entries) gets a
//! multiplier `>= 0`. What is left falls apart: two cheapest paths per fixture,
//! one sign test per segment and site, one packing per arc and per node whose
//! linear relaxation is solved exactly. For *any* non-negative multipliers the
//! sum of these minima is at most the cost of every plan (weak duality), so no
//! tolerance of any solver enters: the module `lagrangian` evaluates it in plain
//! arithmetic and rounds down by more than the rounding error of the sums.
//!
//! Multipliers come from dual ascent (R. T. Wong 1984) and deflected subgradient
//! steps; what copper is worth at first from what flows where (the module `fitting`). At their best they give the value of the linear
//! relaxation of the multi-commodity program above. The larger of two such bounds is a bound;
//! their sum is not.
//!
//! In jobs of few fixtures the last steps take circuits whole: the cheapest tree of each set of
//! fixtures, and the cheapest partition into circuits (the module `circuits`).
//!
//! Time per step: two shortest-path searches per fixture. Memory: five numbers
//! per segment and fixture, four copies.

mod alone;
mod arrangements;
mod ascent;
mod best_copper;
mod circuits;
mod climb;
mod copper;
mod curve;
mod drops;
mod fitting;
mod fleets;
mod graph;
mod joints;
mod lagrangian;
mod laid;
mod loads;
mod parts;
mod passing;
mod paths;
mod planted;
mod prices;
mod relaxation;
mod remedy;
mod sharing;
mod sources;
mod unservable;

use crate::job::{Job, Layout, Objective};
use crate::optimise::effort::{Observer, Progress};
use crate::units::Cost;
use climb::Climb;
use copper::Stock;
use parts::Parts;
use relaxation::Relaxation;

pub(crate) use alone::Surroundings;
pub(crate) use loads::{most_outlets, most_transformers};
#[doc(hidden)]
pub use planted::Planted;
pub use remedy::Remedy;
pub(crate) use sources::{largest_circuit_amperes, lug_places, most_apparent, rated_va_for};
pub(crate) use unservable::verdict;
pub use unservable::{Binds, Unservable, unservable};

/// How much work to spend on the bound, in arcs scanned by the path searches.
///
/// Work, not seconds: the same work gives the same bound on any machine. One
/// step scans every arc of the site graph about twice for each of the two
/// paths of every fixture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BoundWork(pub u64);

impl BoundWork {
    /// A first bound.
    pub const QUICK: Self = Self(20_000_000);
    /// What goes beside a bid.
    pub const STANDARD: Self = Self(400_000_000);
    /// What a large order deserves.
    pub const THOROUGH: Self = Self(4_000_000_000);

    /// Work enough for so many steps on a job: 300 come close to the best
    /// prices on most jobs, 1000 closer.
    #[must_use]
    pub fn for_steps(job: &Job, steps: u32) -> Self {
        Self(step_work(job.fixtures.len(), job.segments.len()).saturating_mul(u64::from(steps)))
    }
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
/// step length. Deterministic for any number of threads. A job without any plan
/// gets some number: see [`unservable`] for a proof that there is none.
#[must_use]
pub fn lower_bound(
    job: &Job,
    layout: Layout,
    incumbent: Option<Cost>,
    work: BoundWork,
    observer: &dyn Observer,
) -> Bound {
    // The plans of every layout are among the mixed ones.
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
    let steps = work.0 / step_work(job.fixtures.len(), job.segments.len());
    let mut ascent = Ascent {
        job,
        planted,
        partitioned: f64::NEG_INFINITY,
        runs: relaxations(job, planted)
            .into_iter()
            .map(Run::new)
            .collect(),
        incumbent,
        observer,
        work,
        steps: u32::try_from(steps).unwrap_or(u32::MAX).max(1),
        spent: 0,
        stopped: false,
    };
    ascent.work();
    let mut value = ascent.value();
    if planted == Planted::SumOfBounds {
        value += trench_alone(&ascent.runs[0].relaxation);
    }
    let how = match ascent.stopped {
        true => How::Stopped {
            steps: ascent.spent,
        },
        false => How::Improved {
            steps: ascent.spent,
        },
    };
    Bound {
        value: Cost::new(value),
        how,
    }
}

/// One relaxation and the climb on it.
struct Run {
    relaxation: Relaxation,
    climb: Climb,
}

impl Run {
    fn new(relaxation: Relaxation) -> Self {
        let prices = ascent::dual_ascent(&relaxation);
        let climb = Climb::new(&relaxation, prices);
        Self { relaxation, climb }
    }
}

/// Share of its value by which a relaxation that prices copper may trail a
/// flat one after the trial and still get the rest of the work: it is the
/// finer of the two.
const PATIENCE_WITH_COPPER: f64 = 0.003;

/// Share of the steps spent on the whole before plans are told apart.
const WHOLE: f64 = 0.2;

/// Steps below which the whole is too rough to tell plans apart from, if they are no more than
/// [`MOST_WHOLE`] of all.
const ENOUGH_WHOLE: f64 = 400.0;
const MOST_WHOLE: f64 = 0.4;

/// Work on whole circuits beside the steps, for each arc that these may scan.
const WHOLE_WORK: u64 = 8;
/// Steps with whole circuits, at most.
const MOST_WHOLE_STEPS: u64 = 120;

/// All relaxations of a job under way.
struct Ascent<'a> {
    job: &'a Job,
    planted: Planted,
    /// The least over all parts of the partition.
    partitioned: f64,
    /// The flat one last.
    runs: Vec<Run>,
    incumbent: Option<Cost>,
    observer: &'a dyn Observer,
    work: BoundWork,
    steps: u32,
    spent: u32,
    stopped: bool,
}

impl Ascent<'_> {
    /// Some of the work finds out which relaxation is best, and goes on with it; the rest goes
    /// into its parts.
    fn work(&mut self) {
        let all = f64::from(self.steps);
        let whole = (WHOLE * all).max(ENOUGH_WHOLE.min(MOST_WHOLE * all)) as u32;
        let trial = (whole / (self.runs.len() as u32 + 1)).max(1);
        for r in 0..self.runs.len() {
            self.climb(r, trial);
        }
        self.fit_flat_ones(trial);
        let best = self
            .runs
            .iter()
            .map(|run| run.climb.best)
            .fold(f64::NEG_INFINITY, f64::max);
        let worth = best - PATIENCE_WITH_COPPER * best.abs();
        let chosen = self
            .runs
            .iter()
            .position(|run| run.climb.best >= worth)
            .unwrap_or(0);
        self.climb(chosen, whole.saturating_sub(self.spent));
        self.partition(chosen);
        self.climb(chosen, self.steps.saturating_sub(self.spent));
    }

    /// Tries lines fitted to what the flat relaxations found, before all others.
    fn fit_flat_ones(&mut self, trial: u32) {
        let flat = self.runs.iter().filter(|run| run.relaxation.is_flat());
        let fitted: Vec<Run> = flat
            .filter_map(|run| {
                let fitted = fitting::to_drops(&run.climb, &run.relaxation)?;
                let mut relaxation = run.relaxation.clone();
                let climb = Climb::fitted(&run.climb, fitted, &mut relaxation);
                Some(Run { relaxation, climb })
            })
            .collect();
        let count = fitted.len();
        self.spent += count as u32 * fitting::FIT_STEPS;
        self.runs.splice(0..0, fitted);
        for r in 0..count {
            self.climb(r, trial);
        }
    }

    /// Tells plans apart by sites and transformers.
    fn partition(&mut self, chosen: usize) {
        let above = self.incumbent.map(Cost::value);
        let mut bases: Vec<_> = (self.runs.iter())
            .map(|run| (&run.relaxation, &run.climb))
            .collect();
        bases.swap(0, chosen);
        let (relaxation, climb) = bases[0];
        let found = arrangements::arrangements(self.job, &relaxation.power, self.planted);
        if found.is_empty() {
            return;
        }
        let mut parts = Parts::new(found, relaxation, climb);
        while self.spent < self.steps && !self.stopped {
            let spent = parts.stretch(self.job, &bases, above);
            if spent == 0 {
                break;
            }
            self.spent += spent;
            self.partitioned = parts.value();
            self.stopped = self.observer.should_stop();
            self.observer.progress(Progress {
                incumbent: self.incumbent,
                bound: Some(Cost::new(self.value())),
                done: f64::from(self.spent) / f64::from(self.steps),
            });
        }
        self.partitioned = parts.value();
        let Some(makings) = &relaxation.makings else {
            return;
        };
        let work = self.work.0.saturating_mul(WHOLE_WORK);
        let steps = (work / makings.work()).min(MOST_WHOLE_STEPS);
        for _ in 0..steps {
            if self.stopped || !parts.step_whole(&bases, above) {
                break;
            }
            self.partitioned = self.partitioned.max(parts.value());
            self.stopped = self.observer.should_stop();
        }
    }

    fn climb(&mut self, r: usize, steps: u32) {
        let above = self.incumbent.map(Cost::value);
        for _ in 0..steps {
            if self.stopped || above.is_some_and(|above| self.value() >= above * (1.0 - 1e-7)) {
                return;
            }
            let Run { relaxation, climb } = &mut self.runs[r];
            climb.step(relaxation, above);
            self.spent += 1;
            self.stopped = self.observer.should_stop();
            if self.spent.is_multiple_of(16) {
                self.observer.progress(Progress {
                    incumbent: self.incumbent,
                    bound: Some(Cost::new(self.value())),
                    done: f64::from(self.spent) / f64::from(self.steps),
                });
            }
        }
    }

    /// The largest of valid bounds is valid. No plan costs less than nothing.
    fn value(&self) -> f64 {
        self.runs
            .iter()
            .map(|run| run.climb.best)
            .fold(self.partitioned.max(0.0), f64::max)
    }
}

/// Arcs scanned by one step.
const fn step_work(fixtures: usize, segments: usize) -> u64 {
    fixtures as u64 * (segments as u64 * 4 + 8)
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
        let flat = Relaxation::new(job, &gauges, planted);
        if let Some(line) = flat.frontier.steepest() {
            relaxations.push(flat.clone().with_line(line));
        }
        relaxations.push(flat);
    }
    relaxations
}

/// The planted error: a bound on the trenches, to be added to the whole.
fn trench_alone(relaxation: &Relaxation) -> f64 {
    relaxation
        .graph
        .edges
        .iter()
        .map(|edge| edge.trench)
        .fold(f64::INFINITY, f64::min)
}
