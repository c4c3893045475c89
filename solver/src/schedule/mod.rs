//! The schedules: every figure of the papers beside the bill, from a plan, its
//! job and its solved load cases. Pages format them and compute nothing.

mod buy;
mod cautions;
mod circuits;
mod comparison;
mod cutting;
mod dossier;
mod drawing;
mod drawn;
mod field;
mod fixtures;
pub(crate) mod labels;
mod model;
mod pieces;
mod quantities;
pub(crate) mod tables;
mod taps;
#[cfg(test)]
mod tests;
mod transformers;
mod trenches;

pub use buy::{BuyRow, Buying};
pub use cautions::general as general_cautions;
pub use comparison::{Compared, Comparison, Fact, FactGroup, Planned};
pub use dossier::Findings;
pub use drawn::{Drawing, DrawnFixture, DrawnNode, DrawnSegment, DrawnSite};
pub use field::{
    CableTotal, CountRow, CutRow, Cutting, CuttingTotal, JointRow, LeadRow, PieceEnds, PieceRow,
    Quantities, SectionRow, SegmentRow, SpoolRow, SurfaceRow, Trenches, WireCount,
};
pub(crate) use labels::Labels;
pub use model::{
    Caution, CircuitRow, Dossier, FixtureRow, Header, LugRow, Pole, SecondaryRow, Standing, Status,
    TransformerRow,
};
