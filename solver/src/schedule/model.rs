//! The schedules' types. Lengths are exact decimals in the job's length unit
//! (see [`Header::length_unit`]); electrical figures are unrounded.

use crate::bill::Bill;
use crate::units::{Amperes, Celsius, Cost, Money, UnitSystem, VoltAmperes, Volts};
use rust_decimal::Decimal;

/// How far a plan is proved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// No cheaper plan exists.
    Optimal,
    /// Checked; a lower bound says how much cheaper a plan could be at most.
    Bounded,
    /// Checked; nothing is proved about cheaper plans.
    Unbounded,
}

/// What is known about the plan's cost, given by the caller.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Standing {
    /// How far it is proved.
    pub status: Status,
    /// Proven lower bound on the direct cost of any plan.
    pub bound: Option<Cost>,
    /// `(cost - bound) / cost`, 0..1.
    pub gap: Option<f64>,
    /// Further remarks, one sentence each (a stop by the clock, a rule the job relaxed).
    pub remarks: Vec<String>,
}

/// What the figures depend on.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Header {
    /// Name of the job.
    pub job: String,
    /// Currency printed beside money.
    pub currency: String,
    /// Unit system.
    pub units: UnitSystem,
    /// `ft` or `m`.
    pub length_unit: String,
    /// Fixtures fed.
    pub fixtures: u32,
    /// Conductor temperature of the low case.
    pub low_case: Celsius,
    /// Conductor temperature of the high case.
    pub high_case: Celsius,
    /// Conductor temperature of the expected case.
    pub expected_case: Celsius,
    /// Kept above each window's low end, low case.
    pub low_margin: Volts,
    /// Kept below each window's high end, high case.
    pub high_margin: Volts,
    /// Low end of the line band, a factor.
    pub line_low: f64,
    /// High end of the line band, a factor.
    pub line_high: f64,
    /// Factor on every length in the low case.
    pub length_growth: f64,
    /// Share of a transformer's rated VA that may be loaded.
    pub loading_limit: f64,
    /// Fixture models whose power factor was assumed, in catalogue order, used by the plan.
    pub assumed_power_factor: Vec<String>,
    /// What is known about the cost.
    pub standing: Standing,
}

/// One secondary of a placed transformer.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SecondaryRow {
    /// Name printed on it.
    pub tag: String,
    /// Current, low case, present load included.
    pub amps: Amperes,
    /// Most current allowed continuously (spare kept free already taken off).
    pub limit: Amperes,
    /// Breaker rating.
    pub breaker: Amperes,
    /// Lug places in use on its taps, present ones included.
    pub tap_lugs_used: u32,
    /// Lug places on its taps.
    pub tap_lugs: u32,
    /// Lug places in use on its commons, present ones included.
    pub common_lugs_used: u32,
    /// Lug places on its commons.
    pub common_lugs: u32,
}

/// One transformer.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct TransformerRow {
    /// Letter: A, B, .. Z, AA, ...
    pub letter: String,
    /// Tag of the existing transformer; `None` when it is bought.
    pub existing: Option<String>,
    /// Site.
    pub site: String,
    /// Node of the site.
    pub node: String,
    /// Model.
    pub model: String,
    /// Load, low case, losses and present load included.
    pub load: VoltAmperes,
    /// Most load allowed: rated x limit x (1 - spare), less the spare VA.
    pub permitted: VoltAmperes,
    /// Rated.
    pub rated: VoltAmperes,
    /// Circuits that it feeds in the plan.
    pub circuits: Vec<String>,
    /// Its secondaries.
    pub secondaries: Vec<SecondaryRow>,
}

/// One circuit.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct CircuitRow {
    /// Label: letter of the transformer and a number, `A1`.
    pub label: String,
    /// Letter of the transformer.
    pub transformer: String,
    /// Secondary.
    pub secondary: String,
    /// Tap.
    pub tap: String,
    /// Tap voltage at rated load.
    pub tap_volts: Volts,
    /// Common.
    pub common: String,
    /// Zone of its fixtures; `None` when none has one.
    pub zone: Option<String>,
    /// Gauge of the home run.
    pub gauge: String,
    /// Length of the home run.
    pub home_run: Decimal,
    /// Length of all pieces.
    pub cable: Decimal,
    /// Fixtures.
    pub fixtures: u32,
    /// Current of the home run, low case.
    pub amps: Amperes,
    /// Most current the circuit may carry: the smaller of the secondary's continuous limit and the home run's ampacity.
    pub limit: Amperes,
    /// Apparent power at the terminals, low case.
    pub load: VoltAmperes,
    /// Voltage at the terminals, expected case.
    pub source_volts: Volts,
    /// Fixture with the lowest voltage above its own window's low end, low case.
    pub lowest_fixture: String,
    /// Its voltage, low case.
    pub lowest_volts: Volts,
    /// Low end of its window.
    pub lowest_window_min: Volts,
    /// High end of its window.
    pub lowest_window_max: Volts,
    /// The fixture farthest from the transformer along the cable.
    pub last_fixture: String,
    /// Its voltage, expected case.
    pub last_volts: Volts,
    /// Lowest fixture voltage with the line 5 % low; `None` when the load collapses.
    pub line_low_volts: Option<Volts>,
    /// Highest fixture voltage with the line 5 % high; `None` when the load collapses.
    pub line_high_volts: Option<Volts>,
    /// Smallest short-circuit current at an end of the run.
    pub end_short: Amperes,
    /// Breaker of the secondary.
    pub breaker: Amperes,
    /// True when a short at the end of the run may not trip the breaker.
    pub may_not_trip: bool,
    /// Higher taps of the same secondary that the rules allow: room to move up.
    pub taps_above: Vec<String>,
}

/// One fixture.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct FixtureRow {
    /// Tag.
    pub tag: String,
    /// Model.
    pub model: String,
    /// Node.
    pub node: String,
    /// Zone.
    pub zone: Option<String>,
    /// Section of the bid.
    pub section: Option<String>,
    /// Already on site.
    pub existing: bool,
    /// Circuit label.
    pub circuit: String,
    /// Voltage expected at the crew's meter.
    pub expected: Volts,
    /// Voltage, low case.
    pub low: Volts,
    /// Voltage, high case.
    pub high: Volts,
    /// Voltage with the line 5 % low; `None` when the load collapses.
    pub line_low: Option<Volts>,
    /// Voltage with the line 5 % high; `None` when the load collapses.
    pub line_high: Option<Volts>,
    /// Low end of the window.
    pub window_min: Volts,
    /// High end of the window.
    pub window_max: Volts,
    /// Smaller of: low-case voltage above the low end, high end above the high-case voltage.
    pub margin: Volts,
    /// Rated apparent power.
    pub apparent: VoltAmperes,
}

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
    /// `A1-3`: circuit and number; 1 is the home run.
    pub id: String,
    /// Circuit label.
    pub circuit: String,
    /// True for the home run.
    pub home_run: bool,
    /// From: transformer letter or joint id, as printed.
    pub from: String,
    /// To: joint id.
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

/// One lead.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct LeadRow {
    /// Fixture.
    pub fixture: String,
    /// Circuit label.
    pub circuit: String,
    /// Joint id that it lands in.
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
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct JointRow {
    /// `A1/F3`: circuit and node.
    pub id: String,
    /// Circuit label.
    pub circuit: String,
    /// Node.
    pub node: String,
    /// Hub or joint kind.
    pub hardware: String,
    /// True for a hub.
    pub hub: bool,
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
}

/// A caution printed with the papers.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Caution {
    /// Stable name: `buried_utilities`, `far_short`, ...
    pub code: &'static str,
    /// What it is about (circuit labels, nodes, surfaces); empty for the general ones.
    pub about: Vec<String>,
    /// What to mind, whole sentences.
    pub text: String,
}

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
    /// Circuits in it (pieces or leads), positions in [`Dossier::circuits`], ascending.
    pub circuits: Vec<usize>,
}

/// A site on the drawing.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct DrawnSite {
    /// Tag.
    pub tag: String,
    /// Position in [`Drawing::nodes`].
    pub node: usize,
    /// Letters of the transformers placed there; empty when unused.
    pub transformers: Vec<String>,
}

/// A fixture on the drawing.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct DrawnFixture {
    /// Tag.
    pub tag: String,
    /// Position in [`Drawing::nodes`].
    pub node: usize,
    /// Its circuit, position in [`Dossier::circuits`].
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

/// Everything that papers show.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Dossier {
    /// What the figures depend on.
    pub header: Header,
    /// The bill.
    pub bill: Bill,
    /// Transformers, by letter.
    pub transformers: Vec<TransformerRow>,
    /// Circuits, in the order of the plan's transformers, then of its circuits.
    pub circuits: Vec<CircuitRow>,
    /// Fixtures fed, in job order.
    pub fixtures: Vec<FixtureRow>,
    /// Pieces, by circuit, then by number.
    pub pieces: Vec<PieceRow>,
    /// Leads, by circuit.
    pub leads: Vec<LeadRow>,
    /// Joints, by circuit.
    pub joints: Vec<JointRow>,
    /// Ground opened.
    pub trenches: Trenches,
    /// What to bring.
    pub quantities: Quantities,
    /// What to mind.
    pub cautions: Vec<Caution>,
    /// The site drawing.
    pub drawing: Drawing,
}
