//! A radial low-voltage network as nodal equations see it, and its reduction:
//! buses joined by no impedance at all become one.

use super::phasor::{Block, Phasor};

/// Loop impedances at or below this are no impedance: at 25 A they would drop 25 nV.
const NO_IMPEDANCE_OHM: f64 = 1e-9;

/// A load `S(V) = rated (|V| / rated volts)^exponent`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Complex power at rated voltage, VA; positive imaginary part for a lagging load.
    pub rated_power: Phasor,
    /// Rated voltage, V, > 0.
    pub rated_volts: f64,
    /// Load exponent, >= 0.
    pub exponent: f64,
}

/// Where a bus is fed from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feed {
    /// A source, by position.
    Source(usize),
    /// An earlier bus, by position.
    Bus(usize),
}

/// A bus with the branch that feeds it.
#[derive(Clone, Debug, PartialEq)]
pub struct Bus {
    /// Where the branch comes from.
    pub feed: Feed,
    /// Loop impedance of the branch (both conductors), ohm, real part >= 0.
    pub impedance: Phasor,
    /// Loads at the bus.
    pub loads: Vec<Load>,
}

impl Bus {
    /// Current drawn by the loads of the bus at `volts`, A.
    #[must_use]
    pub fn load_amps(&self, volts: Phasor) -> Phasor {
        self.loads
            .iter()
            .map(|load| LoadLaw::new(load).amps(volts))
            .sum()
    }
}

/// The transformer behind all sources of a network.
///
/// Each source stands at its rated volts times `1 + regulation (1 - L)`, with
/// `L` = (|complex power of all circuits at the sources| + present VA) / rated VA.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// Regulation, >= 0; 0 for stiff sources.
    pub regulation: f64,
    /// Rated apparent power, VA, > 0.
    pub rated_va: f64,
    /// Load not modelled as buses, VA, >= 0.
    pub present_va: f64,
}

impl Supply {
    /// Sources that hold their volts whatever the load.
    pub const STIFF: Self = Self {
        regulation: 0.0,
        rated_va: 1.0,
        present_va: 0.0,
    };
}

/// A radial network: sources of one transformer, and buses in an order in which each feed precedes its bus.
#[derive(Clone, Debug, PartialEq)]
pub struct Network {
    /// The transformer.
    pub supply: Supply,
    /// Volts of each source at the rated load of the transformer, > 0.
    pub source_volts: Vec<f64>,
    /// Buses.
    pub buses: Vec<Bus>,
}

/// Law of a load ready for nodal equations: current `constant |V|^(exponent - 2) V`.
#[derive(Clone, Copy, Debug)]
pub(super) struct LoadLaw {
    constant: Phasor,
    exponent: f64,
}

impl LoadLaw {
    fn new(load: &Load) -> Self {
        let at_rated = power(load.rated_volts, load.exponent);
        Self {
            constant: load.rated_power.conj() / at_rated,
            exponent: load.exponent,
        }
    }
    /// Current drawn at `volts`: `conj(S(V) / V)`.
    pub(super) fn amps(&self, volts: Phasor) -> Phasor {
        let square = volts.square();
        self.constant * volts * (power(square.sqrt(), self.exponent) / square)
    }
    /// Complex power drawn at `volts`.
    pub(super) fn power_va(&self, volts: Phasor) -> Phasor {
        self.constant.conj() * power(volts.magnitude(), self.exponent)
    }
    /// Exponent of the law.
    pub(super) const fn exponent(&self) -> f64 {
        self.exponent
    }
    /// Derivative of [`Self::amps`] by (real, imaginary) part of the voltage.
    pub(super) fn slope(&self, volts: Phasor) -> Block {
        let square = volts.square();
        let law = self.constant * (power(square.sqrt(), self.exponent) / square);
        let radial = law * volts * ((self.exponent - 2.0) / square);
        Block::of(law) + Block::outer(radial, volts)
    }
}

/// `base^exponent`; the common exponents take the exact path.
fn power(base: f64, exponent: f64) -> f64 {
    if exponent == 0.0 {
        1.0
    } else if exponent == 1.0 {
        base
    } else if exponent == 2.0 {
        base * base
    } else {
        base.powf(exponent)
    }
}

/// Where a bus of the network went in the reduced one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Spot {
    /// It is a source terminal.
    Source(usize),
    /// It is this unknown.
    Node(usize),
}

/// An unknown of the reduced network.
#[derive(Clone, Debug)]
pub(super) struct Node {
    /// What feeds it.
    pub(super) feed: Spot,
    /// Admittance of the feeding branch, S.
    pub(super) admittance: Phasor,
    /// Loads on it.
    pub(super) loads: Vec<LoadLaw>,
}

/// The network without its zero impedances.
#[derive(Clone, Debug)]
pub(super) struct Reduced {
    /// Where each bus went.
    pub(super) spots: Vec<Spot>,
    /// Unknowns, feeds first.
    pub(super) nodes: Vec<Node>,
    /// Loads directly on each source.
    pub(super) source_loads: Vec<Vec<LoadLaw>>,
}

impl Reduced {
    /// Joins buses that no impedance separates; linear in the number of buses.
    pub(super) fn of(network: &Network) -> Self {
        let mut reduced = Self {
            spots: Vec::with_capacity(network.buses.len()),
            nodes: Vec::new(),
            source_loads: vec![Vec::new(); network.source_volts.len()],
        };
        for bus in &network.buses {
            let feed = match bus.feed {
                Feed::Source(source) => Spot::Source(source),
                Feed::Bus(earlier) => reduced.spots[earlier],
            };
            let spot = if bus.impedance.magnitude() <= NO_IMPEDANCE_OHM {
                feed
            } else {
                reduced.nodes.push(Node {
                    feed,
                    admittance: bus.impedance.inverse(),
                    loads: Vec::new(),
                });
                Spot::Node(reduced.nodes.len() - 1)
            };
            let loads = bus.loads.iter().map(LoadLaw::new);
            match spot {
                Spot::Source(source) => reduced.source_loads[source].extend(loads),
                Spot::Node(node) => reduced.nodes[node].loads.extend(loads),
            }
            reduced.spots.push(spot);
        }
        reduced
    }
}
