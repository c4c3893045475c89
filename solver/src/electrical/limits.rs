//! Limits on current and apparent power in the low case: how much is used, how much is allowed.
//!
//! Mains capacity, lugs, ports and fill are counted elsewhere.

use super::cases::{SolvedTransformer, transformer_case};
use crate::ids::{CircuitId, JointId, PlacedId};
use crate::job::Job;
use crate::plan::Plan;
use crate::units::{Amperes, VoltAmperes};

/// Amperes and volt-amperes by which a limit may be passed: rounding only.
const TOLERANCE: f64 = 1e-6;

/// What is limited.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limited {
    /// The piece that feeds a joint, by its ampacity.
    Piece(CircuitId, JointId),
    /// The home run of a circuit, by the continuous limit of its secondary.
    Circuit(CircuitId),
    /// A common of a secondary (positions), by the continuous limit.
    Common(PlacedId, usize, usize),
    /// A secondary (position), by the continuous limit less the amperes kept free.
    Secondary(PlacedId, usize),
    /// A transformer, by its permitted apparent power.
    Transformer(PlacedId),
}

/// An amount used against the amount allowed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// A current.
    Current {
        /// In use.
        used: Amperes,
        /// Allowed.
        allowed: Amperes,
    },
    /// An apparent power.
    Apparent {
        /// In use.
        used: VoltAmperes,
        /// Allowed.
        allowed: VoltAmperes,
    },
}

impl Amount {
    /// Whether the limit is kept, within 1e-6 A or VA.
    #[must_use]
    pub fn holds(&self) -> bool {
        match self {
            Self::Current { used, allowed } => used.value() <= allowed.value() + TOLERANCE,
            Self::Apparent { used, allowed } => used.value() <= allowed.value() + TOLERANCE,
        }
    }
}

/// One limit and its use.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LimitUse {
    /// What is limited.
    pub of: Limited,
    /// How much.
    pub amount: Amount,
}

/// Apparent power that a transformer may be loaded with: rated x limit x (1 - spare), less the spare VA.
#[must_use]
pub fn permitted(job: &Job, rated: VoltAmperes) -> VoltAmperes {
    let rules = &job.rules;
    rated * (rules.loading_limit * (1.0 - rules.spare.fraction)) - rules.spare.apparent
}

/// Every limit on the circuits of one transformer, from its low case.
///
/// # Panics
/// When the ids of the plan were made for another job.
#[must_use]
pub fn low_case_limits(
    job: &Job,
    plan: &Plan,
    transformer: PlacedId,
    low: &SolvedTransformer,
) -> Vec<LimitUse> {
    let model = job.transformer(plan.transformers[transformer.index()].model(job));
    let mut found = Vec::new();
    let current = |of, used, allowed| LimitUse {
        of,
        amount: Amount::Current { used, allowed },
    };
    for (id, state) in &low.circuits {
        let circuit = &plan.circuits[id.index()];
        for (index, (joint, &amps)) in circuit.joints.iter().zip(&state.pieces).enumerate() {
            let ampacity = job.cable(joint.incoming.cable).ampacity;
            let piece = Limited::Piece(*id, JointId::new(index));
            found.push(current(piece, amps, ampacity));
        }
        let limit = model.secondaries[circuit.secondary].continuous_limit();
        found.push(current(Limited::Circuit(*id), state.home_run(), limit));
    }
    let case = transformer_case(job, plan, transformer, low);
    for (index, secondary) in model.secondaries.iter().enumerate() {
        let limit = secondary.continuous_limit();
        for common in 0..secondary.commons.len() {
            let on_it = low.circuits.iter().filter(|(id, _)| {
                let circuit = &plan.circuits[id.index()];
                circuit.secondary == index && circuit.common == common
            });
            let used = on_it.map(|(_, state)| state.home_run()).sum();
            found.push(current(
                Limited::Common(transformer, index, common),
                used,
                limit,
            ));
        }
        let allowed = limit - job.rules.spare.current;
        let of = Limited::Secondary(transformer, index);
        found.push(current(of, case.secondaries[index], allowed));
    }
    found.push(LimitUse {
        of: Limited::Transformer(transformer),
        amount: Amount::Apparent {
            used: case.apparent,
            allowed: permitted(job, model.rated),
        },
    });
    found
}
