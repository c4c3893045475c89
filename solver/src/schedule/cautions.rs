//! Cautions: the general ones that go with every job, and those that this
//! plan's own figures call for. They defer to local codes and licensed practice.

use super::dossier::Scope;
use super::field::Trenches;
use super::model::{Caution, CircuitRow, FixtureRow};
use crate::ids::NodeId;
use crate::job::Job;
use crate::plan::TransformerSource;
use crate::units::Volts;
use std::collections::BTreeSet;

/// Share of its limit above which a run is called close to it.
const CLOSE_TO_LIMIT: f64 = 0.9;

/// Highest tap of the class that may be touched wet; the default of the job rule.
const WET_CONTACT: Volts = Volts::new(15.0);

/// Words that begin a name of something near water.
const WATER_WORDS: [&str; 7] = [
    "water", "pond", "pool", "fountain", "basin", "stream", "creek",
];

/// Words that begin a name of something bored rather than dug.
const BORE_WORDS: [&str; 4] = ["bore", "boring", "drill", "directional"];

/// Code and text of the cautions that go with every job.
const GENERAL: [(&str, &str); 7] = [
    (
        "mains",
        "Everything on the mains side (receptacles, further mains circuits, hard-wired transformers) is for a licensed electrician.",
    ),
    (
        "buried_utilities",
        "Have buried utilities located and marked before any ground is opened or bored.",
    ),
    (
        "de_energise",
        "De-energise the transformer before wiring, joining or moving a conductor, and keep it off until the joints are closed.",
    ),
    (
        "listed_equipment",
        "Use transformers, fixtures, cable and connectors that are listed for outdoor low-voltage lighting and for direct burial where they are buried.",
    ),
    (
        "water_features",
        "Fixtures in or near pools, ponds and fountains need equipment and distances of their own; this plan does not judge them.",
    ),
    (
        "secondary_current",
        "Each secondary circuit is limited by its breaker; continuous load must stay within the limit shown for each secondary.",
    ),
    (
        "local_codes",
        "Figures follow from the job as described. Local codes and the judgement of licensed practice come before them.",
    ),
];

/// All cautions: general ones first.
pub(super) fn of(
    scope: &Scope<'_>,
    circuits: &[CircuitRow],
    fixtures: &[FixtureRow],
    trenches: &Trenches,
) -> Vec<Caution> {
    let particular = [
        caution(
            "near_water",
            near_water(scope),
            "These names speak of water. Check distances, equipment and protection for water features.",
        ),
        caution(
            "water_distance",
            within_water_distance(scope),
            "These stand nearer to a pool, spa or fountain than the job's usual distance. Whether they may, and with what equipment and protection, is for the local code and licensed practice.",
        ),
        caution(
            "crosses_utility",
            utilities(scope),
            "Trenches of this plan cross these buried utilities. Have them located and marked, and dig there by hand.",
        ),
        caution(
            "bored",
            bored(scope, trenches),
            "These surfaces are bored or need a set-up: what lies under them must be located first, and sleeves sized for the cables shown.",
        ),
        caution(
            "far_short",
            labels(circuits, |row| row.may_not_trip),
            "A short at the end of these circuits draws less than twice the breaker's rating: the breaker may open late or not at all. Consider a thicker or shorter run, or a smaller breaker.",
        ),
        caution(
            "close_to_limit",
            labels(circuits, |row| {
                row.amps.value() > CLOSE_TO_LIMIT * row.limit.value()
            }),
            "These circuits carry more than 90 % of what they may: nothing can be added to them.",
        ),
        caution(
            "high_tap",
            high_taps(scope, circuits),
            "These circuits use, or the job allows them, a tap above 15 V, beyond the class that may be touched wet. Check that it is permitted where it runs.",
        ),
        caution(
            "no_tap_above",
            labels(circuits, |row| row.taps_above.is_empty()),
            "These circuits cannot be moved to a higher tap if the meter reads lower than expected.",
        ),
        caution(
            "low_line",
            outside(fixtures, |row| {
                row.line_low.is_none_or(|volts| volts < row.window_min)
            }),
            "With the line 5 % low these fixtures fall below their window. Measure the line at the site.",
        ),
        caution(
            "high_line",
            outside(fixtures, |row| {
                row.line_high.is_none_or(|volts| volts > row.window_max)
            }),
            "With the line 5 % high these fixtures pass the high end of their window. Measure the line at the site.",
        ),
        caution(
            "existing_load",
            existing(scope),
            "These transformers stand already. Their present load and free lugs are as the job states them: measure before connecting.",
        ),
        caution(
            "assumed_power_factor",
            assumed(scope),
            "The power factor of these fixture models was assumed. Replace it by the maker's figure when known.",
        ),
    ];
    let called_for = particular.into_iter().filter(|item| !item.about.is_empty());
    general().into_iter().chain(called_for).collect()
}

/// The cautions that go with every job.
#[must_use]
pub fn general() -> Vec<Caution> {
    let all = GENERAL.map(|(code, text)| caution(code, Vec::new(), text));
    all.to_vec()
}

fn caution(code: &'static str, about: Vec<String>, text: &str) -> Caution {
    Caution {
        code,
        about,
        text: text.to_owned(),
    }
}

fn labels(circuits: &[CircuitRow], concerns: impl Fn(&CircuitRow) -> bool) -> Vec<String> {
    let chosen = circuits.iter().filter(|row| concerns(row));
    chosen.map(|row| row.label.clone()).collect()
}

fn outside(fixtures: &[FixtureRow], concerns: impl Fn(&FixtureRow) -> bool) -> Vec<String> {
    let chosen = fixtures.iter().filter(|row| concerns(row));
    chosen.map(|row| row.tag.clone()).collect()
}

fn high_taps(scope: &Scope<'_>, circuits: &[CircuitRow]) -> Vec<String> {
    if scope.job.rules.highest_tap > WET_CONTACT {
        labels(circuits, |row| {
            row.tap_volts > WET_CONTACT || !row.taps_above.is_empty()
        })
    } else {
        Vec::new()
    }
}

/// Whether a word of a name begins with one of these words, in any case.
fn speaks_of(name: &str, words: &[&str]) -> bool {
    let lower = name.to_lowercase();
    lower
        .split(|letter: char| !letter.is_alphabetic())
        .any(|part| words.iter().any(|word| part.starts_with(word)))
}

/// Nodes in use, fixtures and their zones whose names speak of water.
fn near_water(scope: &Scope<'_>) -> Vec<String> {
    let job = scope.job;
    let mut names: Vec<&str> = Vec::new();
    let wet = |name: &str| speaks_of(name, &WATER_WORDS);
    let in_use = |index: usize| {
        let touches = |id: crate::ids::SegmentId| {
            let segment = job.segment(id);
            segment.a.index() == index || segment.b.index() == index
        };
        scope.take.segments.iter().any(|take| touches(take.segment))
    };
    for (index, node) in job.nodes.iter().enumerate() {
        if wet(&node.tag) && in_use(index) {
            names.push(&node.tag);
        }
    }
    for &id in &scope.take.fixtures {
        let fixture = job.fixture(id);
        let zone = fixture.zone.map(|zone| job.zone(zone).tag.as_str());
        for name in [Some(fixture.tag.as_str()), zone].into_iter().flatten() {
            if wet(name) && !names.contains(&name) {
                names.push(name);
            }
        }
    }
    names.into_iter().map(str::to_owned).collect()
}

/// Whether a node is nearer to water than the job's usual distance.
fn is_near_water(job: &Job, node: NodeId) -> bool {
    let far = job.node(node).water;
    far.is_some_and(|far| far < job.rules.water_distance)
}

/// Fixtures served and sites in use nearer to water than is usual.
fn within_water_distance(scope: &Scope<'_>) -> Vec<String> {
    let job = scope.job;
    let fixtures = scope
        .take
        .fixtures
        .iter()
        .map(|&id| job.fixture(id))
        .filter(|fixture| is_near_water(job, fixture.node))
        .map(|fixture| fixture.tag.clone());
    let placed = |site: &crate::job::Site| {
        let mut all = scope.plan.transformers.iter();
        all.any(|placed| job.site(placed.site).tag == site.tag)
    };
    let sites = job
        .sites
        .iter()
        .filter(|site| is_near_water(job, site.node) && placed(site))
        .map(|site| site.tag.clone());
    fixtures.chain(sites).collect()
}

/// Declared utilities that segments in use cross, in the order of their names.
fn utilities(scope: &Scope<'_>) -> Vec<String> {
    let opened = scope.take.segments.iter();
    let crossed: BTreeSet<&String> = opened
        .filter_map(|take| scope.job.segment(take.segment).utility.as_ref())
        .collect();
    crossed.into_iter().cloned().collect()
}

/// Surfaces opened that cost a set-up or are named as bored.
fn bored(scope: &Scope<'_>, trenches: &Trenches) -> Vec<String> {
    let surfaces = scope.job.surfaces.iter();
    surfaces
        .filter(|surface| {
            trenches
                .surfaces
                .iter()
                .any(|row| row.surface == surface.tag)
        })
        .filter(|surface| {
            !surface.open_fixed.decimal().is_zero() || speaks_of(&surface.tag, &BORE_WORDS)
        })
        .map(|surface| surface.tag.clone())
        .collect()
}

fn existing(scope: &Scope<'_>) -> Vec<String> {
    let placed = scope.plan.transformers.iter();
    placed
        .filter_map(|placed| match placed.source {
            TransformerSource::New(_) => None,
            TransformerSource::Existing(id) => Some(scope.job.existing_transformer(id).tag.clone()),
        })
        .collect()
}

/// Fixture models in use whose power factor was assumed, in catalogue order.
pub(super) fn assumed(scope: &Scope<'_>) -> Vec<String> {
    let models = scope.job.models.iter().enumerate();
    models
        .filter(|(index, model)| {
            let mut fed = scope.take.fixtures.iter();
            model.power_factor_assumed
                && fed.any(|&id| scope.job.fixture(id).model.index() == *index)
        })
        .map(|(_, model)| model.tag.clone())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_speaks_of_water_by_the_beginning_of_its_words() {
        for name in ["Pond-1", "koi pond", "POOLSIDE", "F3_fountain"] {
            assert!(speaks_of(name, &WATER_WORDS), "{name}");
        }
        for name in ["spool", "carpool lane", "B7", "respond"] {
            assert!(!speaks_of(name, &WATER_WORDS), "{name}");
        }
    }
}
