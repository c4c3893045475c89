//! The job: what there is to light, where cable may run, what may be bought,
//! and the rules. Facts only, no formulas.
//!
//! [`Job`] is what every later room reads; the readers turn file text into a
//! [`Job`] or into the list of everything wrong with it.

mod catalogue;
mod model;
mod rules;

pub use catalogue::{
    Cable, CablePrice, CableUse, Common, Conductor, ContactResistance, FixtureModel, HubKind,
    JointKind, Lead, LoadExponent, PortGroup, Remnant, Secondary, SizeRange, Spool, Surface,
    SurfaceWork, Tap, TransformerModel, Window, WireSet,
};
pub use model::{
    Existing, Fixture, FurtherCircuit, Job, Node, Point, Segment, SegmentLimit, Site, Switched,
    Zone,
};
pub use rules::{
    Bid, EnergyTerms, Layout, Layouts, LineBand, LumpSum, Margins, Objective, Rates, Rules, Slack,
    Spare, TaxClass, Temperatures,
};
