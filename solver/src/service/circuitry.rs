//! One transformer and all that hangs on it, wired conductor by conductor.
//!
//! Built from a plan, then altered: by what is uncertain about every installation
//! (lengths, loads, temperature, line) and by faults. Nothing here is solved.

use crate::electrical::circuit::{contact, load_of};
use crate::electrical::conductor::resistance_at;
use crate::electrical::{BusLoad, Conditions};
use crate::ids::{CableId, CircuitId, JointId, PlacedId};
use crate::job::Job;
use crate::plan::{Circuit, Plan};
use crate::units::Metres;

/// Smallest resistance of a conductor, ohm: keeps every admittance finite, and at 20 A
/// is worth 20 microvolts.
pub const LEAST_OHM: f64 = 1e-6;
/// Share of a window's low end below which a load is taken for the resistance that it is
/// there. Drivers cut out or limit their current somewhere below their window; nothing
/// about it is in a catalogue (an assumption, common practice, no source).
pub(super) const KNEE_SHARE: f64 = 0.6;

/// One conductor of a piece or lead, or a path that a fault makes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wire {
    /// Node nearer the transformer.
    pub near: u32,
    /// Node farther from it.
    pub far: u32,
    /// Resistance of the cable, ohm.
    pub cable_ohm: f64,
    /// Reactance of the cable, ohm.
    pub reactance_ohm: f64,
    /// Resistance of the contacts at both ends and of whatever a fault adds, ohm.
    pub contact_ohm: f64,
    /// Share by which the cable's resistance grows per °C.
    pub per_celsius: f64,
    /// Interrupted.
    pub open: bool,
}

/// The two conductors of one piece or lead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pair {
    /// Wire of the tap's side.
    pub hot: usize,
    /// Wire of the common's side.
    pub common: usize,
}

/// Two nodes between which volts are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Across {
    /// Node of the tap's side.
    pub hot: u32,
    /// Node of the common's side.
    pub common: u32,
}

/// A fixture, or a load that a fault adds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Where it hangs.
    pub across: Across,
    /// Its law.
    pub law: BusLoad,
    /// Voltage below which it is a resistance, V.
    pub knee_v: f64,
    /// Whether it draws anything.
    pub connected: bool,
}

/// A secondary winding.
#[derive(Clone, Debug, PartialEq)]
pub struct Winding {
    /// Node of its commons.
    pub common: u32,
    /// Node of each tap.
    pub taps: Vec<u32>,
    /// Volts of each tap at rated load and nominal line.
    pub tap_v: Vec<f64>,
    /// Breaker closed.
    pub closed: bool,
    /// Breaker rating, A.
    pub breaker_a: f64,
    /// Load that it carries besides the circuits of the plan, VA.
    pub present_va: f64,
}

/// Where the parts of one circuit are in the network.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Circuit of the plan.
    pub id: CircuitId,
    /// Secondary on which its home run is landed.
    pub secondary: usize,
    /// Tap on which it is landed.
    pub tap: usize,
    /// Common on which it is landed.
    pub common: usize,
    /// The piece that feeds each joint.
    pub pieces: Vec<Pair>,
    /// Nodes of each joint.
    pub joints: Vec<Across>,
    /// The lead of each fixture; `None` where the run lands on the fixture's terminals.
    pub leads: Vec<Option<Pair>>,
    /// Load of each fixture.
    pub loads: Vec<usize>,
}

/// One transformer as wired.
#[derive(Clone, Debug, PartialEq)]
pub struct Circuitry {
    /// Number of nodes.
    pub nodes: u32,
    /// Conductors.
    pub wires: Vec<Wire>,
    /// Loads.
    pub loads: Vec<Load>,
    /// Secondaries, in the order of the model's list.
    pub windings: Vec<Winding>,
    /// Circuits, in the order of the plan.
    pub runs: Vec<Run>,
    /// Rated apparent power, VA.
    pub rated_va: f64,
    /// Regulation, see [`crate::electrical::Supply`].
    pub regulation: f64,
    /// No-load loss, W.
    pub no_load_w: f64,
    /// Efficiency, no-load loss apart.
    pub efficiency: f64,
    /// Factor of the line on nominal; 0 when the transformer is not supplied.
    pub line: f64,
    /// Difference of the conductor temperature from that of the expected case, °C.
    pub warmer_c: f64,
}

impl Circuitry {
    /// Wires a transformer of a plan as planned: expected case, nominal line.
    ///
    /// # Panics
    /// When an id of the plan was made for another job.
    #[must_use]
    pub fn of(job: &Job, plan: &Plan, transformer: PlacedId) -> Self {
        let placed = &plan.transformers[transformer.index()];
        let model = job.transformer(placed.model(job));
        let present = crate::electrical::network::present_loads(job, placed);
        let mut made = Self {
            nodes: 0,
            wires: Vec::new(),
            loads: Vec::new(),
            windings: Vec::new(),
            runs: Vec::new(),
            rated_va: model.rated.value(),
            regulation: model.regulation,
            no_load_w: model.no_load_loss.value(),
            efficiency: model.efficiency,
            line: 1.0,
            warmer_c: 0.0,
        };
        for (secondary, present) in model.secondaries.iter().zip(present) {
            let common = made.node();
            let taps = secondary.taps.iter().map(|_| made.node()).collect();
            made.windings.push(Winding {
                common,
                taps,
                tap_v: secondary.taps.iter().map(|tap| tap.volts.value()).collect(),
                closed: true,
                breaker_a: secondary.breaker.value(),
                present_va: present.value(),
            });
        }
        for (index, circuit) in plan.circuits.iter().enumerate() {
            if circuit.transformer == transformer {
                made.add_run(job, plan, CircuitId::new(index), circuit);
            }
        }
        made
    }

    /// A new node.
    pub fn node(&mut self) -> u32 {
        self.nodes += 1;
        self.nodes - 1
    }

    fn add_run(&mut self, job: &Job, plan: &Plan, id: CircuitId, circuit: &Circuit) {
        let winding = &self.windings[circuit.secondary];
        let terminals = Across {
            hot: winding.taps[circuit.tap],
            common: winding.common,
        };
        let ends = |joint: JointId| contact(job, circuit.joints[joint.index()].hardware).value();
        let mut run = Run {
            id,
            secondary: circuit.secondary,
            tap: circuit.tap,
            common: circuit.common,
            pieces: Vec::new(),
            joints: Vec::new(),
            leads: Vec::new(),
            loads: Vec::new(),
        };
        for (index, joint) in circuit.joints.iter().enumerate() {
            let id = JointId::new(index);
            let length = circuit.piece_length(job, plan, id).metres(job);
            let from = joint.incoming.from;
            let near = from.map_or(terminals, |from| run.joints[from.index()]);
            let contact_ohm = from.map_or(0.0, ends) + ends(id);
            let wire = cable_wire(job, joint.incoming.cable, length, contact_ohm);
            let (pair, far) = self.add_pair(near, wire);
            run.pieces.push(pair);
            run.joints.push(far);
        }
        for lead in &circuit.leads {
            let model = job.model_of(lead.fixture);
            let joint = run.joints[lead.joint.index()];
            let across = match model.lead {
                None => {
                    run.leads.push(None);
                    joint
                }
                Some(cord) => {
                    let wire = cable_wire(job, cord.cable, cord.length, ends(lead.joint));
                    let (pair, far) = self.add_pair(joint, wire);
                    run.leads.push(Some(pair));
                    far
                }
            };
            run.loads.push(self.loads.len());
            self.loads.push(Load {
                across,
                law: load_of(model),
                knee_v: KNEE_SHARE * model.window.min().value(),
                connected: true,
            });
        }
        self.runs.push(run);
    }

    fn add_pair(&mut self, near: Across, wire: Wire) -> (Pair, Across) {
        let far = Across {
            hot: self.node(),
            common: self.node(),
        };
        let hot = self.wires.len();
        for (near, far) in [(near.hot, far.hot), (near.common, far.common)] {
            self.wires.push(Wire { near, far, ..wire });
        }
        let pair = Pair {
            hot,
            common: hot + 1,
        };
        (pair, far)
    }

    /// Terminals of a secondary between a tap and its commons.
    #[must_use]
    pub fn terminals(&self, secondary: usize, tap: usize) -> Across {
        let winding = &self.windings[secondary];
        Across {
            hot: winding.taps[tap],
            common: winding.common,
        }
    }

    /// Lands a run's home run on other terminals.
    pub fn land(&mut self, run: usize, secondary: usize, tap: usize, common: usize) {
        let to = self.terminals(secondary, tap);
        let moved = &mut self.runs[run];
        (moved.secondary, moved.tap, moved.common) = (secondary, tap, common);
        let home = moved.pieces[0];
        self.wires[home.hot].near = to.hot;
        self.wires[home.common].near = to.common;
    }

    /// Adds a path between two nodes.
    pub fn link(&mut self, a: u32, b: u32, ohm: f64) {
        self.wires.push(Wire {
            near: a,
            far: b,
            cable_ohm: 0.0,
            reactance_ohm: 0.0,
            contact_ohm: ohm,
            per_celsius: 0.0,
            open: false,
        });
    }
}

/// One conductor of a length of cable.
///
/// The circuit's loop has two wire ends in each joint that a piece touches: one a conductor.
fn cable_wire(job: &Job, cable: CableId, length: Metres, contact_ohm: f64) -> Wire {
    let conductor = &job.cable(cable).conductor;
    let at = Conditions::expected(&job.rules).conductor;
    let here = resistance_at(conductor, at);
    Wire {
        near: 0,
        far: 0,
        cable_ohm: (here * length).value(),
        reactance_ohm: (conductor.reactance * length).value(),
        contact_ohm,
        per_celsius: conductor.coefficient.value() * (conductor.resistance / here),
        open: false,
    }
}
