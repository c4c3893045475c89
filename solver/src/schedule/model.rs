//! The schedules' types. Lengths are exact decimals in the job's length unit
//! (see [`Header::length_unit`]); electrical figures are unrounded.

use super::buy::Buying;
use super::drawn::Drawing;
use super::field::{Cutting, JointRow, LeadRow, PieceRow, Quantities, Trenches};
use crate::bill::{Bill, Offer};
use crate::units::{Amperes, Celsius, Cost, UnitSystem, VoltAmperes, Volts, Watts};
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

/// What a terminal is.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Pole {
    /// A tap, with its voltage at rated load.
    Tap(Volts),
    /// A common.
    Common,
}

/// One tap or common with its lug places.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct LugRow {
    /// Tap or common.
    pub pole: Pole,
    /// Name printed on it.
    pub tag: String,
    /// Lug places.
    pub lugs: u32,
    /// Lug places taken by circuits that stand already.
    pub present: u32,
    /// Circuits of the plan that land here, each on one lug, with the gauge of their home run.
    pub circuits: Vec<(String, String)>,
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
    /// Its taps, then its commons, in catalogue order.
    pub lugs: Vec<LugRow>,
}

/// One transformer.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct TransformerRow {
    /// Label: T1, T2, ...
    pub label: String,
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
    /// Label: C1, C2, ....
    pub label: String,
    /// Label of the transformer.
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
    /// Current of the home run, expected case: what a clamp meter shows.
    pub expected_amps: Amperes,
    /// Most current the circuit may carry: the smaller of the secondary's continuous limit and the home run's ampacity.
    pub limit: Amperes,
    /// Apparent power at the terminals, low case.
    pub load: VoltAmperes,
    /// Voltage at the terminals, expected case.
    pub source_volts: Volts,
    /// Voltage at the terminals, low case.
    pub source_low: Volts,
    /// Voltage at the terminals, high case.
    pub source_high: Volts,
    /// Fixture with the lowest voltage above its own window's low end, low case.
    pub lowest_fixture: String,
    /// Its voltage, low case.
    pub lowest_volts: Volts,
    /// Low end of its window.
    pub lowest_window_min: Volts,
    /// High end of its window.
    pub lowest_window_max: Volts,
    /// Highest low end of the windows of its fixtures.
    pub window_min: Volts,
    /// Lowest high end of the windows of its fixtures.
    pub window_max: Volts,
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
    /// Higher taps of the same secondary, lowest first, that the rules allow, that have a free lug, and on which every window and limit holds when solved: room to move up.
    pub taps_above: Vec<String>,
    /// Further load that the joint of the weakest fixture would bear, unity power factor.
    pub spare: Watts,
    /// Longest further piece, of `extension_gauge`, from the weakest fixture's joint to one more fixture like it, rounded down to the grid; `None` when not even one more at the joint would do.
    pub extension: Option<Decimal>,
    /// Gauge of the piece that feeds the weakest fixture's joint.
    pub extension_gauge: String,
    /// More load than planned before the circuit collapses, low case, percent; `None` when none was found.
    pub loading_margin_percent: Option<f64>,
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
    /// Label of the joint that it lands in.
    pub joint: String,
    /// Cable and lead from the terminals of its circuit to it.
    pub along: Decimal,
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

/// Everything that papers show.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Dossier {
    /// What the figures depend on.
    pub header: Header,
    /// The bill.
    pub bill: Bill,
    /// The price as the client reads it.
    pub offer: Offer,
    /// What is bought.
    pub buying: Buying,
    /// Transformers, in the order of the plan.
    pub transformers: Vec<TransformerRow>,
    /// Circuits, in the order of the plan's transformers, then of its circuits.
    pub circuits: Vec<CircuitRow>,
    /// Fixtures fed, in job order.
    pub fixtures: Vec<FixtureRow>,
    /// Pieces, by circuit, then by number.
    pub pieces: Vec<PieceRow>,
    /// Which piece is cut from which spool; empty when cable is paid for by length.
    pub cutting: Cutting,
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
