//! The shape of a plan file, as written: strings and numbers, nothing looked up.

use super::{PlanHeader, PlanResults};
use crate::units::UnitSystem;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    pub(super) schema: u32,
    pub(super) job: JobName,
    pub(super) header: PlanHeader,
    pub(super) transformers: Vec<Transformer>,
    pub(super) further_circuits: Vec<FurtherCircuits>,
    pub(super) circuits: Vec<Circuit>,
    pub(super) results: PlanResults,
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct JobName {
    pub(super) name: String,
    pub(super) currency: String,
    pub(super) units: UnitSystem,
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Transformer {
    pub(super) label: String,
    pub(super) site: String,
    pub(super) source: Source,
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub(super) enum Source {
    /// Tag of the model bought.
    New { model: String },
    /// Tag of the transformer standing; its model is written for the reader.
    Existing { transformer: String, model: String },
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct FurtherCircuits {
    pub(super) site: String,
    pub(super) count: u32,
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Circuit {
    pub(super) label: String,
    pub(super) transformer: String,
    pub(super) secondary: String,
    pub(super) tap: String,
    pub(super) common: String,
    pub(super) joints: Vec<Joint>,
    pub(super) pieces: Vec<Piece>,
    pub(super) leads: Vec<Lead>,
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Joint {
    pub(super) label: String,
    pub(super) node: String,
    pub(super) hardware: Hardware,
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub(super) enum Hardware {
    Splice(String),
    Hub(String),
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Piece {
    pub(super) label: String,
    pub(super) cable: String,
    /// Label of the transformer (home run) or of a joint.
    pub(super) from: String,
    /// Label of a joint.
    pub(super) to: String,
    pub(super) route: Vec<Step>,
    pub(super) length_grid_steps: i64,
    pub(super) length_m: f64,
    pub(super) route_m: f64,
    pub(super) slack_m: f64,
    pub(super) rise_m: f64,
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Lead {
    pub(super) fixture: String,
    pub(super) joint: String,
    /// Cable and length as delivered, for the reader; null for a fixture without a lead.
    pub(super) cable: Option<String>,
    pub(super) length_m: Option<f64>,
    pub(super) route: Vec<Step>,
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Step {
    pub(super) from: String,
    pub(super) to: String,
    pub(super) parallel: u32,
}
