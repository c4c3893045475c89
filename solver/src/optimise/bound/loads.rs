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
    /// What it adds to the drop of every piece on its way, and the most that
    /// `sum R l (drops)` over its way may come to: VA and V², or A and V,
    /// whichever form the job takes (see [`Form`]).
    pub draw: f64,
    /// See `draw`.
    pub budget: f64,
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
        draw: 0.0,
        budget: 0.0,
        zone: job.fixture(fixture).zone.map(|zone| zone.index()),
        has_lead: model.lead.is_some(),
        landings: landings_or_own(job, fixture, graph, planted),
        fed_from: (0..job.sites.len())
            .map(|s| may_feed(job, SiteId::new(s), fixture))
            .collect(),
    }
}

/// How voltage drops are counted along a path; one form for the whole job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// `|Vi|² - |Vj|² >= 2 R P`: exact least powers, halved squares of volts.
    Power,
    /// `Vi - Vj = R I`: exact least currents, volts. Better where `n >= 1`.
    Current,
}

/// Draw and budget of one fixture in one form.
fn terms(
    job: &Job,
    fixture: FixtureId,
    load: &Load,
    highest: f64,
    form: Form,
    planted: Planted,
) -> (f64, f64) {
    let model = job.model_of(fixture);
    let mut least = least_volts(job, model);
    if planted == Planted::MarginTwice {
        least += job.rules.margins.low.value();
    }
    let lead = lead_ohms(job, model);
    match form {
        Form::Power => (
            load.power_va,
            (highest * highest - least * least) / 2.0 - lead * load.power_va,
        ),
        Form::Current => (load.current, highest - least - lead * load.current),
    }
}

/// Sets draws and budgets in the form that promises more copper.
///
/// With one line `alpha + gamma / R` a fixture at distance `D` costs at least
/// `gamma draw D² / budget` in copper, so the larger `draw / budget` is better.
pub(crate) fn set_budgets(job: &Job, loads: &mut [Load], highest: f64, planted: Planted) -> Form {
    let promise = |form: Form| -> f64 {
        let each = job.fixture_ids().zip(loads.iter()).map(|(fixture, load)| {
            let (draw, budget) = terms(job, fixture, load, highest, form, planted);
            if budget > 0.0 { draw / budget } else { 0.0 }
        });
        each.sum()
    };
    let form = if promise(Form::Current) > promise(Form::Power) {
        Form::Current
    } else {
        Form::Power
    };
    for (fixture, load) in job.fixture_ids().zip(loads) {
        (load.draw, load.budget) = terms(job, fixture, load, highest, form, planted);
    }
    form
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
