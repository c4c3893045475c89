//! The circuits of a transformer as a nodal network in one load case.

use super::measure::piece_m;
use super::network::{Bus, Feed, Load, Network, Supply};
use super::phasor::Phasor;
use super::site_rules::zone_places;
use crate::ids::{CableId, CircuitId, JointId, PlacedId};
use crate::job::{FixtureModel, Job, Switched};
use crate::plan::{JointHardware, Plan, TransformerSource};

/// What a load case assumes.
#[derive(Clone, Copy)]
pub(super) struct Case {
    conductor_c: f64,
    growth: f64,
    pub(super) line: f64,
    phasors: bool,
}

impl Case {
    pub(super) fn low(job: &Job) -> Self {
        Self {
            conductor_c: job.rules.temperatures.low_case.value(),
            growth: job.rules.length_growth,
            line: job.rules.line.low,
            phasors: false,
        }
    }
    pub(super) fn high(job: &Job) -> Self {
        Self {
            conductor_c: job.rules.temperatures.high_case.value(),
            growth: 1.0,
            line: job.rules.line.high,
            phasors: true,
        }
    }
    pub(super) fn expected(job: &Job) -> Self {
        Self {
            conductor_c: job.rules.temperatures.expected.value(),
            growth: 1.0,
            line: 1.0,
            phasors: true,
        }
    }
    /// Loop impedance of `length_m` of a cable as drawn, ohm.
    fn loop_ohm(&self, job: &Job, cable: CableId, length_m: f64) -> Phasor {
        let conductor = &job.cable(cable).conductor;
        let warmer = self.conductor_c - conductor.at.value();
        let resistance =
            conductor.resistance.value() * (1.0 + conductor.coefficient.value() * warmer);
        let reactance = if self.phasors {
            conductor.reactance.value()
        } else {
            0.0
        };
        Phasor::new(resistance, reactance) * (2.0 * length_m * self.growth)
    }
    fn load(&self, model: &FixtureModel) -> Load {
        let apparent = model.apparent.value();
        let rated_power = if self.phasors {
            let real = model.real.value();
            let square = apparent * apparent - real * real;
            Phasor::new(real, f64::max(square, 0.0).sqrt())
        } else {
            Phasor::real(apparent)
        };
        Load {
            rated_power,
            rated_volts: model.rated.value(),
            exponent: model.exponent.value(),
        }
    }
}

/// One circuit's place in a network.
pub(super) struct Wired {
    pub(super) circuit: CircuitId,
    pub(super) source: usize,
    pub(super) joint_bus: Vec<usize>,
    pub(super) lead_bus: Vec<usize>,
}

/// The circuits of a transformer whose secondaries are on.
pub(super) struct Grid {
    pub(super) network: Network,
    pub(super) wired: Vec<Wired>,
}

/// Both conductors of a piece or lead end in a joint: two contacts of the loop, ohm.
fn contact_ohm(job: &Job, hardware: JointHardware) -> Phasor {
    let contact = match hardware {
        JointHardware::Splice(kind) => job.joint_kind(kind).contact,
        JointHardware::Hub(kind) => job.hub(kind).contact,
    };
    Phasor::real(2.0 * contact.0.value())
}

/// Builds the circuits on the secondaries that are `on`.
pub(super) fn grid(job: &Job, plan: &Plan, id: PlacedId, case: Case, on: &[bool]) -> Grid {
    let placed = &plan.transformers[id.index()];
    let model = job.transformer(placed.model(job));
    let present = present_va(job, plan, id);
    let lit = present.iter().zip(on).filter(|(_, on)| **on);
    let mut grid = Grid {
        network: Network {
            supply: Supply {
                regulation: model.regulation,
                rated_va: model.rated.value(),
                present_va: lit.map(|(va, _)| va).sum(),
            },
            source_volts: Vec::new(),
            buses: Vec::new(),
        },
        wired: Vec::new(),
    };
    for (index, circuit) in plan.circuits.iter().enumerate() {
        if circuit.transformer == id && on[circuit.secondary] {
            let tap = &model.secondaries[circuit.secondary].taps[circuit.tap];
            grid.network
                .source_volts
                .push(tap.volts.value() * case.line);
            wire(&mut grid, job, plan, CircuitId::new(index), case);
        }
    }
    grid
}

/// Adds a circuit behind the last source.
fn wire(grid: &mut Grid, job: &Job, plan: &Plan, id: CircuitId, case: Case) {
    let circuit = &plan.circuits[id.index()];
    let buses = &mut grid.network.buses;
    let source = grid.network.source_volts.len() - 1;
    let mut joint_bus = Vec::with_capacity(circuit.joints.len());
    for (at, joint) in circuit.joints.iter().enumerate() {
        let length = piece_m(job, plan, circuit, JointId::new(at));
        let near = match joint.incoming.from {
            Some(from) => contact_ohm(job, circuit.joints[from.index()].hardware),
            None => Phasor::ZERO,
        };
        let cable = case.loop_ohm(job, joint.incoming.cable, length);
        joint_bus.push(buses.len());
        buses.push(Bus {
            feed: match joint.incoming.from {
                Some(from) => Feed::Bus(joint_bus[from.index()]),
                None => Feed::Source(source),
            },
            impedance: cable + near + contact_ohm(job, joint.hardware),
            loads: Vec::new(),
        });
    }
    let mut lead_bus = Vec::with_capacity(circuit.leads.len());
    for run in &circuit.leads {
        let model = job.model_of(run.fixture);
        let at = joint_bus[run.joint.index()];
        let load = case.load(model);
        let Some(lead) = model.lead else {
            buses[at].loads.push(load);
            lead_bus.push(at);
            continue;
        };
        let hardware = circuit.joints[run.joint.index()].hardware;
        lead_bus.push(buses.len());
        buses.push(Bus {
            feed: Feed::Bus(at),
            impedance: case.loop_ohm(job, lead.cable, lead.length.value())
                + contact_ohm(job, hardware),
            loads: vec![load],
        });
    }
    grid.wired.push(Wired {
        circuit: id,
        source,
        joint_bus,
        lead_bus,
    });
}

/// Load that a standing transformer carries already, by secondary, VA.
pub(super) fn present_va(job: &Job, plan: &Plan, id: PlacedId) -> Vec<f64> {
    let placed = &plan.transformers[id.index()];
    let count = job.transformer(placed.model(job)).secondaries.len();
    let mut present = vec![0.0; count];
    if let TransformerSource::Existing(existing) = placed.source {
        let loads = &job.existing_transformer(existing).present_load;
        for (slot, load) in present.iter_mut().zip(loads) {
            *slot = load.value();
        }
    }
    present
}

/// Which secondaries can be on while the others are off; all on comes first.
///
/// A zone that switches secondaries lights all of its own; the secondaries of no
/// zone are one group. Where a zone switches the whole transformer, or there is
/// none, everything is on together.
pub(super) fn switched_groups(job: &Job, plan: &Plan, id: PlacedId) -> Vec<Vec<bool>> {
    let placed = &plan.transformers[id.index()];
    let count = job.transformer(placed.model(job)).secondaries.len();
    let mut groups = vec![vec![true; count]];
    let places = zone_places(job, plan, id);
    let whole = |zone| job.zone(zone).switched == Switched::Transformer;
    if places.keys().any(|&zone| whole(zone)) {
        return groups;
    }
    let mut rest = vec![true; count];
    for secondaries in places.values() {
        let mut alone = vec![false; count];
        for &secondary in secondaries {
            alone[secondary] = true;
            rest[secondary] = false;
        }
        groups.push(alone);
    }
    groups.push(rest);
    groups.retain(|group| group.contains(&true));
    groups
}
