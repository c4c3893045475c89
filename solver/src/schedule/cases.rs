//! Solved load cases as the schedules take them; no solution is found here.

use crate::units::{Amperes, VoltAmperes, Volts};

/// One circuit in one load case.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseState {
    /// Voltage at the tap.
    pub source: Volts,
    /// Voltage at the terminals of each fixture, in the order of the circuit's leads.
    pub fixtures: Vec<Volts>,
    /// Current in the piece that feeds each joint, in the order of the circuit's joints; the first is the home run.
    pub pieces: Vec<Amperes>,
    /// Apparent power at the transformer's terminals, losses of the circuit included.
    pub apparent: VoltAmperes,
}

/// One circuit in every reported case.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitCases {
    /// Low case: all on, hot conductors, lengths grown, low end of the line band.
    pub low: CaseState,
    /// High case: for each fixture the highest voltage over the switchings (each zone alone, and all on).
    pub high: CaseState,
    /// Expected case: phasors, nominal line, for the crew's meter.
    pub expected: CaseState,
    /// Expected case with the line 5 % low; `None` when no operating point exists.
    pub line_low: Option<CaseState>,
    /// Expected case with the line 5 % high; `None` when no operating point exists.
    pub line_high: Option<CaseState>,
    /// Smallest current of a short circuit at an end of the run, over its ends.
    pub end_short: Amperes,
}

/// One transformer in the low case.
#[derive(Clone, Debug, PartialEq)]
pub struct TransformerCase {
    /// Apparent power at its terminals, losses and present load included.
    pub apparent: VoltAmperes,
    /// Current of each secondary, present load included, in the order of the model's secondaries.
    pub secondaries: Vec<Amperes>,
}

/// Everything the electrical model says about a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseFigures {
    /// By circuit of the plan.
    pub circuits: Vec<CircuitCases>,
    /// By transformer of the plan.
    pub transformers: Vec<TransformerCase>,
}
