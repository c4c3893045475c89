//! The power flow of a [`Circuitry`]: phasor voltages of all nodes.
//!
//! Each pass takes every load for the admittance that it has at the voltages of the
//! previous pass and solves the nodal equations exactly. From the unloaded side the
//! voltages of constant-power loads fall pass by pass to the operating point, by the
//! share of the drop at each pass; where none exists they fall on until the loads reach
//! the knee below which they are resistances, so that every network, however wrong, has
//! a state. The transformer's regulation is that of the planned circuits: all taps stand
//! at `V_tap (1 + reg (1 - L))`; `L` follows from the same passes.

use super::circuitry::{Across, Circuitry, LEAST_OHM, Load, Run};
use super::elimination::Elimination;
use crate::electrical::BusLoad;
use num_complex::Complex64;

/// Admittance that ties a tap to its ideal voltage, S: 20 A pull it down by 20 microvolts.
const STIFF_S: f64 = 1e6;
/// Leak from every node to earth, S, that of a meter of 10 Mohm: gives a floating part a voltage.
const LEAK_S: f64 = 1e-7;
/// Voltages that move less than this between passes have settled, V.
const SETTLED_V: f64 = 1e-6;
/// Most passes. Each fault of a working network settles in under thirty; the rest
/// settle at the knee.
const MOST_PASSES: u32 = 400;

/// A solved circuitry.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    volts: Vec<Complex64>,
    /// Factor on all tap voltages, line included.
    pub factor: f64,
    /// Apparent power at the terminals, present load included, VA.
    pub apparent_va: f64,
    /// Passes made.
    pub passes: u32,
}

impl State {
    /// Voltage between two nodes, V.
    #[must_use]
    pub fn across(&self, points: Across) -> f64 {
        (self.volts[points.hot as usize] - self.volts[points.common as usize]).norm()
    }
    /// Current in a wire, A.
    #[must_use]
    pub fn wire_amps(&self, circuitry: &Circuitry, wire: usize) -> f64 {
        self.wire_current(circuitry, wire).norm()
    }
    /// Current in a wire from its near to its far end.
    pub(super) fn wire_current(&self, circuitry: &Circuitry, wire: usize) -> Complex64 {
        let wired = &circuitry.wires[wire];
        let drop = self.volts[wired.near as usize] - self.volts[wired.far as usize];
        drop * wire_admittance(circuitry, wire)
    }
    /// Real power that a run takes at its terminals, W.
    #[must_use]
    pub fn run_watts(&self, circuitry: &Circuitry, run: &Run) -> f64 {
        let terminals = circuitry.terminals(run.secondary, run.tap);
        let volts = self.volts[terminals.hot as usize] - self.volts[terminals.common as usize];
        let current = self.wire_current(circuitry, run.pieces[0].hot);
        (volts * current.conj()).re
    }
    /// Current of a load.
    #[must_use]
    pub fn load_amps(&self, load: &Load) -> f64 {
        let volts = self.across(load.across);
        (load_admittance(load, volts) * volts).norm()
    }
}

/// Solves a circuitry.
#[must_use]
pub fn solve(circuitry: &Circuitry) -> State {
    let mut flow = Flow::of(circuitry);
    flow.settle();
    flow.state
}

struct Flow<'a> {
    circuitry: &'a Circuitry,
    elimination: Elimination,
    /// Matrix without loads.
    diagonal: Vec<Complex64>,
    off: Vec<Complex64>,
    load_slots: Vec<u32>,
    /// Unit injections of the taps: node and volts at factor 1.
    sources: Vec<(u32, u32, f64)>,
    work: (Vec<Complex64>, Vec<Complex64>),
    state: State,
}

impl<'a> Flow<'a> {
    fn of(circuitry: &'a Circuitry) -> Self {
        let sources: Vec<(u32, u32, f64)> = circuitry
            .windings
            .iter()
            .filter(|winding| winding.closed)
            .flat_map(|winding| {
                let taps = winding.taps.iter().zip(&winding.tap_v);
                taps.map(|(&tap, &volts)| (tap, winding.common, volts))
            })
            .collect();
        let wires = circuitry.wires.iter();
        let edges: Vec<(u32, u32)> = wires
            .map(|wire| (wire.near, wire.far))
            .chain(
                circuitry
                    .loads
                    .iter()
                    .map(|load| (load.across.hot, load.across.common)),
            )
            .chain(sources.iter().map(|&(tap, common, _)| (tap, common)))
            .filter(|(a, b)| a != b)
            .collect();
        let nodes = circuitry.nodes as usize;
        let elimination = Elimination::of(nodes, &edges);
        let mut flow = Self {
            circuitry,
            diagonal: vec![Complex64::new(LEAK_S, 0.0); nodes],
            off: vec![Complex64::ZERO; elimination.slot_count()],
            load_slots: circuitry
                .loads
                .iter()
                .map(|load| elimination.slot(load.across.hot, load.across.common))
                .collect(),
            elimination,
            sources,
            work: (Vec::new(), Vec::new()),
            state: State {
                volts: vec![Complex64::ZERO; nodes],
                factor: 0.0,
                apparent_va: 0.0,
                passes: 0,
            },
        };
        flow.stamp();
        flow
    }

    fn stamp(&mut self) {
        for (index, wire) in self.circuitry.wires.iter().enumerate() {
            if wire.near != wire.far && !wire.open {
                let admittance = wire_admittance(self.circuitry, index);
                let slot = self.elimination.slot(wire.near, wire.far) as usize;
                self.diagonal[wire.near as usize] += admittance;
                self.diagonal[wire.far as usize] += admittance;
                self.off[slot] -= admittance;
            }
        }
        for &(tap, common, _) in &self.sources {
            let slot = self.elimination.slot(tap, common) as usize;
            self.diagonal[tap as usize] += STIFF_S;
            self.diagonal[common as usize] += STIFF_S;
            self.off[slot] -= STIFF_S;
        }
        // The first winding's common is earth.
        self.diagonal[self.circuitry.windings[0].common as usize] += STIFF_S;
    }

    fn settle(&mut self) {
        let circuitry = self.circuitry;
        if circuitry.line <= 0.0 {
            return;
        }
        let present: f64 = circuitry
            .windings
            .iter()
            .filter(|winding| winding.closed)
            .map(|winding| winding.present_va)
            .sum();
        let unloaded = |load: f64| 1.0 + circuitry.regulation * (1.0 - load);
        let mut share = present / circuitry.rated_va;
        self.state.factor = circuitry.line * unloaded(share);
        self.pass(|load| load.law.rated_v);
        while self.state.passes < MOST_PASSES {
            let before = std::mem::take(&mut self.state.volts);
            let drawn = (self.drawn_va(&before) + present) / circuitry.rated_va;
            share = settle_share(circuitry.regulation, unloaded(share), drawn);
            self.state.factor = circuitry.line * unloaded(share);
            self.pass(|load| volts_across(&before, load.across));
            let moved = self.state.volts.iter().zip(&before);
            if moved.fold(0.0_f64, |most, (a, b)| most.max((a - b).norm())) < SETTLED_V {
                break;
            }
        }
        let volts = std::mem::take(&mut self.state.volts);
        self.state.apparent_va = self.drawn_va(&volts) + present;
        self.state.volts = volts;
    }

    /// One solution with the loads at the voltages given.
    fn pass(&mut self, volts_of: impl Fn(&Load) -> f64) {
        self.work.0.clone_from(&self.diagonal);
        self.work.1.clone_from(&self.off);
        for (load, &slot) in self.circuitry.loads.iter().zip(&self.load_slots) {
            let admittance = load_admittance(load, volts_of(load));
            self.work.0[load.across.hot as usize] += admittance;
            self.work.0[load.across.common as usize] += admittance;
            self.work.1[slot as usize] -= admittance;
        }
        let mut right = vec![Complex64::ZERO; self.diagonal.len()];
        for &(tap, common, volts) in &self.sources {
            let injected = STIFF_S * volts * self.state.factor;
            right[tap as usize] += injected;
            right[common as usize] -= injected;
        }
        self.elimination
            .solve(&mut self.work.0, &mut self.work.1, &mut right);
        self.state.volts = right;
        self.state.passes += 1;
    }

    /// Apparent power that the taps deliver.
    fn drawn_va(&self, volts: &[Complex64]) -> f64 {
        let delivered = self.sources.iter().map(|&(tap, common, source)| {
            let across = volts[tap as usize] - volts[common as usize];
            let current = STIFF_S * (source * self.state.factor - across);
            across * current.conj()
        });
        delivered.sum::<Complex64>().norm()
    }
}

/// Load share at which the taps would stand if the present one were a resistance.
///
/// `factor` is what the taps stood at, `drawn` the share drawn there. With
/// `f = 1 + reg - reg g f²`, `g = drawn / factor²`: for ordinary loads a step of the
/// fixed point, for a short, which draws many times the rating, its solution.
fn settle_share(regulation: f64, factor: f64, drawn: f64) -> f64 {
    let conductance = drawn / (factor * factor);
    if regulation <= 0.0 || conductance <= 1.0 {
        return drawn;
    }
    let (a, c) = (regulation * conductance, 1.0 + regulation);
    let settled = ((1.0 + 4.0 * a * c).sqrt() - 1.0) / (2.0 * a);
    1.0 - (settled - 1.0) / regulation
}

fn volts_across(volts: &[Complex64], points: Across) -> f64 {
    (volts[points.hot as usize] - volts[points.common as usize]).norm()
}

fn wire_admittance(circuitry: &Circuitry, wire: usize) -> Complex64 {
    let wire = &circuitry.wires[wire];
    if wire.open {
        return Complex64::ZERO;
    }
    let warmer = (1.0 + wire.per_celsius * circuitry.warmer_c).max(0.0);
    let ohm = (wire.cable_ohm * warmer + wire.contact_ohm).max(LEAST_OHM);
    Complex64::new(ohm, wire.reactance_ohm).inv()
}

/// Admittance of a load at a voltage: `conj(S(V)) / |V|²`, below its knee that of the knee.
fn load_admittance(load: &Load, volts: f64) -> Complex64 {
    if !load.connected {
        return Complex64::ZERO;
    }
    let at = volts.max(load.knee_v);
    let BusLoad {
        real_w,
        reactive_var,
        rated_v,
        exponent,
    } = load.law;
    let share = crate::electrical::power(at / rated_v, exponent) / (at * at);
    Complex64::new(real_w * share, -reactive_var * share)
}
