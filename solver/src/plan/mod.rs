//! What a plan *is*: transformers at sites, circuits as trees of pieces and
//! joints, leads. No search, no formulas beyond counting.
//!
//! A circuit is a rooted tree; each joint
//! is fed by exactly one piece; each fixture's lead lands in one joint.

mod change;
pub mod json;
mod labels;
mod length;
mod model;

pub use change::{Changes, Fate};
pub use labels::{joint_label, piece_label};
pub use length::{PieceLength, joint_slack};
pub use model::{
    Circuit, Incoming, Joint, JointHardware, LeadRun, PlacedTransformer, Plan, Route,
    TransformerSource,
};
