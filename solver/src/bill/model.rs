//! The bill's types. No prices are looked up here.

use crate::ids::CableId;
use crate::job::TaxClass;
use crate::units::{Cost, GridSteps, Money, Ratio, UnitSystem};
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

/// Unit of a quantity on a bill line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// Pieces counted.
    Each,
    /// Feet.
    Feet,
    /// Metres.
    Metres,
    /// Working hours.
    Hours,
    /// A share of the amount in the price column: 0.05 for 5 %.
    Share,
    /// One sum agreed for the whole.
    Lump,
}

impl Unit {
    /// The length unit of a unit system.
    #[must_use]
    pub const fn length(system: UnitSystem) -> Self {
        match system {
            UnitSystem::Us => Self::Feet,
            UnitSystem::Metric => Self::Metres,
        }
    }
    /// Symbol as printed: `ea`, `ft`, `m`, `h`, `share`, `lump`.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Each => "ea",
            Self::Feet => "ft",
            Self::Metres => "m",
            Self::Hours => "h",
            Self::Share => "share",
            Self::Lump => "lump",
        }
    }
}

/// An exact amount with its unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Quantity {
    /// Exact decimal amount, as shown.
    pub amount: Decimal,
    /// Its unit.
    pub unit: Unit,
}

/// Section of every line that no fixture's section claims.
pub const GENERAL: &str = "General";

/// What a line is for; lines of one kind stand together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LineKind {
    /// Fixtures bought, and setting them.
    Fixture,
    /// Transformers bought, and mounting them.
    Transformer,
    /// Sites used and further mains circuits.
    Site,
    /// Cable bought by length or by spool.
    Cable,
    /// Cable waste.
    Waste,
    /// Hubs.
    Hub,
    /// Splices.
    Joint,
    /// Opening ground.
    Trench,
    /// Laying cable in it.
    CableWork,
    /// Timers, sensors, switches.
    Control,
    /// Small material.
    Sundries,
    /// Night visit.
    NightVisit,
    /// Permit fees.
    Permit,
    /// Mobilisation.
    Mobilisation,
    /// Subcontract lumps.
    Lump,
    /// Present already or delivered with something else: listed at zero.
    Present,
}

/// One line of the bill.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Line {
    /// Section of the bid: that of the fixtures, else [`GENERAL`].
    pub section: String,
    /// What it is for.
    pub kind: LineKind,
    /// Cost class.
    #[serde(serialize_with = "class_name")]
    pub class: TaxClass,
    /// What is bought or done.
    pub description: String,
    /// How much, exact as shown.
    pub quantity: Quantity,
    /// Price of one unit, exact.
    pub unit_price: Money,
    /// `quantity x unit price`, rounded half-even to the cent.
    pub extension: Money,
}

/// Tax on one class.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct TaxLine {
    /// Class taxed.
    #[serde(serialize_with = "class_name")]
    pub class: TaxClass,
    /// The class's part of the price, rounded; the parts of all classes add up to the price.
    pub base: Money,
    /// Rate.
    pub rate: Ratio,
    /// `base x rate`, rounded half-even to the cent.
    pub amount: Money,
}

/// Figures divided by the number of fixtures that the plan feeds (new and existing).
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct PerFixture {
    /// Fixtures counted, > 0.
    pub fixtures: u32,
    /// Price before tax per fixture, rounded half-even to the cent.
    pub price: Money,
    /// Labour hours per fixture, rounded half-even to 0.01.
    pub hours: Decimal,
    /// Cable bought per fixture (pieces; neither leads nor waste), in the job's length unit, rounded half-even to 0.01.
    pub cable: Decimal,
}

/// A part of the direct cost: what the optimiser minimises.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DirectPart {
    /// Ground opened.
    Trench,
    /// Cable laid in it.
    CableWork,
    /// Cable by length with waste, or whole spools.
    Cable,
    /// Splices.
    Joints,
    /// Hubs.
    Hubs,
    /// Transformers bought and mounted.
    Transformers,
    /// Sites used.
    Sites,
    /// Further mains circuits.
    FurtherCircuits,
    /// Present value of losses, when asked.
    Losses,
}

/// One part of the direct cost.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct DirectLine {
    /// Which part.
    pub part: DirectPart,
    /// Its cost as the optimiser weighs it, unrounded.
    pub cost: Cost,
}

/// The direct cost: bill figures without fixtures, setting and commercial terms.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct DirectCost {
    /// Parts in the order of [`DirectPart`]; parts that are zero are left out.
    pub lines: Vec<DirectLine>,
    /// Unrounded sum.
    pub cost: Cost,
}

impl DirectLine {
    /// The cost to the cent, for showing.
    #[must_use]
    pub fn shown(&self) -> Money {
        shown(self.cost)
    }
}

impl DirectCost {
    /// The sum to the cent, for showing.
    #[must_use]
    pub fn shown(&self) -> Money {
        shown(self.cost)
    }

    /// By how much the shown sum is above the sum of the shown parts: a few cents at most.
    #[must_use]
    pub fn rounding(&self) -> Money {
        self.shown() - self.lines.iter().map(DirectLine::shown).sum()
    }
}

/// A cost to the cent; zero for one that no decimal holds.
fn shown(cost: Cost) -> Money {
    Money::new(Decimal::from_f64(cost.value()).unwrap_or_default()).cents()
}

/// Spools to buy of one cable and length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpoolBought {
    /// Cable type.
    pub cable: CableId,
    /// Length on one spool.
    pub length: GridSteps,
    /// How many.
    pub count: u32,
    /// Price of one.
    pub price: Money,
}

/// Remnants on hand that a cutting plan uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StockDrawn {
    /// Cable type.
    pub cable: CableId,
    /// Length of one remnant.
    pub length: GridSteps,
    /// How many.
    pub count: u32,
}

/// How the cable of a plan is paid for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CableSupply {
    /// Price by length, with waste as a line of its own.
    ByLength,
    /// Whole spools by a cutting plan; no waste line. A cable that no spool or
    /// remnant here supplies is paid for by length.
    BySpool {
        /// Spools to buy.
        bought: Vec<SpoolBought>,
        /// Remnants used, at no cost.
        drawn: Vec<StockDrawn>,
    },
}

impl CableSupply {
    /// Whether the pieces of a cable come from spools or remnants.
    #[must_use]
    pub fn spools(&self, cable: CableId) -> bool {
        match self {
            Self::ByLength => false,
            Self::BySpool { bought, drawn } => {
                bought.iter().any(|spool| spool.cable == cable)
                    || drawn.iter().any(|remnant| remnant.cable == cable)
            }
        }
    }
}

/// A whole bill.
///
/// `material + labour + subcontract = cost`; `cost + overhead + markup + top_up
/// = price`; `price + tax = total`: each is a sum of rounded amounts, exact to
/// the cent.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Bill {
    /// Lines, by section (in the order of the fixtures, [`GENERAL`] last), kind, class, then catalogue order.
    pub lines: Vec<Line>,
    /// Labour hours: sum of the hours shown on labour lines.
    pub hours: Decimal,
    /// Labour rate, money per hour.
    pub labour_rate: Money,
    /// Sum of the material lines.
    pub material: Money,
    /// Sum of the labour lines.
    pub labour: Money,
    /// Sum of the subcontract lines.
    pub subcontract: Money,
    /// Material + labour + subcontract.
    pub cost: Money,
    /// Overhead rate.
    pub overhead_rate: Ratio,
    /// Overhead on the cost, rounded.
    pub overhead: Money,
    /// Markup rate.
    pub markup_rate: Ratio,
    /// Markup on cost with overhead, rounded.
    pub markup: Money,
    /// Least price before tax.
    pub minimum_charge: Money,
    /// What brings the price up to the minimum charge; zero when it is reached.
    pub top_up: Money,
    /// Price before tax.
    pub price: Money,
    /// Tax by class, in the order of the job.
    pub taxes: Vec<TaxLine>,
    /// Sum of the taxes.
    pub tax: Money,
    /// Price with tax.
    pub total: Money,
    /// Price, hours and cable per fixture.
    pub per_fixture: PerFixture,
    /// What the optimiser minimised.
    pub direct: DirectCost,
}

/// Class as printed: `material`, `labour`, `subcontract`.
#[must_use]
pub const fn class_symbol(class: TaxClass) -> &'static str {
    match class {
        TaxClass::Material => "material",
        TaxClass::Labour => "labour",
        TaxClass::Subcontract => "subcontract",
    }
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde hands fields over by reference"
)]
fn class_name<S: serde::Serializer>(class: &TaxClass, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(class_symbol(*class))
}
