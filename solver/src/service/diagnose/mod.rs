//! Diagnosis: which faults explain readings, how well, and what to read next.
//!
//! Every single fault is simulated by the power flow at several sizes ([`library`]).
//! Readings are compared with each simulation under the error of the meter and the
//! straying of sound installations, both normal ([`evidence`]); the sound installation
//! competes as one more explanation ([`rank`]). Where no single fault explains the
//! readings, pairs are tried ([`pairs`]). Causes that the readings cannot tell apart are
//! one answer, not several; the reading that would part them best is named ([`next`]).

pub mod evidence;
pub mod library;
pub mod next;
pub mod pairs;
pub mod rank;
pub mod sheet;
mod verdict;

pub use evidence::Reading;
pub use library::Library;
pub use verdict::{Answer, Cause, Diagnosis, MAINS, NextReading, SAFETY, diagnose, explain};
