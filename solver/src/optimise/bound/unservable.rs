//! Fixtures that no plan can serve, even alone, and the smallest change that would let it.
//!
//! A fixture named here is proven out of reach, since every figure is
//! optimistic; one not named may still be.

use super::alone::{Alone, Surroundings};
use super::loads::{self, load_factor};
use super::remedy::Remedy;
use super::sources;
use crate::ids::{CableId, FixtureId};
use crate::job::Job;
use crate::units::{Amperes, Metres, VoltAmperes, Volts};

/// Tolerance of voltage and current limits, doubled, V and A.
const TOLERANCE: f64 = 2e-6;

/// What keeps a fixture dark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Binds {
    /// No walk of segments joins it to any site.
    NoRoute,
    /// No node where a joint may stand is within reach of its lead.
    NoJointInReach,
    /// No tap that may be used stands as high as its window begins, even without any cable.
    Taps {
        /// Lowest voltage it must have, margin included.
        needed: Volts,
        /// The highest tap at no load, low end of the line.
        highest: Volts,
    },
    /// The taps are high enough, but not after the shortest route.
    Distance {
        /// Lowest voltage it must have, margin included.
        needed: Volts,
        /// Shortest route from any site to where its lead may land.
        route: Metres,
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

/// A fixture that no plan can serve.
#[derive(Clone, Debug, PartialEq)]
pub struct Unservable {
    /// The fixture.
    pub fixture: FixtureId,
    /// Highest voltage it could have, alone; `None` when the load collapses or nothing reaches it.
    pub best_volts: Option<Volts>,
    /// The rule that binds.
    pub binds: Binds,
    /// Changes, each alone enough for the rule that binds; empty where no kind of change is known to be.
    pub remedies: Vec<Remedy>,
}

/// The fixtures that no plan can serve, in file order.
///
/// Time: one shortest-path search per fixture.
#[must_use]
pub fn unservable(job: &Job) -> Vec<Unservable> {
    let surroundings = Surroundings::new(job);
    job.fixture_ids()
        .filter_map(|fixture| verdict(&surroundings, fixture))
        .collect()
}

/// The proof for one fixture; `None` when there is none.
pub(crate) fn verdict(surroundings: &Surroundings<'_>, fixture: FixtureId) -> Option<Unservable> {
    let job = surroundings.job;
    let unserved = |best_volts: Option<f64>, binds, remedies| {
        Some(Unservable {
            fixture,
            best_volts: best_volts.map(Volts::new),
            binds,
            remedies,
        })
    };
    let landings = surroundings.landings(fixture);
    if landings.is_empty() {
        let remedies = joint_or_lead(surroundings, fixture);
        return unserved(None, Binds::NoJointInReach, remedies);
    }
    let alone = surroundings.alone(fixture, &landings);
    if !alone.route.is_finite() {
        return unserved(None, Binds::NoRoute, vec![Remedy::Path]);
    }
    if !some_lug_fits(job) {
        return unserved(None, Binds::Lug, vec![lug_remedy(job)]);
    }
    let best = alone.best_volts();
    let (binds, remedies) =
        voltage(job, fixture, &alone, best).or_else(|| capacity(surroundings, fixture, &alone))?;
    unserved(best, binds, remedies)
}

/// Whether the voltage stays below the window.
fn voltage(
    job: &Job,
    fixture: FixtureId,
    alone: &Alone<'_>,
    best: Option<f64>,
) -> Option<(Binds, Vec<Remedy>)> {
    if best.is_some_and(|volts| volts >= alone.needed - TOLERANCE) {
        return None;
    }
    let needed = job.model_of(fixture).window.min() + job.rules.margins.low;
    let binds = if alone.source < alone.needed - TOLERANCE {
        Binds::Taps {
            needed,
            highest: Volts::new(alone.source),
        }
    } else {
        Binds::Distance {
            needed,
            route: Metres::new(alone.route),
        }
    };
    Some((binds, alone.remedies(1.0)))
}

/// Whether its current or its load is too large for anything on sale.
fn capacity(
    surroundings: &Surroundings<'_>,
    fixture: FixtureId,
    alone: &Alone<'_>,
) -> Option<(Binds, Vec<Remedy>)> {
    let job = surroundings.job;
    let least = alone.current(alone.needed).min(alone.current(alone.source));
    let current = Amperes::new(least);
    let too_weak = |ampacity: f64| ampacity + TOLERANCE < least;
    if surroundings
        .gauges
        .iter()
        .all(|gauge| too_weak(gauge.ampacity))
    {
        let remedies = vec![Remedy::MoreAmpacity(current)];
        return Some((Binds::Ampacity { current }, remedies));
    }
    if too_weak(sources::largest_circuit_amperes(job)) {
        let remedies = vec![Remedy::LargerCircuit(current)];
        return Some((Binds::CircuitLimit { current }, remedies));
    }
    let model = job.model_of(fixture);
    let least_va = model.apparent.value() * load_factor(alone.needed, model);
    if sources::largest_transformer_va(job) < least_va {
        let apparent = VoltAmperes::new(least_va);
        let remedies = sources::rated_va_for(job, least_va)
            .map(|rated| Remedy::LargerTransformer(VoltAmperes::new(rated)));
        return Some((
            Binds::TransformerSize { apparent },
            remedies.into_iter().collect(),
        ));
    }
    None
}

/// A joint at the fixture, or a lead that gets to the nearest node where one may stand.
fn joint_or_lead(surroundings: &Surroundings<'_>, fixture: FixtureId) -> Vec<Remedy> {
    let job = surroundings.job;
    let node = job.fixture(fixture).node;
    let distance = surroundings.graph.nearest(&[node.index()]);
    let nearest = (0..job.nodes.len())
        .filter(|&node| job.nodes[node].joint_allowed)
        .map(|node| distance[node])
        .fold(f64::INFINITY, f64::min);
    let mut remedies = vec![Remedy::JointAt(node)];
    if nearest.is_finite() {
        let length = Metres::new(nearest) + loads::lead_slack(job);
        remedies.push(Remedy::LongerLead(length));
    }
    remedies
}

/// A lug for the thinnest home-run cable.
fn lug_remedy(job: &Job) -> Remedy {
    let size = |id: &CableId| job.cable(*id).size.value();
    (0..job.cables.len())
        .map(CableId::new)
        .filter(|&id| job.cable(id).allowed.home_run)
        .min_by(|one, other| size(one).total_cmp(&size(other)))
        .map_or(Remedy::AllowHomeRun, Remedy::LugFor)
}

/// Whether some home-run cable fits a lug of a tap and of a common of one secondary.
fn some_lug_fits(job: &Job) -> bool {
    let homes = || job.cables.iter().filter(|cable| cable.allowed.home_run);
    job.transformers
        .iter()
        .flat_map(|model| &model.secondaries)
        .any(|secondary| {
            homes().any(|cable| {
                sources::lug_places(job, secondary, &|takes| takes.fits(cable.size)) > 0
            })
        })
}
