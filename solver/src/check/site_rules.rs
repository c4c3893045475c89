//! Rules of places: zones, sites, standing transformers, segments.

use super::figures::Figures;
use super::findings::Findings;
use super::violation::{Excess, Place, Rule};
use crate::ids::{PlacedId, SegmentId, SiteId, ZoneId};
use crate::job::Switched;
use crate::plan::TransformerSource;
use std::collections::{BTreeMap, BTreeSet};

/// Mains power is compared to a microvoltampere.
const POWER_TOLERANCE_VA: f64 = 1e-6;
/// Fills are sums of typed cross-sections, exact to about 1e-13 of themselves.
const FILL_TOLERANCE: f64 = 1e-9;

/// Rules that need no voltages.
pub(super) fn rules(findings: &mut Findings<'_>) {
    standing(findings);
    for index in 0..findings.plan.transformers.len() {
        zones(findings, PlacedId::new(index));
    }
    for index in 0..findings.job.sites.len() {
        site_counts(findings, SiteId::new(index));
    }
    segments(findings);
}

fn standing(findings: &mut Findings<'_>) {
    let (job, plan) = (findings.job, findings.plan);
    let mut used = BTreeSet::new();
    for (index, placed) in plan.transformers.iter().enumerate() {
        let TransformerSource::Existing(id) = placed.source else {
            continue;
        };
        let existing = job.existing_transformer(id);
        let place = Place::Transformer(PlacedId::new(index));
        if !used.insert(id) {
            let detail = format!("`{}` is used twice", existing.tag);
            findings.fact(Rule::Standing, place, detail);
        }
        if existing.site != placed.site {
            let stands = &job.site(existing.site).tag;
            let detail = format!("`{}` stands at `{stands}`", existing.tag);
            findings.fact(Rule::Standing, place, detail);
        }
    }
}

/// Secondaries of a transformer on which each zone appears, the zone of a standing transformer on all of them.
pub(super) fn zone_places(
    job: &crate::job::Job,
    plan: &crate::plan::Plan,
    transformer: PlacedId,
) -> BTreeMap<ZoneId, BTreeSet<usize>> {
    let placed = &plan.transformers[transformer.index()];
    let mut places: BTreeMap<ZoneId, BTreeSet<usize>> = BTreeMap::new();
    if let TransformerSource::Existing(id) = placed.source
        && let Some(zone) = job.existing_transformer(id).zone
    {
        let count = job.transformer(placed.model(job)).secondaries.len();
        places.insert(zone, (0..count).collect());
    }
    let circuits = plan.circuits.iter();
    for circuit in circuits.filter(|circuit| circuit.transformer == transformer) {
        for run in &circuit.leads {
            if let Some(zone) = job.fixture(run.fixture).zone {
                places.entry(zone).or_default().insert(circuit.secondary);
            }
        }
    }
    places
}

fn zones(findings: &mut Findings<'_>, transformer: PlacedId) {
    let job = findings.job;
    let places: Vec<_> = zone_places(job, findings.plan, transformer)
        .into_iter()
        .collect();
    for (at, (zone, secondaries)) in places.iter().enumerate() {
        for (other, others) in &places[at + 1..] {
            let whole = [zone, other]
                .iter()
                .any(|&&zone| job.zone(zone).switched == Switched::Transformer);
            let shared = secondaries.intersection(others).next();
            let place = match (whole, shared) {
                (true, _) => Place::Transformer(transformer),
                (false, Some(&secondary)) => Place::Secondary(transformer, secondary),
                (false, None) => continue,
            };
            let detail = format!(
                "zones `{}` and `{}`",
                job.zone(*zone).tag,
                job.zone(*other).tag
            );
            findings.fact(Rule::Zones, place, detail);
        }
    }
}

/// Further mains circuits that the plan buys for a site.
pub(super) fn further_bought(plan: &crate::plan::Plan, site: SiteId) -> u32 {
    let entries = plan.further_circuits.iter();
    let counts = entries
        .filter(|(of, _)| *of == site)
        .map(|&(_, count)| count);
    counts.fold(0, u32::saturating_add)
}

fn site_counts(findings: &mut Findings<'_>, id: SiteId) {
    let (job, plan) = (findings.job, findings.plan);
    let site = job.site(id);
    let place = Place::Site(id);
    let bought = further_bought(plan, id);
    let offered = site.further.map_or(0, |further| further.most);
    findings.count(Rule::FurtherCircuits, place, bought as usize, offered);
    let new = plan
        .transformers
        .iter()
        .filter(|placed| placed.site == id && matches!(placed.source, TransformerSource::New(_)));
    let standing = job.existing.iter().filter(|existing| existing.site == id);
    let standing = standing.count();
    let new = new.count();
    if new == 0 {
        // What stands already needs nothing more.
        return;
    }
    let per_circuit = site.further.map_or(0, |further| further.outlets);
    let outlets = site
        .outlets
        .saturating_add(per_circuit.saturating_mul(bought));
    findings.count(Rule::Outlets, place, new + standing, outlets);
    findings.count(Rule::Places, place, new + standing, site.places);
}

/// Usable mains power against what the transformers draw, the standing ones included.
pub(super) fn mains(findings: &mut Findings<'_>, figures: &Figures) {
    let used: BTreeSet<SiteId> = findings.plan.transformers.iter().map(|t| t.site).collect();
    for site in used {
        let drawn = &figures.sites[site.index()];
        let (Some(found), limit) = (drawn.mains, drawn.usable) else {
            continue;
        };
        let excess = Excess {
            found: found.value(),
            limit: limit.value(),
            unit: "VA",
        };
        findings.at_most(
            Rule::MainsPower,
            Place::Site(site),
            excess,
            POWER_TOLERANCE_VA,
        );
    }
}

/// What runs in a segment: cables, and their outer cross-sections in mm².
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Occupancy {
    pub(super) cables: u32,
    pub(super) fill_mm2: f64,
}

/// What runs in each segment: pieces and leads, each pass counted.
pub(super) fn occupancy(job: &crate::job::Job, plan: &crate::plan::Plan) -> Vec<Occupancy> {
    let mut segments = vec![Occupancy::default(); job.segments.len()];
    let mut lay = |route: &crate::plan::Route, outer_mm2: f64| {
        for id in &route.segments {
            segments[id.index()].cables += 1;
            segments[id.index()].fill_mm2 += outer_mm2;
        }
    };
    for circuit in &plan.circuits {
        for joint in &circuit.joints {
            let outer = job.cable(joint.incoming.cable).outer.value();
            lay(&joint.incoming.route, outer);
        }
        for run in &circuit.leads {
            if let Some(lead) = job.model_of(run.fixture).lead {
                lay(&run.route, job.cable(lead.cable).outer.value());
            }
        }
    }
    segments
}

/// Whether a segment holds more than its limit.
pub(super) fn beyond_limit(segment: &crate::job::Segment, occupancy: Occupancy) -> bool {
    let cables = segment
        .limit
        .cables
        .is_some_and(|most| occupancy.cables > most);
    let fill = segment
        .limit
        .fill
        .is_some_and(|most| occupancy.fill_mm2 > most.value() * (1.0 + FILL_TOLERANCE));
    cables || fill
}

fn segments(findings: &mut Findings<'_>) {
    let job = findings.job;
    let occupied = occupancy(job, findings.plan);
    for (index, (segment, occupancy)) in job.segments.iter().zip(occupied).enumerate() {
        let hard = job.surface(segment.surface).beyond_limit.is_none();
        if !hard || !beyond_limit(segment, occupancy) {
            continue;
        }
        let place = Place::Segment(SegmentId::new(index));
        if let Some(most) = segment.limit.cables {
            findings.count(Rule::SegmentLimit, place, occupancy.cables as usize, most);
        }
        if let Some(most) = segment.limit.fill {
            let excess = Excess {
                found: occupancy.fill_mm2,
                limit: most.value(),
                unit: "mm²",
            };
            let tolerance = most.value() * FILL_TOLERANCE;
            findings.at_most(Rule::SegmentLimit, place, excess, tolerance);
        }
    }
}
