//! A change to a job in the job's own units and names.

use duskwright_solver::ids::{NodeId, SiteId};
use duskwright_solver::job::{Job, least_copper_gauge};
use duskwright_solver::optimise::bound::Remedy;
use duskwright_solver::units::{Metres, OhmsPerMetre, Volts};
use serde::Serialize;

/// Feet in 1000 ft and metres in 1 km: conductors are listed by the thousand.
const THOUSAND: f64 = 1000.0;

/// One change, for people and for programs.
#[derive(Debug, Serialize)]
pub(crate) struct Change {
    /// What kind it is.
    kind: &'static str,
    /// The least (or most) it must come to, where that is a figure.
    value: Option<f64>,
    /// Unit of `value`.
    unit: Option<String>,
    /// The whole change in words.
    words: String,
}

impl Change {
    /// Says a remedy.
    pub(crate) fn of(job: &Job, remedy: Remedy) -> Self {
        match remedy {
            Remedy::HigherTap(volts) => Self::in_volts("higher tap", volts, &higher(job, volts)),
            Remedy::LowerTap(volts) => Self::in_volts(
                "lower tap",
                volts,
                &format!("a tap of at most {:.2} V", down(volts.value(), 2)),
            ),
            Remedy::WindowFrom(volts) => Self::in_volts(
                "window low end",
                volts,
                &format!(
                    "a fixture whose window begins at {:.2} V or lower",
                    down(volts.value(), 2)
                ),
            ),
            Remedy::WindowUpTo(volts) => Self::in_volts(
                "window high end",
                volts,
                &format!(
                    "a fixture whose window reaches {:.2} V or higher",
                    up(volts.value(), 2)
                ),
            ),
            Remedy::ThickerGauge(ohms) => Self::thicker(job, ohms),
            Remedy::NearerSite(route) => Self::in_length(job, "nearer site", route, |length| {
                format!("a transformer site within {length} of path")
            }),
            Remedy::LongerLead(length) => Self::in_length(job, "longer lead", length, |length| {
                format!("a lead of at least {length}")
            }),
            Remedy::MoreAmpacity(amperes) => Self::figure(
                "ampacity",
                (amperes.value(), "A"),
                format!("a cable that carries {:.2} A", up(amperes.value(), 2)),
            ),
            Remedy::LargerCircuit(amperes) => Self::figure(
                "circuit limit",
                (amperes.value(), "A"),
                format!(
                    "a secondary that may carry {:.2} A continuously",
                    up(amperes.value(), 2)
                ),
            ),
            Remedy::LargerTransformer(rated) => Self::figure(
                "larger transformer",
                (rated.value(), "VA"),
                format!(
                    "a transformer model rated for at least {:.0} VA",
                    up(rated.value(), 0)
                ),
            ),
            Remedy::MoreLugs(count) => Self::figure(
                "lugs",
                (f64::from(count), "lug places"),
                format!("transformers with {count} more lug places in all"),
            ),
            Remedy::MoreMains { site, apparent } => Self::figure(
                "mains",
                (apparent.value(), "VA"),
                format!(
                    "{:.0} VA more of mains at site `{}`",
                    up(apparent.value(), 0),
                    site_tag(job, site)
                ),
            ),
            Remedy::FurtherPosition {
                site,
                outlet,
                place,
            } => Self::plain("position", further_position(job, site, outlet, place)),
            Remedy::AllowCable(_)
            | Remedy::AllowHomeRun
            | Remedy::Path
            | Remedy::JointAt(_)
            | Remedy::LugFor(_)
            | Remedy::FurtherSite => Self::without_figure(job, remedy),
        }
    }

    /// The whole change in words.
    pub(crate) fn words(&self) -> &str {
        &self.words
    }

    fn without_figure(job: &Job, remedy: Remedy) -> Self {
        match remedy {
            Remedy::AllowCable(id) => {
                let cable = job.cable(id);
                let words = format!(
                    "the cable `{}` ({}) all the way; where the job does not allow it for home runs and branches, allow it",
                    cable.tag, cable.gauge
                );
                Self::plain("allow cable", words)
            }
            Remedy::LugFor(id) => {
                let cable = job.cable(id);
                let words = format!(
                    "a transformer whose taps and commons take {} (cable `{}`)",
                    cable.gauge, cable.tag
                );
                Self::plain("lug size", words)
            }
            Remedy::JointAt(node) => Self::plain("joint", joint_at(job, node)),
            Remedy::AllowHomeRun => Self::plain(
                "allow cable",
                "a cable that is allowed for home runs".to_owned(),
            ),
            Remedy::Path => Self::plain(
                "path",
                "a path in paths.csv that joins it to a transformer site".to_owned(),
            ),
            _ => Self::plain(
                "site",
                "a further transformer site near the fixtures left over".to_owned(),
            ),
        }
    }

    fn thicker(job: &Job, ohms: OhmsPerMetre) -> Self {
        let at = job.rules.temperatures.low_case;
        let unit = job.units.length_symbol();
        let by_thousand = ohms.value() * job.units.metres_per_unit() * THOUSAND;
        let limit = format!(
            "at most {:.3} ohm per 1000 {unit} of conductor at {} °C",
            down(by_thousand, 3),
            at.value()
        );
        let words = least_copper_gauge(ohms, at, job.units).map_or_else(
            || format!("a thicker cable than any common size: {limit}"),
            |gauge| format!("a cable of {gauge} copper or thicker ({limit})"),
        );
        let figure = (by_thousand, format!("ohm per 1000 {unit}"));
        Self {
            kind: "thicker gauge",
            value: Some(figure.0),
            unit: Some(figure.1),
            words,
        }
    }

    fn in_length(
        job: &Job,
        kind: &'static str,
        length: Metres,
        say: impl Fn(String) -> String,
    ) -> Self {
        let symbol = job.units.length_symbol();
        let value = job.units.from_metres(length);
        let rounded = if kind == "longer lead" {
            up(value, 1)
        } else {
            down(value, 1)
        };
        Self::figure(kind, (value, symbol), say(format!("{rounded:.1} {symbol}")))
    }

    fn in_volts(kind: &'static str, volts: Volts, words: &str) -> Self {
        Self::figure(kind, (volts.value(), "V"), words.to_owned())
    }

    fn figure(kind: &'static str, (value, unit): (f64, &str), words: String) -> Self {
        Self {
            kind,
            value: Some(value),
            unit: Some(unit.to_owned()),
            words,
        }
    }

    const fn plain(kind: &'static str, words: String) -> Self {
        Self {
            kind,
            value: None,
            unit: None,
            words,
        }
    }
}

fn higher(job: &Job, volts: Volts) -> String {
    let words = format!("a tap of at least {:.2} V", up(volts.value(), 2));
    if volts <= job.rules.highest_tap {
        return words;
    }
    let highest = job.rules.highest_tap.value();
    format!("{words} (the rules of the job allow {highest} V at most: highest_tap_v)")
}

fn joint_at(job: &Job, node: NodeId) -> String {
    let tag = &job.node(node).tag;
    format!("a joint allowed at node `{tag}` (joint in nodes.csv)")
}

fn further_position(job: &Job, site: SiteId, outlet: bool, place: bool) -> String {
    let what = match (outlet, place) {
        (true, false) => "a further outlet",
        (false, true) => "a further wall place",
        _ => "a further outlet and wall place",
    };
    format!(
        "{what} at site `{}`, for one transformer more",
        site_tag(job, site)
    )
}

fn site_tag(job: &Job, site: SiteId) -> &str {
    &job.site(site).tag
}

/// Rounded up: what must be at least this is still enough as printed.
fn up(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale - 1e-6).ceil() / scale
}

/// Rounded down: what must be at most this is still enough as printed.
fn down(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale + 1e-6).floor() / scale
}
