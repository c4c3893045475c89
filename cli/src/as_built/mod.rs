//! What the ground made of a plan: changes as a crew writes them down, and what each
//! of them does to the tables of the job and to the plan.

pub(crate) mod change;
pub(crate) mod history;
pub(crate) mod table;
pub(crate) mod wiring;
