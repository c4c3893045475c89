//! Texts of small site plans, and how they are surveyed.

use crate::site_plans::RATES;
use duskwright_survey::plan::{Rate, SitePlan};
use duskwright_survey::{
    Earlier, Fault, Faults, Known, Overrides, PlanText, Survey, Terms, overrides, read,
};

/// A fixture and a site.
pub const BASE: [&str; 2] = [
    r#"{"type": "Feature", "id": "F1", "properties": {"is": "fixture", "model": "path-low"}, "geometry": {"type": "Point", "coordinates": [10, 0]}}"#,
    r#"{"type": "Feature", "id": "S1", "properties": {"is": "site", "mains_va": 1200, "outlets": 2}, "geometry": {"type": "Point", "coordinates": [0, 0]}}"#,
];

/// Metres, and lawn where nothing else is.
pub const SETTINGS: &str = "units = \"m\"\nground = \"lawn\"\n";

/// What a survey is given.
#[derive(Clone, Copy)]
pub struct Given<'a> {
    /// The plan.
    pub plan: &'a [u8],
    /// Its settings.
    pub settings: Option<&'a str>,
    /// Hand edits.
    pub overrides: Option<&'a str>,
    /// Whether it is a drawing.
    pub drawn: bool,
}

/// The rates of the made-up plans.
fn rates() -> Vec<Rate> {
    crate::site_plans::rates()
}

/// Reads a plan.
pub fn plan(given: Given<'_>) -> Result<(SitePlan, Vec<Fault>), Faults> {
    let surfaces: Vec<String> = RATES.iter().map(|rate| rate.0.to_owned()).collect();
    let known = Known {
        surfaces: &surfaces,
        models: &["path-low".to_owned()],
        zones: &["front".to_owned()],
        site_needs: &["mains_va", "outlets"],
        origin: None,
    };
    let (name, text) = if given.drawn {
        ("plan.dxf", PlanText::Dxf(given.plan))
    } else {
        ("plan.geojson", PlanText::GeoJson(given.plan))
    };
    let settings = given.settings.map(|text| ("survey.toml", text.as_bytes()));
    read(name, text, settings, None, known)
}

/// Reads a plan and surveys it.
pub fn survey(given: Given<'_>) -> Result<(Survey, Vec<Fault>), Faults> {
    let (mut plan, mut notes) = plan(given)?;
    plan.ground.get_or_insert("lawn".to_owned());
    let edits = match given.overrides {
        Some(text) => overrides(("overrides.csv", text.as_bytes()))?,
        None => Overrides::default(),
    };
    let rates = rates();
    let terms = Terms {
        rates: &rates,
        water_m: 3.0,
        unit: (1.0, "m"),
        file: "plan.geojson",
    };
    let (survey, more) = Survey::of(&plan, terms, &Earlier::default(), &edits)?;
    notes.extend(more);
    Ok((survey, notes))
}
