//! The figures a plan file states, unit in each key, full precision.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Voltages at one fixture's terminals; absent where its circuit has no operating point.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FixtureResults {
    /// Tag of the fixture.
    pub fixture: String,
    /// Low case.
    pub volts_low_case_v: Option<f64>,
    /// High case.
    pub volts_high_case_v: Option<f64>,
    /// Expected case.
    pub volts_expected_v: Option<f64>,
}

/// Currents in one piece.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceResults {
    /// Label of the piece.
    pub piece: String,
    /// Low case.
    pub current_low_case_a: Option<f64>,
    /// Expected case.
    pub current_expected_a: Option<f64>,
}

/// One circuit at its lugs.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CircuitResults {
    /// Label of the circuit.
    pub circuit: String,
    /// Voltage at the lugs, low case.
    pub source_volts_low_case_v: Option<f64>,
    /// Current at the lugs, low case.
    pub current_low_case_a: Option<f64>,
    /// Pieces in the order of the circuit.
    pub pieces: Vec<PieceResults>,
}

/// One transformer.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TransformerResults {
    /// Label of the transformer.
    pub transformer: String,
    /// Apparent power at its terminals, low case, present load included.
    pub apparent_low_case_va: Option<f64>,
    /// Most that it may carry.
    pub permitted_va: f64,
}

/// One line of the direct cost.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CostResult {
    /// What kind of cost.
    pub kind: String,
    /// Tag of the surface, cable, joint kind, hub kind, transformer model or site.
    pub tag: String,
    /// Unrounded cost in the job's currency.
    pub cost: f64,
}

/// All figures a plan file states.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanResults {
    /// Fixtures in job order.
    pub fixtures: Vec<FixtureResults>,
    /// Circuits in plan order.
    pub circuits: Vec<CircuitResults>,
    /// Transformers in plan order.
    pub transformers: Vec<TransformerResults>,
    /// Direct cost, line by line.
    pub cost: Vec<CostResult>,
    /// Direct cost in all, unrounded, in the job's currency.
    pub direct_cost: f64,
}
