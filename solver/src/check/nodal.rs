//! Node voltages of a radial network by Newton's method on the complex nodal
//! equations, the transformer's regulation being one more unknown; not a sweep.
//!
//! The unknowns are the complex voltages `V` of all buses and the scale `s` of
//! the sources, with one current balance per bus and
//! `s = 1 + regulation (1 - L(V, s))`. Each Newton step solves the bordered
//! linear system by eliminating 2x2 blocks from the leaves to the sources:
//! linear in the number of buses.
//!
//! **Existence.** Loads that keep their power as the voltage falls (exponent
//! below 1) have no operating point past a fold. The solution wanted is the one
//! connected with the unloaded network, so the loads are raised from nothing to
//! all in steps (a continuation in the load level). A step is taken only when
//! Newton settles without any bus losing half its voltage in one iteration and
//! every pivot block keeps the sign it has without load; in the real symmetric
//! case that says that the Jacobian is positive definite, which among all
//! solutions only the operating one has. A step that fails is halved; below the
//! least step the network is said to have collapsed, and no number is given.

use super::network::{Feed, Network, Reduced, Spot};
use super::phasor::{Block, Phasor};

/// Settled when no voltage moves by more than this share of the highest source voltage.
const SETTLED: f64 = 1e-11;
/// Iterations before a step of the continuation counts as failed; Newton needs about five.
const MOST_ITERATIONS: usize = 40;
/// First step of the load level.
const FIRST_STEP: f64 = 0.5;
/// Below this step of the load level there is no further solution: the margin at which methods must agree is 1e-6.
const LEAST_STEP: f64 = 1e-9;
/// A bus below this share of the highest source is dark: no operating point. Loads whose current vanishes with their
/// voltage can be dragged toward zero without a fold, where nothing but rounding is left to agree about.
const LOWEST_VOLTAGE: f64 = 1e-6;

/// There is no operating point: the loads cannot be supplied.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Collapse {
    /// Highest share of all loads, 0..1, at which an operating point was found.
    pub at_load_share: f64,
}

impl std::fmt::Display for Collapse {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "the load collapses: no operating point beyond {:.6} of it",
            self.at_load_share
        )
    }
}
impl std::error::Error for Collapse {}

/// The operating point of a network.
#[derive(Clone, Debug, PartialEq)]
pub struct OperatingPoint {
    /// Factor on every source's rated volts that the regulation gives.
    pub source_scale: f64,
    /// Voltage of each bus, V, against the sources' phase.
    pub volts: Vec<Phasor>,
    /// Current of the branch that feeds each bus, A: the load currents behind it.
    pub branch_amps: Vec<Phasor>,
    /// Current of each source, A.
    pub source_amps: Vec<Phasor>,
    /// Complex power of all circuits at the sources, VA (without the present load).
    pub terminal_va: Phasor,
    /// Largest amount by which the drop along a branch fails to be impedance times current, V: what is left of the equations.
    pub residual_volts: f64,
}

/// Finds the operating point with all loads on.
///
/// # Errors
/// [`Collapse`] when none is connected with the unloaded network.
pub fn solve(network: &Network) -> Result<OperatingPoint, Collapse> {
    let reduced = Reduced::of(network);
    let equations = Equations {
        network,
        reduced: &reduced,
        top_volts: network.source_volts.iter().fold(0.0, |a, &b| a.max(b)),
    };
    let mut state = equations.unloaded();
    let mut level = 0.0;
    let mut step = FIRST_STEP;
    while level < 1.0 {
        let next = f64::min(level + step, 1.0);
        match equations.settle(&state, next) {
            Some(settled) => {
                state = settled;
                level = next;
                step *= 2.0;
            }
            None => {
                step = (next - level) / 2.0;
                if step < LEAST_STEP {
                    return Err(Collapse {
                        at_load_share: level,
                    });
                }
            }
        }
    }
    Ok(equations.operating_point(&state))
}

/// Voltages of the unknowns and scale of the sources.
#[derive(Clone, Debug)]
struct State {
    volts: Vec<Phasor>,
    scale: f64,
}

/// A Newton step.
struct Step {
    volts: Vec<Phasor>,
    scale: f64,
}

/// Elimination of one bus: what the forward pass needs.
struct Pivot {
    inverse: Block,
    balance: Phasor,
    border: Phasor,
}

struct Equations<'a> {
    network: &'a Network,
    reduced: &'a Reduced,
    top_volts: f64,
}

impl Equations<'_> {
    /// The exact solution without load; the present load still acts on the regulation.
    fn unloaded(&self) -> State {
        let supply = &self.network.supply;
        let scale = 1.0 + supply.regulation * (1.0 - supply.present_va / supply.rated_va);
        let mut volts = Vec::with_capacity(self.reduced.nodes.len());
        for node in &self.reduced.nodes {
            volts.push(match node.feed {
                Spot::Source(source) => Phasor::real(self.network.source_volts[source] * scale),
                Spot::Node(earlier) => volts[earlier],
            });
        }
        State { volts, scale }
    }

    /// Newton at one load level, started from the solution at a lower one.
    fn settle(&self, start: &State, level: f64) -> Option<State> {
        let mut state = start.clone();
        let mut polished = false;
        for _ in 0..MOST_ITERATIONS {
            let step = self.newton_step(&state, level)?;
            let moved = self.advance(&mut state, &step)?;
            if polished {
                return Some(state);
            }
            // One iteration past the tolerance squares the remaining error.
            polished = moved <= SETTLED * self.top_volts;
        }
        None
    }

    /// Takes a step; `None` when a bus would lose half its voltage at once or fall to nothing.
    fn advance(&self, state: &mut State, step: &Step) -> Option<f64> {
        let mut largest = 0.0_f64;
        for (volts, change) in state.volts.iter_mut().zip(&step.volts) {
            let moved = change.magnitude();
            let lawful = moved <= 0.5 * volts.magnitude();
            if !lawful {
                return None;
            }
            *volts += *change;
            if volts.magnitude() <= LOWEST_VOLTAGE * self.top_volts {
                return None;
            }
            largest = largest.max(moved);
        }
        let lawful = step.scale.abs() <= 0.5 * state.scale.abs();
        if !lawful {
            return None;
        }
        state.scale += step.scale;
        Some(largest.max(step.scale.abs() * self.top_volts))
    }

    fn feed_volts(&self, state: &State, feed: Spot) -> Phasor {
        match feed {
            Spot::Source(source) => Phasor::real(self.network.source_volts[source] * state.scale),
            Spot::Node(node) => state.volts[node],
        }
    }

    /// Solves the bordered system for one Newton step; `None` when a pivot has changed its sign.
    fn newton_step(&self, state: &State, level: f64) -> Option<Step> {
        let pivots = self.eliminate(state, level)?;
        let count = self.reduced.nodes.len();
        let mut balance = vec![Phasor::ZERO; count];
        let mut border = vec![Phasor::ZERO; count];
        for (index, (node, pivot)) in self.reduced.nodes.iter().zip(&pivots).enumerate() {
            let from_feed = |values: &[Phasor]| match node.feed {
                Spot::Source(_) => Phasor::ZERO,
                Spot::Node(earlier) => node.admittance * values[earlier],
            };
            balance[index] = pivot.inverse.apply(pivot.balance + from_feed(&balance));
            border[index] = pivot.inverse.apply(pivot.border + from_feed(&border));
        }
        let regulation = self.regulation_row(state, level);
        let along = |values: &[Phasor]| -> f64 {
            let terms = regulation.by_volts.iter().zip(values);
            terms.map(|(k, v)| k.re * v.re + k.im * v.im).sum()
        };
        // J dV + b ds = -F with dV = u - w ds; the last row gives ds.
        let pivot = regulation.by_scale - along(&border);
        let lawful = pivot > 0.0;
        if !lawful {
            return None;
        }
        let scale = (-regulation.value - along(&balance)) / pivot;
        let volts = balance
            .iter()
            .zip(&border)
            .map(|(&u, &w)| u - w * scale)
            .collect();
        Some(Step { volts, scale })
    }

    /// Block elimination from the leaves.
    ///
    /// `own` is the Jacobian block of a bus without the branch that feeds it:
    /// eliminating child `k` adds `Y (Y + own_k)^-1 own_k`, which has no
    /// cancellation however short the branch.
    fn eliminate(&self, state: &State, level: f64) -> Option<Vec<Pivot>> {
        let nodes = &self.reduced.nodes;
        let mut own = vec![Block::default(); nodes.len()];
        let mut balance = vec![Phasor::ZERO; nodes.len()];
        for (index, node) in nodes.iter().enumerate() {
            let volts = state.volts[index];
            for load in &node.loads {
                own[index] = own[index] + load.slope(volts) * level;
                balance[index] -= load.amps(volts) * level;
            }
            let flow = node.admittance * (volts - self.feed_volts(state, node.feed));
            balance[index] -= flow;
            if let Spot::Node(earlier) = node.feed {
                balance[earlier] += flow;
            }
        }
        let mut pivots = Vec::with_capacity(nodes.len());
        for (index, node) in nodes.iter().enumerate().rev() {
            let branch = Block::of(node.admittance);
            let pivot = branch + own[index];
            let lawful = pivot.determinant() > 0.0;
            if !lawful {
                return None;
            }
            let inverse = pivot.inverse();
            let mut border = Phasor::ZERO;
            match node.feed {
                Spot::Source(source) => {
                    border = -(node.admittance * self.network.source_volts[source]);
                }
                Spot::Node(earlier) => {
                    own[earlier] = own[earlier] + branch * inverse * own[index];
                    let passed_on = branch.apply(inverse.apply(balance[index]));
                    balance[earlier] += passed_on;
                }
            }
            pivots.push(Pivot {
                inverse,
                balance: balance[index],
                border,
            });
        }
        pivots.reverse();
        Some(pivots)
    }

    /// Complex power of all circuits at the sources.
    fn terminal_va(&self, state: &State, level: f64) -> Phasor {
        let mut total = Phasor::ZERO;
        for (index, node) in self.reduced.nodes.iter().enumerate() {
            if let Spot::Source(_) = node.feed {
                let source = self.feed_volts(state, node.feed);
                let amps = node.admittance * (source - state.volts[index]);
                total += source * amps.conj();
            }
        }
        for (source, loads) in self.reduced.source_loads.iter().enumerate() {
            let volts = self.feed_volts(state, Spot::Source(source));
            for load in loads {
                total += load.power_va(volts) * level;
            }
        }
        total
    }

    /// The row `s - 1 - regulation (1 - L) = 0` and its derivatives.
    fn regulation_row(&self, state: &State, level: f64) -> RegulationRow {
        let supply = &self.network.supply;
        let total = self.terminal_va(state, level);
        let apparent = total.magnitude();
        let load = (apparent + supply.present_va) / supply.rated_va;
        let value = state.scale - 1.0 - supply.regulation * (1.0 - load);
        let mut row = RegulationRow {
            value,
            by_scale: 1.0,
            by_volts: vec![Phasor::ZERO; self.reduced.nodes.len()],
        };
        // Without load the apparent power has no derivative; its step is then left to the next iteration.
        if supply.regulation == 0.0 || apparent <= 0.0 {
            return row;
        }
        let weight = total.conj() * (supply.regulation / supply.rated_va / apparent);
        for (index, node) in self.reduced.nodes.iter().enumerate() {
            let Spot::Source(source) = node.feed else {
                continue;
            };
            let rated = self.network.source_volts[source];
            let volts = rated * state.scale;
            let amps = node.admittance * (Phasor::real(volts) - state.volts[index]);
            let by_scale = amps.conj() * rated + node.admittance.conj() * (volts * rated);
            row.by_scale += (weight * by_scale).re;
            // d(total) = -volts conj(Y) conj(dV): the real part of k conj(dV) is k . dV.
            row.by_volts[index] = weight * node.admittance.conj() * -volts;
        }
        for (source, loads) in self.reduced.source_loads.iter().enumerate() {
            let volts = self.feed_volts(state, Spot::Source(source));
            for load in loads {
                let by_scale = load.power_va(volts) * (level * load.exponent() / state.scale);
                row.by_scale += (weight * by_scale).re;
            }
        }
        row
    }

    fn operating_point(&self, state: &State) -> OperatingPoint {
        let buses = &self.network.buses;
        let volts: Vec<Phasor> = self
            .reduced
            .spots
            .iter()
            .map(|&spot| self.feed_volts(state, spot))
            .collect();
        let mut branch_amps: Vec<Phasor> = buses
            .iter()
            .zip(&volts)
            .map(|(bus, &volts)| bus.load_amps(volts))
            .collect();
        let mut source_amps = vec![Phasor::ZERO; self.network.source_volts.len()];
        let mut residual_volts = 0.0_f64;
        for (index, bus) in buses.iter().enumerate().rev() {
            let amps = branch_amps[index];
            let before = match bus.feed {
                Feed::Source(source) => {
                    source_amps[source] += amps;
                    self.feed_volts(state, Spot::Source(source))
                }
                Feed::Bus(earlier) => {
                    branch_amps[earlier] += amps;
                    volts[earlier]
                }
            };
            let left = before - volts[index] - bus.impedance * amps;
            residual_volts = residual_volts.max(left.magnitude());
        }
        OperatingPoint {
            source_scale: state.scale,
            volts,
            branch_amps,
            source_amps,
            terminal_va: self.terminal_va(state, 1.0),
            residual_volts,
        }
    }
}

/// The regulation equation at a state.
struct RegulationRow {
    value: f64,
    by_scale: f64,
    by_volts: Vec<Phasor>,
}
