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
pub use evaluate::{Evaluator, Figures, Run, Supply};
pub(crate) use evaluate::{least_va, permitted_va};
pub use guidance::{Decisions, Guidance, Keep};
pub use shape::Shape;
