//! Types of the site drawing. Positions are numbers in the job's length unit.

use rust_decimal::Decimal;

/// A node on the drawing.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct DrawnNode {
    /// Tag.
    pub tag: String,
    /// East and north in the job's length unit; `None` on a wheel-measured graph.
    pub at: Option<(f64, f64)>,
}

/// A segment on the drawing.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct DrawnSegment {
    /// One end, position in [`Drawing::nodes`].
    pub a: usize,
    /// Other end, position in [`Drawing::nodes`].
    pub b: usize,
    /// Surface.
    pub surface: String,
    /// Length.
    pub length: Decimal,
    /// Opened by the plan.
    pub opened: bool,
    /// Circuits in it (pieces or leads), positions in [`super::Dossier::circuits`], ascending.
    pub circuits: Vec<usize>,
}

/// A site on the drawing.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct DrawnSite {
    /// Tag.
    pub tag: String,
    /// Position in [`Drawing::nodes`].
    pub node: usize,
    /// Labels of the transformers placed there; empty when unused.
    pub transformers: Vec<String>,
}

/// A fixture on the drawing.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct DrawnFixture {
    /// Tag.
    pub tag: String,
    /// Position in [`Drawing::nodes`].
    pub node: usize,
    /// Its circuit, position in [`super::Dossier::circuits`].
    pub circuit: usize,
}

/// Geometry of the site drawing.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Drawing {
    /// All nodes, in job order.
    pub nodes: Vec<DrawnNode>,
    /// All segments, in job order.
    pub segments: Vec<DrawnSegment>,
    /// All sites, in job order.
    pub sites: Vec<DrawnSite>,
    /// Fixtures fed, in job order.
    pub fixtures: Vec<DrawnFixture>,
    /// Hubs, positions in [`Drawing::nodes`], ascending, each once.
    pub hubs: Vec<usize>,
}
