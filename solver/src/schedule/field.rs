//! Types of the field papers: pieces, leads, joints, trenches, quantities.
//! Lengths are exact decimals in the job's length unit.

use crate::units::{Amperes, Money, Volts};
use rust_decimal::Decimal;

/// Parts of a piece's length beside its route.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct PieceEnds {
    /// Along the route, rounded half-even to 0.01.
    pub route: Decimal,
    /// Slack at the near end.
    pub near_slack: Decimal,
    /// Rise at the near end.
    pub near_rise: Decimal,
    /// Slack at the far end.
    pub far_slack: Decimal,
    /// Rise at the far end.
    pub far_rise: Decimal,
}

/// One piece to cut.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PieceRow {
    /// `C1-P3`: the piece that feeds joint `C1-J3`; 1 is the home run.
    pub id: String,
    /// Circuit label.
    pub circuit: String,
    /// True for the home run.
    pub home_run: bool,
    /// From: label of the transformer or joint, as in `plan.json`.
    pub from: String,
    /// To: label of the joint.
    pub to: String,
    /// Nodes passed, both ends included.
    pub route: Vec<String>,
    /// Cable tag.
    pub cable: String,
    /// Gauge.
    pub gauge: String,
    /// Length on the grid, exact: what is cut.
    pub length: Decimal,
    /// What it is made of.
    pub parts: PieceEnds,
    /// Current, low case.
    pub amps: Amperes,
}

/// One length off a spool: one piece, or the consecutive pieces of one pull.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct CutRow {
    /// Piece ids in laying order.
    pub pieces: Vec<String>,
    /// Length to cut.
    pub length: Decimal,
    /// Distances from its start at which it is marked: the joints between its pieces.
    pub marks: Vec<Decimal>,
}

/// A spool or remnant and what is cut from it.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct SpoolRow {
    /// Cable tag.
    pub cable: String,
    /// Gauge.
    pub gauge: String,
    /// Number of the spool, counted through all cables from 1.
    pub number: u32,
    /// Bought for this job; else on hand.
    pub bought: bool,
    /// Length before the first cut.
    pub length: Decimal,
    /// Price, zero for cable on hand.
    pub price: Money,
    /// Cuts in order.
    pub cuts: Vec<CutRow>,
    /// What is left.
    pub left: Decimal,
    /// Whether what is left is worth keeping.
    pub keep: bool,
}

/// The cutting of one cable in figures.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct CuttingTotal {
    /// Cable tag.
    pub cable: String,
    /// Gauge.
    pub gauge: String,
    /// Price of the spools bought.
    pub cost: Money,
    /// No cutting plan costs less.
    pub bound: Money,
    /// Whether the cost is proved least.
    pub proved: bool,
    /// Left over in lengths not worth keeping.
    pub waste: Decimal,
}

/// The cutting plan.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Cutting {
    /// Spools and remnants in the order in which they are cut.
    pub spools: Vec<SpoolRow>,
    /// By cable.
    pub totals: Vec<CuttingTotal>,
}

/// One lead.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct LeadRow {
    /// Fixture.
    pub fixture: String,
    /// Circuit label.
    pub circuit: String,
    /// Label of the joint that it lands in.
    pub joint: String,
    /// Nodes passed, both ends included.
    pub route: Vec<String>,
    /// Gauge; `None` when the run lands on the fixture's own terminals.
    pub gauge: Option<String>,
    /// Length as delivered.
    pub length: Option<Decimal>,
    /// Route with slack and rise: how much of it is needed.
    pub reach: Decimal,
}

/// Conductors of one gauge that meet in a joint, per pole.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct WireCount {
    /// Gauge.
    pub gauge: String,
    /// How many per pole.
    pub count: u32,
}

/// One joint.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct JointRow {
    /// `C1-J3`: label of the joint.
    pub id: String,
    /// Circuit label.
    pub circuit: String,
    /// Node.
    pub node: String,
    /// Hub or joint kind.
    pub hardware: String,
    /// True for a hub.
    pub hub: bool,
    /// Label of the piece that feeds it.
    pub piece: String,
    /// Label of the transformer or joint that the piece comes from.
    pub from: String,
    /// Length of the piece.
    pub length: Decimal,
    /// Cable from the terminals of its circuit to it.
    pub along: Decimal,
    /// Voltage, expected case.
    pub expected: Volts,
    /// Voltage, low case.
    pub low: Volts,
    /// Voltage, high case.
    pub high: Volts,
    /// Gauge that comes in.
    pub incoming: String,
    /// Conductors going out, largest first.
    pub outgoing: Vec<WireCount>,
    /// Fixtures whose leads land here.
    pub fixtures: Vec<String>,
}

/// Ground opened, one surface.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SurfaceRow {
    /// Surface.
    pub surface: String,
    /// Segments opened.
    pub segments: u32,
    /// Length opened.
    pub length: Decimal,
    /// Length of cable laid in it (each piece counted).
    pub cable: Decimal,
    /// Hours of own labour, rounded half-even to 0.01.
    pub hours: Decimal,
    /// Money without labour, to the cent.
    pub money: Money,
}

/// One segment opened.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SegmentRow {
    /// One end.
    pub from: String,
    /// Other end.
    pub to: String,
    /// Surface.
    pub surface: String,
    /// Length.
    pub length: Decimal,
    /// Pieces in it (a piece passing twice counts twice).
    pub pieces: u32,
    /// Leads in it.
    pub leads: u32,
    /// Circuits in it, in label order.
    pub circuits: Vec<String>,
    /// True when its cable limit is exceeded and the dearer rate applies.
    pub beyond_limit: bool,
    /// Hours of own labour, rounded half-even to 0.01.
    pub hours: Decimal,
    /// Money without labour, to the cent.
    pub money: Money,
}

/// The trench schedule.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Trenches {
    /// By surface, in catalogue order, surfaces used only.
    pub surfaces: Vec<SurfaceRow>,
    /// By segment, in job order.
    pub segments: Vec<SegmentRow>,
    /// Length opened in all.
    pub length: Decimal,
}

/// Cable of one type.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct CableTotal {
    /// Cable tag.
    pub cable: String,
    /// Gauge.
    pub gauge: String,
    /// Pieces.
    pub pieces: u32,
    /// Sum of the pieces, exact.
    pub length: Decimal,
}

/// How many of something.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct CountRow {
    /// Name in the catalogue.
    pub tag: String,
    /// How many.
    pub count: u32,
}

/// Fixtures of one model in one section of the bid.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct SectionRow {
    /// Section; `None` for fixtures that name none.
    pub section: Option<String>,
    /// Model.
    pub model: String,
    /// Whether they are on site already.
    pub existing: bool,
    /// How many.
    pub count: u32,
}

/// Quantities to bring.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Quantities {
    /// Cable by type, in catalogue order.
    pub cables: Vec<CableTotal>,
    /// Hubs by kind.
    pub hubs: Vec<CountRow>,
    /// Splices by kind (both poles count as one).
    pub joints: Vec<CountRow>,
    /// New transformers by model.
    pub transformers: Vec<CountRow>,
    /// New fixtures by model.
    pub fixtures: Vec<CountRow>,
    /// All fixtures fed by section, in the order in which the job names the sections.
    pub sections: Vec<SectionRow>,
}
