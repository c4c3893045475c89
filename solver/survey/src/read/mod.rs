//! Plans as text: features with a shape and words about them, wherever they come from.

mod accept;
mod csv;
mod dxf;
mod geojson;
mod project;
mod rings;
mod settings;

use crate::fault::{Code, Fault, Faults, Ledger, Place};
use crate::plan::SitePlan;
use ::geo::Coord;
use std::collections::BTreeMap;

pub(crate) use csv::heading;
pub(crate) use settings::Settings;
pub use settings::Units;

/// Largest plan that is read, bytes.
pub const LARGEST_PLAN: usize = 100_000_000;

/// Shape of a feature, in coordinates of its file.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Shape {
    /// One place.
    Point(Coord<f64>),
    /// An open course.
    Line(Vec<Coord<f64>>),
    /// An outline and its holes.
    Area(Vec<Vec<Coord<f64>>>),
}

/// A feature before anybody asked what it means.
#[derive(Clone, Debug)]
pub(crate) struct Feature {
    /// Where it was read.
    pub(crate) place: Place,
    /// Its shape.
    pub(crate) shape: Shape,
    /// What is said about it.
    pub(crate) words: BTreeMap<String, String>,
}

/// Text of a plan.
#[derive(Clone, Copy, Debug)]
pub enum PlanText<'a> {
    /// GeoJSON (RFC 7946).
    GeoJson(&'a [u8]),
    /// A DXF drawing in its text form.
    Dxf(&'a [u8]),
}

/// A file as it was given: its name in messages, and its bytes.
pub type Named<'a> = (&'a str, &'a [u8]);

/// What the reader needs to know from outside.
#[derive(Clone, Copy, Debug)]
pub struct Known<'a> {
    /// Surfaces in the catalogue.
    pub surfaces: &'a [String],
    /// Fixture models in the catalogue.
    pub models: &'a [String],
    /// Zones of the job.
    pub zones: &'a [String],
    /// Properties that every site must have.
    pub site_needs: &'a [&'a str],
    /// Longitude and latitude of the origin of an earlier survey's plane, degrees.
    pub origin: Option<[f64; 2]>,
}

/// Reads a plan, its settings and a table of fixtures.
///
/// # Errors
/// Every mistake that can be told apart from the echo of another.
pub(crate) fn read(
    name: &str,
    text: PlanText<'_>,
    settings: Option<Named<'_>>,
    fixtures: Option<Named<'_>>,
    known: Known<'_>,
    ledger: &mut Ledger,
) -> Result<(SitePlan, Settings), Faults> {
    let (PlanText::GeoJson(bytes) | PlanText::Dxf(bytes)) = text;
    if bytes.len() > LARGEST_PLAN {
        ledger.add(
            Fault::new(Code::TooLarge, &Place::file(name), "the plan is too large")
                .given(format!("{} bytes", bytes.len()))
                .accepted(format!("at most {} MB", LARGEST_PLAN / 1_000_000))
                .help("leave out layers that no trench depends on"),
        );
    }
    ledger.check()?;
    let mut settings = settings::read(settings, ledger);
    let features = match text {
        PlanText::GeoJson(bytes) => geojson::read(name, bytes, &mut settings, ledger),
        PlanText::Dxf(bytes) => dxf::read(name, bytes, &mut settings, ledger),
    };
    ledger.check()?;
    let further = fixtures.map(|(name, bytes)| csv::read(name, bytes, ledger));
    let features = features.into_iter().chain(further.into_iter().flatten());
    let (features, origin) =
        project::to_plane(features.collect(), &settings, known.origin, name, ledger);
    ledger.check()?;
    let mut plan = accept::plan(features, &settings, name, known, ledger);
    plan.origin = origin;
    ledger.check()?;
    Ok((plan, settings))
}
