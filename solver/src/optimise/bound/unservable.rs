//! Fixtures that no plan can serve, even alone, and the smallest change that would let it.
//!
//! Every figure is optimistic: the shortest route, the thickest gauge along all
//! of it, the highest no-load voltage, no slack, no contact resistance, no other
//! load. A fixture named here is proven out of reach; one not named may still be.

use super::copper::{self, Stock};
use super::graph::Graph;
use super::loads::{self, load_factor};
use super::planted::Planted;
use super::sources;
use crate::ids::{CableId, FixtureId};
use crate::job::{FixtureModel, Job};
use crate::units::{Amperes, Metres, OhmsPerMetre, VoltAmperes, Volts};

/// Tolerance of voltage and current limits, doubled, V and A.
const TOLERANCE: f64 = 2e-6;

/// What keeps a fixture dark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Binds {
    /// No walk of segments joins it to any site.
    NoRoute,
    /// No node where a joint may stand is within reach of its lead.
    NoJointInReach,
    /// Its voltage stays below the low end of its window.
    Window {
        /// Lowest voltage it must have, margin included.
        needed: Volts,
    },
    /// No gauge carries its current.
    Ampacity {
        /// Least current it draws inside its window.
        current: Amperes,
    },
    /// No secondary may carry its current continuously.
    CircuitLimit {
        /// Least current it draws inside its window.
        current: Amperes,
    },
    /// No transformer may deliver its load.
    TransformerSize {
        /// Least load it draws inside its window.
        apparent: VoltAmperes,
    },
    /// No home-run cable fits a lug of any tap that may be used.
    Lug,
}

/// One change, alone enough for the rule that binds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Remedy {
    /// Allow a cable of the catalogue for pieces.
    AllowCable(CableId),
    /// Add a cable whose conductor has at most this resistance in the low case.
    ThickerGauge(OhmsPerMetre),
    /// Use a tap of at least these rated volts.
    HigherTap(Volts),
    /// Bring a site within this route length of where the lead lands.
    NearerSite(Metres),
}

/// A fixture that no plan can serve.
#[derive(Clone, Debug, PartialEq)]
pub struct Unservable {
    /// The fixture.
    pub fixture: FixtureId,
    /// Highest voltage it could have, alone; `None` when the load collapses or nothing reaches it.
    pub best_volts: Option<Volts>,
    /// The rule that binds.
    pub binds: Binds,
    /// Changes, each alone enough; empty where none of these kinds helps.
    pub remedies: Vec<Remedy>,
}

/// What a fixture alone meets at best.
struct Alone<'a> {
    job: &'a Job,
    model: &'a FixtureModel,
    /// Highest no-load voltage, V.
    source: f64,
    /// Lowest loop resistance per metre of pieces, ohm/m.
    piece_ohms_per_metre: f64,
    lead_ohms: f64,
    /// Shortest route from a site to a landing, m.
    route: f64,
    /// Lowest voltage of a feasible plan, V.
    needed: f64,
}

/// The fixtures that no plan can serve, in file order.
///
/// Time: one shortest-path search per fixture.
#[must_use]
pub fn unservable(job: &Job) -> Vec<Unservable> {
    job.fixture_ids()
        .filter_map(|fixture| verdict(job, fixture))
        .collect()
}

fn verdict(job: &Job, fixture: FixtureId) -> Option<Unservable> {
    let refused = |binds| {
        Some(Unservable {
            fixture,
            best_volts: None,
            binds,
            remedies: Vec::new(),
        })
    };
    let graph = Graph::new(job);
    let landings = loads::landings(job, fixture, &graph, Planted::Nothing);
    if landings.is_empty() {
        return refused(Binds::NoJointInReach);
    }
    let entries: Vec<usize> = job.sites.iter().map(|site| site.node.index()).collect();
    let from_sites = graph.nearest(&entries);
    let route = landings
        .iter()
        .map(|&node| from_sites[node])
        .fold(f64::INFINITY, f64::min);
    if !route.is_finite() {
        return refused(Binds::NoRoute);
    }
    if !some_lug_fits(job) {
        return refused(Binds::Lug);
    }
    let gauges = copper::gauges(job, Stock::Free, Planted::Nothing);
    let model = job.model_of(fixture);
    let alone = Alone {
        job,
        model,
        source: sources::highest_no_load_volts(job, Planted::Nothing),
        piece_ohms_per_metre: gauges
            .iter()
            .map(|gauge| gauge.loop_ohms_per_metre)
            .fold(f64::INFINITY, f64::min),
        lead_ohms: loads::lead_ohms(job, model),
        route,
        needed: loads::least_volts(job, model),
    };
    let best_volts = alone.best_volts();
    let refused = |binds, remedies| {
        Some(Unservable {
            fixture,
            best_volts: best_volts.map(Volts::new),
            binds,
            remedies,
        })
    };
    if best_volts.is_none_or(|volts| volts < alone.needed - TOLERANCE) {
        let needed = Volts::new(model.window.min().value() + job.rules.margins.low.value());
        return refused(Binds::Window { needed }, alone.remedies());
    }
    let least = alone.current(alone.needed).min(alone.current(alone.source));
    let current = Amperes::new(least);
    if gauges
        .iter()
        .all(|gauge| gauge.ampacity + TOLERANCE < least)
    {
        return refused(Binds::Ampacity { current }, Vec::new());
    }
    if sources::largest_circuit_amperes(job) + TOLERANCE < least {
        return refused(Binds::CircuitLimit { current }, Vec::new());
    }
    let apparent = model.apparent.value() * load_factor(alone.needed, model);
    if sources::largest_transformer_va(job) < apparent {
        return refused(
            Binds::TransformerSize {
                apparent: VoltAmperes::new(apparent),
            },
            Vec::new(),
        );
    }
    None
}

impl Alone<'_> {
    /// Current drawn at a terminal voltage, A.
    fn current(&self, volts: f64) -> f64 {
        self.model.apparent.value() * load_factor(volts, self.model) / volts.max(1e-9)
    }

    fn ohms(&self) -> f64 {
        self.piece_ohms_per_metre * self.route + self.lead_ohms
    }

    /// The highest `V` with `V + R I(V) = Vnl`; `None` past the fold.
    ///
    /// A plan's voltage meets `V + R I(V) <= Vnl`. The left side is convex for
    /// `n < 1` and rises for `n >= 1`, so from the source down the first root is
    /// the highest voltage any plan could give.
    fn best_volts(&self) -> Option<f64> {
        let excess = |volts: f64| volts + self.ohms() * self.current(volts) - self.source;
        let (mut low, mut high) = (self.lowest_point(), self.source);
        if self.source <= 0.0 || low >= high || excess(low) > 0.0 {
            return None;
        }
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if excess(middle) > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        Some(high)
    }

    /// Where `V + R I(V)` is least, by bisection on its slope.
    fn lowest_point(&self) -> f64 {
        let exponent = self.model.exponent.value();
        if exponent >= 1.0 {
            return 1e-6;
        }
        let slope = |volts: f64| 1.0 - self.ohms() * (1.0 - exponent) * self.current(volts) / volts;
        let (mut low, mut high) = (1e-6, self.source.max(1e-6));
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if slope(middle) < 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        high
    }

    /// What would just reach the window, one change at a time.
    fn remedies(&self) -> Vec<Remedy> {
        let current = self.current(self.needed);
        let mut remedies = Vec::new();
        let left = (self.source - self.needed) / current - self.lead_ohms;
        if left > 0.0 && self.route > 0.0 {
            let loop_ohms = left / self.route;
            let thick = (0..self.job.cables.len())
                .map(CableId::new)
                .filter(|&id| {
                    copper::low_case_ohms_per_metre(self.job, self.job.cable(id)) <= loop_ohms
                })
                .min_by(|a, b| {
                    self.job
                        .cable(*a)
                        .size
                        .value()
                        .total_cmp(&self.job.cable(*b).size.value())
                });
            remedies.push(match thick {
                Some(id) => Remedy::AllowCable(id),
                None => Remedy::ThickerGauge(OhmsPerMetre::new(
                    loop_ohms / (2.0 * self.job.rules.length_growth),
                )),
            });
            remedies.push(Remedy::NearerSite(Metres::new(
                left / self.piece_ohms_per_metre,
            )));
        }
        let source = self.needed + self.ohms() * current;
        let tap = sources::tap_for_no_load_volts(self.job, source);
        remedies.extend(tap.map(|volts| Remedy::HigherTap(Volts::new(volts))));
        remedies
    }
}

/// Whether some home-run cable fits a lug of a tap and of a common of one secondary.
fn some_lug_fits(job: &Job) -> bool {
    let homes = || job.cables.iter().filter(|cable| cable.allowed.home_run);
    job.transformers
        .iter()
        .flat_map(|model| &model.secondaries)
        .any(|secondary| {
            homes().any(|cable| {
                let tap_fits = secondary.taps.iter().any(|tap| {
                    tap.volts.value() <= job.rules.highest_tap.value() + 1e-9
                        && tap.lugs > 0
                        && tap.takes.fits(cable.size)
                });
                tap_fits
                    && secondary
                        .commons
                        .iter()
                        .any(|common| common.lugs > 0 && common.takes.fits(cable.size))
            })
        })
}
