//! The order's types. Lengths are exact decimals in the jobs' length unit.

use crate::bill::Unit;
use crate::job::Job;
use crate::plan::Plan;
use crate::units::{Money, UnitSystem};
use rust_decimal::Decimal;

/// A job with the plan that is to be built.
#[derive(Clone, Copy, Debug)]
pub struct PlannedJob<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its plan.
    pub plan: &'a Plan,
}

/// A job of the order.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct OrderedJob {
    /// Number in the order, from 1; it begins the piece ids where there are several jobs.
    pub number: u32,
    /// Name.
    pub name: String,
    /// Fixtures fed.
    pub fixtures: u32,
    /// Pieces to cut.
    pub pieces: u32,
    /// Their length.
    pub cable: Decimal,
}

/// What a line of the order buys.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Goods {
    /// A spool of cable.
    Spool,
    /// Cable by length, where no spool is on sale.
    CableByLength,
    /// Connectors of one splice (both poles).
    Splice,
    /// A hub.
    Hub,
    /// A transformer.
    Transformer,
    /// A fixture.
    Fixture,
}

impl Goods {
    /// As printed.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Spool => "cable, spool",
            Self::CableByLength => "cable by length",
            Self::Splice => "splice (both poles)",
            Self::Hub => "hub",
            Self::Transformer => "transformer",
            Self::Fixture => "fixture",
        }
    }
}

/// One line of the purchase list.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct OrderLine {
    /// What kind of thing.
    pub goods: Goods,
    /// Name in the catalogue.
    pub item: String,
    /// Gauge of a cable; rated VA of a transformer; else empty.
    pub size: String,
    /// Length on one spool.
    pub spool_length: Option<Decimal>,
    /// How many, or how much length.
    pub quantity: Decimal,
    /// Unit of the quantity.
    pub unit: Unit,
    /// Price of one.
    pub unit_price: Money,
    /// `quantity x unit price`, rounded half-even to the cent.
    pub extension: Money,
    /// How much of it each job uses, in the order of the jobs; empty for spools, which jobs share.
    pub by_job: Vec<Decimal>,
}

/// The cutting of one cable over all jobs, in figures.
///
/// `needed + waste + kept = bought + drawn`.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct CableOrder {
    /// Cable tag.
    pub cable: String,
    /// Gauge.
    pub gauge: String,
    /// Pieces to cut.
    pub pieces: u32,
    /// Their length.
    pub needed: Decimal,
    /// Length of the spools bought.
    pub bought: Decimal,
    /// Length of the remnants used.
    pub drawn: Decimal,
    /// Left in lengths not worth keeping.
    pub waste: Decimal,
    /// Left in lengths worth keeping.
    pub kept: Decimal,
    /// Joints at which a pull is parted.
    pub partings: u32,
    /// Price of the spools bought.
    pub cost: Money,
    /// No cutting costs less.
    pub bound: Money,
    /// Whether the cost is proved least.
    pub proved: bool,
    /// Price of what each job would buy if the jobs were cut one after another, each using what
    /// the earlier ones left; `None` when they cannot be cut so.
    pub separately: Option<Vec<Money>>,
}

impl CableOrder {
    /// Price of the spools when the jobs are cut one after another; `None` when they cannot be.
    #[must_use]
    pub fn alone(&self) -> Option<Money> {
        Some(self.separately.as_ref()?.iter().copied().sum())
    }
    /// What cutting the jobs together saves, >= 0; `None` when they cannot be cut one after another.
    #[must_use]
    pub fn saving(&self) -> Option<Money> {
        Some(self.alone()? - self.cost)
    }
}

/// A cut on the cut sheet by its spool and place there, both from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct CutRef {
    /// Number of the spool.
    pub spool: u32,
    /// Number of the cut on it.
    pub cut: u32,
}

/// One length off a spool: a pull, or a part of one.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct CutLine {
    /// Number on its spool, from 1.
    pub number: u32,
    /// Number of the job.
    pub job: u32,
    /// Length to cut.
    pub length: Decimal,
    /// Distances from its start at which it is marked: the joints between its pieces.
    pub marks: Vec<Decimal>,
    /// Piece ids in laying order.
    pub pieces: Vec<String>,
    /// Where it starts.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// The cut that it continues, when its pull was parted at its start.
    pub continues: Option<CutRef>,
    /// The cut that continues it, when its pull was parted at its end.
    pub goes_on: Option<CutRef>,
}

/// A spool or remnant and what is cut from it.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct SpoolCut {
    /// Number, counted through all cables from 1.
    pub number: u32,
    /// Cable tag.
    pub cable: String,
    /// Gauge.
    pub gauge: String,
    /// Bought with this order; else on hand.
    pub bought: bool,
    /// Length before the first cut.
    pub length: Decimal,
    /// Price, zero for cable on hand.
    pub price: Money,
    /// Cuts in order, at least one.
    pub cuts: Vec<CutLine>,
    /// What is left.
    pub left: Decimal,
    /// Whether what is left is worth keeping.
    pub keep: bool,
}

/// What is written on a piece.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct PieceLabel {
    /// Piece: `A1-3`, or `2:A1-3` for job 2 of several.
    pub id: String,
    /// Number of the job.
    pub job: u32,
    /// Circuit.
    pub circuit: String,
    /// Transformer and site, or joint, where it starts.
    pub from: String,
    /// Joint where it ends.
    pub to: String,
    /// Cable tag.
    pub cable: String,
    /// Gauge.
    pub gauge: String,
    /// Length.
    pub length: Decimal,
    /// Where it is cut; `None` for cable bought by length.
    pub cut: Option<CutRef>,
}

/// Remnants of one cable and length, before and after.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct StockRow {
    /// Cable tag.
    pub cable: String,
    /// Gauge.
    pub gauge: String,
    /// Length of one.
    pub length: Decimal,
    /// On hand before the order.
    pub before: u32,
    /// Used by it.
    pub drawn: u32,
    /// Left by it and worth keeping.
    pub added: u32,
}

impl StockRow {
    /// On hand when everything is cut.
    #[must_use]
    pub const fn after(&self) -> u32 {
        self.before - self.drawn + self.added
    }
}

/// An order: everything that its papers show.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Order {
    /// Currency printed beside money.
    pub currency: String,
    /// Unit system.
    pub units: UnitSystem,
    /// `ft` or `m`.
    pub length_unit: String,
    /// Shortest length worth keeping.
    pub shortest_useful: Decimal,
    /// The jobs, in the order given.
    pub jobs: Vec<OrderedJob>,
    /// Length of all pieces.
    pub cable: Decimal,
    /// What to buy: cable by size, then splices, hubs, transformers, fixtures by catalogue order.
    pub lines: Vec<OrderLine>,
    /// Sum of the lines.
    pub total: Money,
    /// Cutting by cable, in figures; cables bought by length are not here.
    pub cables: Vec<CableOrder>,
    /// What each job's spools would cost if the jobs were cut one after another; `None` when they cannot be cut so.
    pub separately: Option<Vec<Money>>,
    /// What cutting them together saves, >= 0; `None` as above.
    pub saving: Option<Money>,
    /// The cut sheet.
    pub spools: Vec<SpoolCut>,
    /// A label for each piece, in the order of cutting.
    pub labels: Vec<PieceLabel>,
    /// Remnants, by cable (those cut first) and falling length.
    pub stock: Vec<StockRow>,
    /// What to mind, one sentence each.
    pub remarks: Vec<String>,
}
