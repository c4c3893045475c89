//! The schedules: every figure of the papers beside the bill, from a plan, its
//! job and its solved load cases. Pages format them and compute nothing.

mod cases;
mod cautions;
mod circuits;
mod csv;
mod dossier;
mod drawing;
mod fixtures;
mod labels;
mod model;
mod pieces;
mod quantities;
mod taps;
mod transformers;
mod trenches;

pub use cases::{CaseFigures, CaseState, CircuitCases, TransformerCase};
pub use dossier::Findings;
pub use model::{
    CableTotal, Caution, CircuitRow, CountRow, Dossier, Drawing, DrawnFixture, DrawnNode,
    DrawnSegment, DrawnSite, FixtureRow, Header, JointRow, LeadRow, PieceEnds, PieceRow,
    Quantities, SecondaryRow, SegmentRow, Standing, Status, SurfaceRow, TransformerRow, Trenches,
    WireCount,
};
