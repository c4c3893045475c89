//! What each fixture needs at least: power, current, voltage budget, landings.

use super::copper;
use super::graph::Graph;
use super::planted::Planted;
use crate::ids::{FixtureId, SiteId};
use crate::job::{FixtureModel, Job, Site};
use crate::units::Metres;

/// Volts, amperes: tolerance of every limit, doubled.
pub(crate) const LIMIT_TOLERANCE: f64 = 2e-6;

/// A fixture's part.
#[derive(Clone, Debug)]
pub(crate) struct Load {
    pub node: usize,
    /// Least VA it draws inside its window.
    pub power_va: f64,
    /// Least current it draws inside its window, A.
    pub current: f64,
    /// What it may do at its terminals, by range of voltage, from the low end of its window up.
    pub at: Vec<Terminal>,
    pub zone: Option<usize>,
    /// Whether it brings a wire that takes a place in a joint.
    pub has_lead: bool,
    /// Nodes where its lead may land, ascending.
    pub landings: Vec<usize>,
    /// Whether each site may feed it at all, in site order.
    pub fed_from: Vec<bool>,
}

/// `(V / Vr)^n`, exact for the common exponents.
pub(crate) fn load_factor(volts: f64, model: &FixtureModel) -> f64 {
    let ratio = volts / model.rated.value();
    let exponent = model.exponent.value();
    if exponent == 0.0 {
        1.0
    } else if exponent == 1.0 {
        ratio
    } else if exponent == 2.0 {
        ratio * ratio
    } else {
        ratio.powf(exponent)
    }
}

/// Lowest voltage at which a feasible plan may leave a fixture, low case, V.
pub(crate) fn least_volts(job: &Job, model: &FixtureModel) -> f64 {
    (model.window.min().value() + job.rules.margins.low.value() - LIMIT_TOLERANCE).max(0.0)
}

/// Loop resistance of a fixture's lead in the low case, ohm; 0 without one.
pub(crate) fn lead_ohms(job: &Job, model: &FixtureModel) -> f64 {
    model.lead.map_or(0.0, |lead| {
        copper::low_case_ohms_per_metre(job, job.cable(lead.cable)) * lead.length.value()
    })
}

/// The terms of a fixture; `highest` is the highest no-load voltage, V.
pub(crate) fn load(
    job: &Job,
    fixture: FixtureId,
    highest: f64,
    graph: &Graph,
    planted: Planted,
) -> Load {
    let model = job.model_of(fixture);
    let least = least_volts(job, model);
    let apparent = model.apparent.value();
    let power_va = match planted {
        Planted::RatedLoads => apparent,
        _ => apparent * load_factor(least, model) * (1.0 - 1e-12),
    };
    let current = match planted {
        Planted::TapCurrents => apparent / model.rated.value().min(highest),
        _ => {
            let at = |volts: f64| apparent * load_factor(volts, model) / volts.max(1e-9);
            at(least).min(at(highest.max(least))) * (1.0 - 1e-12)
        }
    };
    Load {
        node: job.fixture(fixture).node.index(),
        power_va,
        current,
        at: terminals(job, model, highest, planted),
        zone: job.fixture(fixture).zone.map(|zone| zone.index()),
        has_lead: model.lead.is_some(),
        landings: landings_or_own(job, fixture, graph, planted),
        fed_from: (0..job.sites.len())
            .map(|s| may_feed(job, SiteId::new(s), fixture))
            .collect(),
    }
}

/// Ranges of voltage told apart at the terminals of a fixture.
const RANGES: u32 = 8;

/// What a fixture does at best while its terminals stand in a range of voltage.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Terminal {
    /// Least current, A.
    pub amps: f64,
    /// Most volts that pieces may drop on the way, over the current; the lead's share taken off, ohm, >= 0.
    pub ohms: f64,
    /// Least VA of the fixture and its lead.
    pub va: f64,
    /// Most current, A.
    pub most_amps: f64,
    /// Least voltage, V.
    pub volts: f64,
}

/// The ranges from the least voltage of a feasible plan to the source's. At least one.
///
/// Current and power of a load are monotone in its voltage, so within a range both are
/// least at one of its ends.
fn terminals(job: &Job, model: &FixtureModel, highest: f64, planted: Planted) -> Vec<Terminal> {
    let mut least = least_volts(job, model);
    if planted == Planted::MarginTwice {
        least += job.rules.margins.low.value();
    }
    let lead = lead_ohms(job, model);
    let apparent = model.apparent.value();
    let power = |volts: f64| match planted {
        Planted::RatedLoads => apparent,
        _ => apparent * load_factor(volts, model) * (1.0 - 1e-12),
    };
    let current = |volts: f64| match planted {
        Planted::TapCurrents => apparent / model.rated.value().min(highest),
        _ => power(volts) / volts.max(1e-9),
    };
    let step = (highest - least).max(0.0) / f64::from(RANGES);
    (0..RANGES)
        .map(|range| {
            let low = least + step * f64::from(range);
            let high = low + step;
            let amps = current(low).min(current(high));
            Terminal {
                amps,
                ohms: ((highest - low) / amps * (1.0 + 1e-12) - lead).max(0.0),
                va: power(low).min(power(high)) + lead * amps * amps,
                most_amps: current(low).max(current(high)) * (1.0 + 1e-12),
                volts: low,
            }
        })
        .collect()
}

/// Prices of what all fixtures share: what the transformers deliver, and how far they fall
/// under load.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SharedPrices {
    /// `mu`, money per VA.
    pub loss: f64,
    /// A piece of resistance `R` loses `R I² loss_scale`.
    pub loss_scale: f64,
    /// `lambda`, >= 0.
    pub fall: f64,
}

impl Terminal {
    /// Most volts that pieces may drop on the way, >= 0.
    pub(crate) fn drop(&self) -> f64 {
        self.ohms * self.amps
    }

    /// Whether drops are limited, and not to nothing.
    pub(crate) fn bears_some(&self) -> bool {
        self.ohms.is_finite() && self.drop() > 0.0
    }

    /// `kappa I²`, where the current is the least of the range; what is below 0 has no credit.
    fn kappa(&self, t: f64, shared: SharedPrices) -> f64 {
        t * t - shared.loss * shared.loss_scale * self.amps * self.amps
    }

    /// What a fixture adds in this range beside its paths.
    fn term(&self, t: f64, volt: f64, shared: SharedPrices) -> f64 {
        let kappa = self.kappa(t, shared);
        // A load without current bears any resistance: nothing times infinity is nothing.
        let credit = if kappa > 0.0 { kappa * self.ohms } else { 0.0 };
        let volts = if volt > 0.0 { volt * self.drop() } else { 0.0 };
        shared.loss * self.va - credit - volts + 2.0 * shared.fall * self.pull_on_source(t, shared)
    }

    /// How fast that falls with the square of the price of copper, ohm.
    pub(crate) fn credit_per_kappa(&self, t: f64, shared: SharedPrices) -> f64 {
        let kappa = self.kappa(t, shared);
        match kappa > 0.0 {
            true => self.ohms - shared.fall * (self.volts / kappa).sqrt(),
            false => 0.0,
        }
    }

    /// How fast it rises with the price of losses beside what the fixture draws, VA.
    pub(crate) fn lost_per_loss(&self, t: f64, shared: SharedPrices) -> f64 {
        match self.kappa(t, shared) > 0.0 {
            true => shared.loss_scale * self.amps * self.drop(),
            false => 0.0,
        }
    }

    /// At least `sqrt(kappa I V I)` in this range: the fixture's share of its transformer's fall.
    fn pull_on_source(&self, t: f64, shared: SharedPrices) -> f64 {
        let kappa = t * t - shared.loss * shared.loss_scale * self.most_amps * self.most_amps;
        (kappa.max(0.0) * self.volts).sqrt() * (1.0 - 1e-12)
    }
}

impl Load {
    /// The range that leaves most resistance on the way.
    pub(crate) fn loosest(&self) -> Terminal {
        let most = |one: Terminal, next: &Terminal| match next.ohms > one.ohms {
            true => *next,
            false => one,
        };
        self.at[1..].iter().fold(self.at[0], most)
    }

    /// The least of what a fixture adds to the dual function beside its paths: the VA it
    /// draws at the price of losses, less what its voltage budget takes back, and what the
    /// transformer's fall under load takes of that budget.
    ///
    /// `t = sqrt(kappa + loss) I` is the fixture's price of copper, whatever the current `I`.
    /// `volt` is money for each volt that pieces drop besides.
    pub(crate) fn least_term(&self, t: f64, volt: f64, shared: SharedPrices) -> f64 {
        let terms = self.at.iter().map(|at| at.term(t, volt, shared));
        terms.fold(f64::INFINITY, f64::min)
    }

    /// The range in which that is least.
    pub(crate) fn worst(&self, t: f64, volt: f64, shared: SharedPrices) -> Terminal {
        let term = |at: &Terminal| at.term(t, volt, shared);
        let least = |one: Terminal, next: &Terminal| match term(next) < term(&one) {
            true => *next,
            false => one,
        };
        self.at[1..].iter().fold(self.at[0], least)
    }

    /// Least over the ranges of what the fixture adds to the fall of its transformer.
    pub(crate) fn pull_on_source(&self, t: f64, shared: SharedPrices) -> f64 {
        let pulls = self.at.iter().map(|at| at.pull_on_source(t, shared));
        pulls.fold(f64::INFINITY, f64::min)
    }
}

/// Outlets of a site, those of all further mains circuits included.
pub(crate) fn most_outlets(site: &Site) -> u32 {
    let further = site
        .further
        .map_or(0, |further| further.most.saturating_mul(further.outlets));
    site.outlets.saturating_add(further)
}

/// Most transformers that may stand at a site.
pub(crate) fn most_transformers(site: &Site) -> u32 {
    most_outlets(site).min(site.places)
}

/// Whether a transformer may stand at `site` that a fixture's zone allows: a new
/// one where an outlet and a place are left, or one already there.
fn may_feed(job: &Job, site: SiteId, fixture: FixtureId) -> bool {
    let here = job.existing.iter().filter(|standing| standing.site == site);
    let room = most_transformers(job.site(site));
    let zone = job.fixture(fixture).zone;
    (here.clone().count() as u64) < u64::from(room)
        || here
            .into_iter()
            .any(|standing| standing.zone.is_none() || zone.is_none() || standing.zone == zone)
}

/// Least slack of a lead: at the fixture and at the joint it lands in.
pub(crate) fn lead_slack(job: &Job) -> Metres {
    let slack = job.rates.slack;
    slack.fixture + slack.hub.min(slack.splice)
}

/// Nodes that a fixture's lead may reach and where a joint may stand.
pub(crate) fn landings(
    job: &Job,
    fixture: FixtureId,
    graph: &Graph,
    planted: Planted,
) -> Vec<usize> {
    let own = job.fixture(fixture).node.index();
    let reach = match job.model_of(fixture).lead {
        Some(lead) if planted != Planted::CableToTheFixture => {
            (lead.length - lead_slack(job)).value() + 1e-6
        }
        _ => 0.0,
    };
    let has_lead = job.model_of(fixture).lead.is_some();
    let distance = graph.nearest(&[own]);
    (0..job.nodes.len())
        .filter(|&node| node == own || (has_lead && distance[node] <= reach))
        .filter(|&node| job.nodes[node].joint_allowed || !has_lead)
        .collect()
}

/// The landings, or the fixture's own node when nothing else is left: a job with
/// such a fixture has no plan, and the bound must only remain a number.
fn landings_or_own(job: &Job, fixture: FixtureId, graph: &Graph, planted: Planted) -> Vec<usize> {
    let landings = landings(job, fixture, graph, planted);
    if landings.is_empty() {
        vec![job.fixture(fixture).node.index()]
    } else {
        landings
    }
}

#[cfg(test)]
mod tests {
    use super::{Load, SharedPrices, Terminal};

    /// What a load gives back is never more than nothing where it draws nothing.
    #[test]
    fn a_load_without_current_adds_nothing() {
        let load = Load {
            node: 0,
            power_va: 0.0,
            current: 0.0,
            at: vec![Terminal {
                amps: 0.0,
                ohms: f64::INFINITY,
                va: 0.0,
                most_amps: 0.0,
                volts: 0.0,
            }],
            zone: None,
            has_lead: false,
            landings: vec![0],
            fed_from: vec![true],
        };
        let shared = |loss: f64| SharedPrices {
            loss,
            loss_scale: 1.0,
            fall: 0.0,
        };
        for loss in [0.0, 3.0] {
            assert_eq!(load.least_term(0.0, 0.0, shared(loss)), 0.0);
        }
        assert_eq!(load.least_term(1.0, 0.0, shared(0.0)), f64::NEG_INFINITY);
    }
}
