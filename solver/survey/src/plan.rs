//! The site plan as the geometry sees it: a local plane in metres, east and north.
//! No file, no unit, no property is left here.

use crate::fault::Place;
use geo::{Coord, LineString, Polygon};
use std::collections::BTreeMap;

/// Why no trench goes through an area.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Barrier {
    /// A house or another building.
    Building,
    /// A swimming pool.
    Pool,
    /// A spa or hot tub.
    Spa,
    /// A fountain or basin.
    Fountain,
    /// A pond or stream: no trench; no distance is usual.
    Pond,
    /// A root zone or anything else to keep out of.
    KeepOut,
}

impl Barrier {
    /// Whether equipment keeps a distance from it.
    #[must_use]
    pub const fn is_water(self) -> bool {
        matches!(self, Self::Pool | Self::Spa | Self::Fountain)
    }
    /// The word in a message.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Building => "building",
            Self::Pool => "pool",
            Self::Spa => "spa",
            Self::Fountain => "fountain",
            Self::Pond => "pond",
            Self::KeepOut => "keep-out area",
        }
    }
}

/// What an area is to a trench.
#[derive(Clone, Debug, PartialEq)]
pub enum AreaKind {
    /// No trench.
    NoTrench(Barrier),
    /// A buried utility: crossed by hand, at the rate of this surface.
    Utility(String),
    /// Crossed only by a bore of this surface, at right angles to its edge.
    BoreOnly(String),
    /// Ground dug at the rate of this surface.
    Ground(String),
    /// The lot: outside all boundaries there is no trench.
    Boundary,
}

/// An area of the plan. Its outline is simple, closed and not flat.
#[derive(Clone, Debug, PartialEq)]
pub struct Area {
    /// Name.
    pub id: String,
    /// Where it was read.
    pub place: Place,
    /// What it is.
    pub kind: AreaKind,
    /// Where areas overlap the higher priority counts; default by kind.
    pub priority: Option<i64>,
    /// Outline with holes, m.
    pub outline: Polygon<f64>,
}

/// What a line is to a trench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineKind {
    /// A sleeve: cables enter at its two ends only.
    Sleeve,
    /// An open trench, wall or edge: cables enter anywhere along it.
    Follow,
}

/// A line of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Name.
    pub id: String,
    /// Where it was read.
    pub place: Place,
    /// What it is.
    pub kind: LineKind,
    /// Surface at whose rate a cable lies in it.
    pub surface: String,
    /// Most cables in it.
    pub most_cables: Option<u32>,
    /// Its course, at least two points, m.
    pub course: LineString<f64>,
}

/// A fixture to connect.
#[derive(Clone, Debug, PartialEq)]
pub struct FixturePoint {
    /// Name, unique.
    pub tag: String,
    /// Where it was read.
    pub place: Place,
    /// Position, m.
    pub at: Coord<f64>,
    /// Model in the catalogue.
    pub model: String,
    /// Zone.
    pub zone: Option<String>,
    /// Section of the bid.
    pub section: Option<String>,
    /// Vertical length above ground, m.
    pub rise_m: f64,
    /// Stands already.
    pub existing: bool,
}

/// A place for transformers.
#[derive(Clone, Debug, PartialEq)]
pub struct SitePoint {
    /// Name, unique.
    pub tag: String,
    /// Where it was read.
    pub place: Place,
    /// Position, m.
    pub at: Coord<f64>,
    /// Vertical length above ground, m.
    pub rise_m: f64,
    /// Columns of the job folder's table of sites, as they stand in the plan.
    pub columns: BTreeMap<String, String>,
}

/// Everything on a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SitePlan {
    /// Longitude and latitude of the plane's origin, degrees; `None` for plain coordinates.
    pub origin: Option<[f64; 2]>,
    /// Surface of ground that no area covers; `None`: it is not dug.
    pub ground: Option<String>,
    /// Areas.
    pub areas: Vec<Area>,
    /// Lines.
    pub lines: Vec<Line>,
    /// Fixtures.
    pub fixtures: Vec<FixturePoint>,
    /// Sites.
    pub sites: Vec<SitePoint>,
}

/// What opening a surface and laying one cable in it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Rate {
    /// Surface, as the catalogue names it.
    pub surface: String,
    /// Money per metre for opening it and laying one cable, >= 0.
    pub per_m: f64,
    /// Money for opening one segment, >= 0.
    pub fixed: f64,
}
