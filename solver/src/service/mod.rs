//! What a crew measures on a plan that is in the ground: expected readings, and the
//! faults that explain readings which differ.
//!
//! The electrical room solves planned circuits, two conductors of a cable as one loop.
//! Faults break that symmetry (a conductor crossed, a common moved, two runs joined), so
//! this room wires one transformer conductor by conductor ([`circuitry`]), solves it by
//! nodal elimination ([`flow`]) and says what a meter shows at each point ([`point`],
//! [`condition`]). [`readings`] are expected of a sound installation; [`fault`]s alter it.

pub mod circuitry;
pub mod condition;
pub mod diagnose;
mod elimination;
pub mod fault;
pub mod flow;
pub mod point;
pub mod readings;
pub mod uncertainty;

use crate::job::Job;
use crate::units::UnitSystem;
use point::Names;
use readings::Stage;

/// Nominal mains voltage, V, which no job states: 120 V where lengths are in feet
/// (ANSI C84.1), 230 V where they are in metres (IEC 60038).
#[must_use]
pub fn mains_volts(job: &Job) -> f64 {
    match job.units {
        UnitSystem::Us => 120.0,
        UnitSystem::Metric => 230.0,
    }
}

/// A stage as files name it.
#[must_use]
pub fn stage_words(stage: Stage, names: &Names<'_>) -> String {
    match stage {
        Stage::Unloaded => "unloaded".to_owned(),
        Stage::FirstFixture(run, _) => format!("first fixture of {}", names.circuit(run)),
        Stage::Run(run) => format!("{} alone", names.circuit(run)),
        Stage::AllOn => "all on".to_owned(),
    }
}
