//! All circuits of one placed transformer, built and solved together.

use super::circuit::CircuitFeeder;
use super::conditions::Conditions;
use super::source::{Fed, Physics, Supply, Terminals, Unserved, solve};
use super::sweep::Sweep;
use crate::ids::{CircuitId, PlacedId};
use crate::job::Job;
use crate::plan::{PlacedTransformer, Plan, TransformerSource};
use crate::units::VoltAmperes;

/// One circuit of the network.
#[derive(Clone, Debug)]
pub struct NetworkCircuit {
    /// Which circuit of the plan.
    pub id: CircuitId,
    /// Its feeder; may be altered before solving (a load added, a run extended).
    pub built: CircuitFeeder,
    /// Tap voltage at rated load, line factor included, V.
    pub tap_v: f64,
    /// Secondary it hangs on.
    pub secondary: usize,
}

/// The circuits of one transformer under one set of conditions.
#[derive(Clone, Debug)]
pub struct TransformerNetwork {
    /// Circuits, in the order of the plan.
    pub circuits: Vec<NetworkCircuit>,
    physics: Physics,
    supply: Supply,
    present_va: Vec<f64>,
    sweeps: Vec<Sweep>,
}

impl TransformerNetwork {
    /// Builds the circuits of a placed transformer.
    ///
    /// # Panics
    /// When an id of the plan was made for another job.
    #[must_use]
    pub fn new(job: &Job, plan: &Plan, transformer: PlacedId, at: &Conditions) -> Self {
        let placed = &plan.transformers[transformer.index()];
        let model = job.transformer(placed.model(job));
        let circuits: Vec<NetworkCircuit> = plan
            .circuits
            .iter()
            .enumerate()
            .filter(|(_, circuit)| circuit.transformer == transformer)
            .map(|(index, circuit)| {
                let mut built = CircuitFeeder::default();
                built.build(job, plan, circuit, at);
                let tap = &model.secondaries[circuit.secondary].taps[circuit.tap];
                NetworkCircuit {
                    id: CircuitId::new(index),
                    built,
                    tap_v: tap.volts.value() * at.line_factor,
                    secondary: circuit.secondary,
                }
            })
            .collect();
        let present = present_loads(job, placed);
        Self {
            sweeps: vec![Sweep::new(); circuits.len()],
            circuits,
            physics: at.physics,
            supply: Supply {
                rated_va: model.rated.value(),
                regulation: model.regulation,
                present_va: 0.0,
            },
            present_va: present.iter().map(|load| load.value()).collect(),
        }
    }

    /// Solves with the secondaries of `on` switched on, by position in the model's list.
    ///
    /// Circuits and present load of the other secondaries are off.
    /// # Errors
    /// [`Unserved`], its circuit counted among [`Self::circuits`].
    /// # Panics
    /// When `on` is shorter than the model's list of secondaries.
    pub fn solve(&mut self, on: &[bool]) -> Result<Terminals, Unserved> {
        let positions: Vec<usize> = (0..self.circuits.len())
            .filter(|&position| on[self.circuits[position].secondary])
            .collect();
        let fed: Vec<Fed<'_>> = positions
            .iter()
            .map(|&position| Fed {
                feeder: &self.circuits[position].built.feeder,
                tap_v: self.circuits[position].tap_v,
            })
            .collect();
        let present = self.present_va.iter().zip(on);
        let supply = Supply {
            present_va: present.map(|(va, &on)| if on { *va } else { 0.0 }).sum(),
            ..self.supply
        };
        let outcome = solve(self.physics, &supply, &fed, &mut self.sweeps);
        for (slot, &position) in positions.iter().enumerate().rev() {
            self.sweeps.swap(slot, position);
        }
        outcome.map_err(|unserved| Unserved {
            circuit: positions.get(unserved.circuit).copied().unwrap_or(0),
            ..unserved
        })
    }

    /// The switching with every secondary on.
    #[must_use]
    pub fn all_on(&self) -> Vec<bool> {
        vec![true; self.present_va.len()]
    }

    /// The solution of a circuit that was on, by position among [`Self::circuits`].
    ///
    /// # Panics
    /// When there is no such circuit.
    #[must_use]
    pub fn solution(&self, position: usize) -> &Sweep {
        &self.sweeps[position]
    }
}

/// Load that each secondary carries besides the circuits of the plan.
///
/// # Panics
/// When the ids of `placed` were made for another job.
#[must_use]
pub fn present_loads(job: &Job, placed: &PlacedTransformer) -> Vec<VoltAmperes> {
    match placed.source {
        TransformerSource::New(model) => {
            vec![VoltAmperes::ZERO; job.transformer(model).secondaries.len()]
        }
        TransformerSource::Existing(id) => job.existing_transformer(id).present_load.clone(),
    }
}
