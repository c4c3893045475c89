//! One checked, priced circuit: how to build it, change it, and choose its
//! gauges, joints and tap.

mod context;
mod evaluate;
mod gauge;
mod graft;
mod guidance;
mod hardware;
mod shape;

pub use context::{Context, FixtureFacts, Landing};
pub(crate) use evaluate::permitted_va;
pub use evaluate::{Evaluator, Figures, Run, Supply};
pub use guidance::{Decisions, Guidance, Keep};
pub use shape::Shape;
