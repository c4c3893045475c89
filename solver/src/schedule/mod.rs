//! The schedules: every figure of the papers beside the bill, from a plan, its
//! job and its solved load cases. Pages format them and compute nothing.

mod cases;
mod model;

pub use cases::{CaseFigures, CaseState, CircuitCases, TransformerCase};
pub use model::{
    CableTotal, Caution, CircuitRow, CountRow, Dossier, Drawing, DrawnFixture, DrawnNode,
    DrawnSegment, DrawnSite, FixtureRow, Header, JointRow, LeadRow, PieceEnds, PieceRow,
    Quantities, SecondaryRow, SegmentRow, Standing, Status, SurfaceRow, TransformerRow, Trenches,
    WireCount,
};
