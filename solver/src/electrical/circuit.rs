//! A circuit of a plan as a feeder: lengths become ohms, fixtures become loads.

use super::conditions::Conditions;
use super::conductor::resistance_at;
use super::feeder::Feeder;
use super::load::BusLoad;
use crate::ids::{CableId, JointId};
use crate::job::{FixtureModel, Job};
use crate::plan::{Circuit, JointHardware, Plan};
use crate::units::{Metres, Ohms};

/// Conductor ends of one piece or lead end: both conductors are clamped.
const WIRE_ENDS: f64 = 2.0;
/// Conductors of a cable: a piece of length l has loop impedance `2 z l`.
const CONDUCTORS: f64 = 2.0;

/// Load law of a fixture model at one bus.
#[must_use]
pub fn load_of(model: &FixtureModel) -> BusLoad {
    let (apparent, real) = (model.apparent.value(), model.real.value());
    BusLoad {
        real_w: real,
        reactive_var: ((apparent - real) * (apparent + real)).max(0.0).sqrt(),
        rated_v: model.rated.value(),
        exponent: model.exponent.value(),
    }
}

/// Contact resistance of one wire end in this hardware.
#[must_use]
pub fn contact(job: &Job, hardware: JointHardware) -> Ohms {
    match hardware {
        JointHardware::Splice(kind) => job.joint_kind(kind).contact.0,
        JointHardware::Hub(kind) => job.hub(kind).contact.0,
    }
}

/// Loop impedance (resistance, reactance) of a length of cable, ohm.
#[must_use]
pub fn loop_impedance(job: &Job, cable: CableId, length: Metres, at: &Conditions) -> (Ohms, Ohms) {
    let conductor = &job.cable(cable).conductor;
    let length = length * (CONDUCTORS * at.length_factor);
    (
        resistance_at(conductor, at.conductor) * length,
        conductor.reactance * length,
    )
}

/// A circuit's feeder and where its joints and fixtures are in it.
///
/// Bus 0 is the transformer; then one bus per joint, in the circuit's order; then one per
/// lead, in the circuit's order, behind the lead (or at no impedance where the run lands
/// on the fixture's own terminals).
#[derive(Clone, Debug, Default)]
pub struct CircuitFeeder {
    /// The feeder.
    pub feeder: Feeder,
    joints: usize,
    fixtures: usize,
}

impl CircuitFeeder {
    /// Rebuilds the feeder for a circuit under some conditions; keeps the memory.
    ///
    /// Every piece has two wire ends in each joint it touches, every lead two in its
    /// joint; lugs of the transformer add nothing.
    ///
    /// # Panics
    /// When an id of the circuit was made for another job or plan.
    pub fn build(&mut self, job: &Job, plan: &Plan, circuit: &Circuit, at: &Conditions) {
        self.feeder.clear();
        self.joints = circuit.joints.len();
        self.fixtures = circuit.leads.len();
        let wire_ends =
            |joint: JointId| contact(job, circuit.joints[joint.index()].hardware) * WIRE_ENDS;
        for (index, joint) in circuit.joints.iter().enumerate() {
            let id = JointId::new(index);
            let length = circuit.piece_length(job, plan, id).metres(job);
            let (resistance, reactance) = loop_impedance(job, joint.incoming.cable, length, at);
            let near = joint.incoming.from.map_or(Ohms::ZERO, wire_ends);
            let resistance = resistance + near + wire_ends(id);
            let parent = joint.incoming.from.map_or(0, |from| self.joint_bus(from));
            self.feeder
                .add_bus(parent, resistance.value(), reactance.value());
        }
        for lead in &circuit.leads {
            let model = job.model_of(lead.fixture);
            let (resistance, reactance) = match model.lead {
                Some(cord) => {
                    let (resistance, reactance) = loop_impedance(job, cord.cable, cord.length, at);
                    (resistance + wire_ends(lead.joint), reactance)
                }
                None => (Ohms::ZERO, Ohms::ZERO),
            };
            let parent = self.joint_bus(lead.joint);
            let bus = self
                .feeder
                .add_bus(parent, resistance.value(), reactance.value());
            self.feeder.set_load(bus, load_of(model));
        }
    }
    /// Bus of a joint.
    #[must_use]
    pub fn joint_bus(&self, joint: JointId) -> usize {
        1 + joint.index()
    }
    /// Bus of the fixture on a lead, by position in [`Circuit::leads`].
    #[must_use]
    pub fn fixture_bus(&self, lead: usize) -> usize {
        1 + self.joints + lead
    }
    /// Buses of all joints, in order.
    #[must_use]
    pub fn joint_buses(&self) -> std::ops::Range<usize> {
        1..1 + self.joints
    }
    /// Buses of all fixtures, in the order of [`Circuit::leads`].
    #[must_use]
    pub fn fixture_buses(&self) -> std::ops::Range<usize> {
        1 + self.joints..1 + self.joints + self.fixtures
    }
}
