//! Short-circuit current at the ends of a run.
//!
//! # Assumptions
//! A bolted short between both conductors, nothing else drawing current. The mains is
//! stiff. The transformer is the resistance that its regulation stands for,
//! `R = (V_no-load - V_full-load) / I_full-load = regulation V_tap² / rated VA`, all of it
//! resistive and seen by the one tap; the open-circuit voltage is `V_tap (1 + regulation)`.
//! Leakage reactance, which a catalogue rarely states, would make the current smaller.

use super::circuit::CircuitFeeder;
use super::conditions::Conditions;
use crate::ids::CircuitId;
use crate::job::Job;
use crate::plan::Plan;
use crate::units::{Amperes, Volts};

/// Smallest current of a short at any joint or fixture terminal of a circuit.
///
/// Under the conditions given; hot conductors, grown lengths and a low line give the
/// smallest current, the one that matters for a breaker.
///
/// # Panics
/// When the ids were made for another job or plan.
#[must_use]
pub fn end_short(job: &Job, plan: &Plan, circuit: CircuitId, at: &Conditions) -> Amperes {
    let circuit = &plan.circuits[circuit.index()];
    let placed = &plan.transformers[circuit.transformer.index()];
    let model = job.transformer(placed.model(job));
    let tap = model.secondaries[circuit.secondary].taps[circuit.tap].volts;
    let mut built = CircuitFeeder::default();
    built.build(job, plan, circuit, at);
    let source_ohm = model.regulation * tap.value() * tap.value() / model.rated.value();
    let open = tap * (1.0 + model.regulation) * at.line_factor;
    smallest_short(&built, source_ohm, open)
}

fn smallest_short(built: &CircuitFeeder, source_ohm: f64, open: Volts) -> Amperes {
    let branches = &built.feeder.branches;
    let mut path = vec![(source_ohm, 0.0_f64); branches.len()];
    let mut largest_ohm = source_ohm;
    for (bus, branch) in branches.iter().enumerate().skip(1) {
        let (resistance, reactance) = path[branch.parent as usize];
        path[bus] = (
            resistance + branch.resistance_ohm,
            reactance + branch.reactance_ohm,
        );
        largest_ohm = largest_ohm.max(path[bus].0.hypot(path[bus].1));
    }
    Amperes::new(open.value() / largest_ohm)
}
