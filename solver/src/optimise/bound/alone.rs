//! One fixture with the whole job to itself: the best voltage it could have, and
//! the changes that would raise it.
//!
//! Optimistic on purpose: the shortest route, the thickest gauge along all of it,
//! the highest no-load voltage at the low end of the line, no slack, no contact
//! resistance, no other load.

use super::copper::{self, Gauge, Stock};
use super::graph::Graph;
use super::loads::{self, load_factor};
use super::planted::Planted;
use super::remedy::Remedy;
use super::sources;
use crate::ids::{CableId, FixtureId};
use crate::job::{FixtureModel, Job};
use crate::units::{Metres, OhmsPerMetre, Volts};

/// What every fixture of a job meets.
pub(crate) struct Surroundings<'a> {
    pub job: &'a Job,
    pub graph: Graph,
    /// Shortest route from any site to each node, m; infinite where none leads.
    pub from_sites: Vec<f64>,
    pub gauges: Vec<Gauge>,
    /// Highest no-load voltage, low end of the line, V.
    pub source: f64,
}

impl<'a> Surroundings<'a> {
    /// One shortest-path search.
    pub(crate) fn new(job: &'a Job) -> Self {
        let graph = Graph::new(job);
        let entries: Vec<usize> = job.sites.iter().map(|site| site.node.index()).collect();
        Self {
            job,
            from_sites: graph.nearest(&entries),
            graph,
            gauges: copper::gauges(job, Stock::Free, Planted::Nothing),
            source: sources::highest_no_load_volts(job, Planted::Nothing),
        }
    }

    /// Nodes where the lead of a fixture may land. One shortest-path search.
    pub(crate) fn landings(&self, fixture: FixtureId) -> Vec<usize> {
        loads::landings(self.job, fixture, &self.graph, Planted::Nothing)
    }

    /// A fixture fed to one of `landings`.
    pub(crate) fn alone(&self, fixture: FixtureId, landings: &[usize]) -> Alone<'a> {
        let model = self.job.model_of(fixture);
        let least_of = |values: &mut dyn Iterator<Item = f64>| values.fold(f64::INFINITY, f64::min);
        Alone {
            job: self.job,
            model,
            source: self.source,
            piece_ohms_per_metre: least_of(
                &mut self.gauges.iter().map(|gauge| gauge.loop_ohms_per_metre),
            ),
            lead_ohms: loads::lead_ohms(self.job, model),
            route: least_of(&mut landings.iter().map(|&node| self.from_sites[node])),
            needed: loads::least_volts(self.job, model),
        }
    }
}

/// What a fixture alone meets at best.
pub(crate) struct Alone<'a> {
    job: &'a Job,
    model: &'a FixtureModel,
    /// Highest no-load voltage, V.
    pub source: f64,
    /// Lowest loop resistance per metre of pieces, ohm/m.
    piece_ohms_per_metre: f64,
    lead_ohms: f64,
    /// Shortest route from a site to a landing, m.
    pub route: f64,
    /// Lowest voltage of a feasible plan, V.
    pub needed: f64,
}

impl Alone<'_> {
    /// Current drawn at a terminal voltage, A.
    pub(crate) fn current(&self, volts: f64) -> f64 {
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
    pub(crate) fn best_volts(&self) -> Option<f64> {
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

    /// Part of the drop between the source and the window that the fixture alone uses up, >= 0.
    pub(crate) fn share_of_budget(&self) -> f64 {
        let budget = self.source - self.needed;
        match self.best_volts() {
            Some(best) if budget > 0.0 => (self.source - best) / budget,
            _ => f64::INFINITY,
        }
    }

    /// What would leave the fixture alone at `share` of its budget, one change at
    /// a time: 1 just reaches the window.
    pub(crate) fn remedies(&self, share: f64) -> Vec<Remedy> {
        let current = self.current(self.needed);
        let mut remedies = Vec::new();
        let left = share * (self.source - self.needed) / current - self.lead_ohms;
        if left > 0.0 && self.route > 0.0 {
            remedies.push(self.gauge(left / self.route));
            remedies.push(Remedy::NearerSite(Metres::new(
                left / self.piece_ohms_per_metre,
            )));
        }
        let source = self.needed + self.ohms() * current / share;
        let tap = sources::tap_for_no_load_volts(self.job, source);
        remedies.extend(tap.map(|volts| Remedy::HigherTap(Volts::new(volts))));
        if let Some(best) = self.best_volts() {
            let from = self.source - (self.source - best) / share;
            let begins = from - self.job.rules.margins.low.value();
            if begins > 0.0 {
                remedies.push(Remedy::WindowFrom(Volts::new(begins)));
            }
        }
        remedies
    }

    /// The thinnest cable of the catalogue with at most this loop resistance per
    /// metre, or what a new one must have.
    fn gauge(&self, loop_ohms_per_metre: f64) -> Remedy {
        let size = |id: CableId| self.job.cable(id).size.value();
        let thick = (0..self.job.cables.len())
            .map(CableId::new)
            .filter(|&id| {
                let cable = self.job.cable(id);
                copper::low_case_ohms_per_metre(self.job, cable) <= loop_ohms_per_metre
            })
            .min_by(|one, other| size(*one).total_cmp(&size(*other)));
        match thick {
            Some(id) => Remedy::AllowCable(id),
            None => Remedy::ThickerGauge(OhmsPerMetre::new(
                loop_ohms_per_metre / (2.0 * self.job.rules.length_growth),
            )),
        }
    }
}
