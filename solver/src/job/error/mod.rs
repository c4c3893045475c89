//! What is wrong with a job, in the words of its files.

mod code;
mod fault;
mod ledger;

pub use code::Code;
pub(in crate::job) use fault::Place;
pub use fault::{Fault, Faults, Notice};
pub(in crate::job) use ledger::{Ledger, MOST_OF_A_KIND, Reported};
