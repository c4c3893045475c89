//! Making an installation faulty.

use super::{Element, Fault, Spot};
use crate::electrical::BusLoad;
use crate::electrical::conductor::resistance_at;
use crate::ids::CableId;
use crate::job::Job;
use crate::plan::Plan;
use crate::service::circuitry::{Across, Circuitry, Load, Pair};
use crate::service::condition::Condition;
use crate::service::flow::State;

/// Multiple of its rating at which a breaker opens within minutes: UL 489 asks a breaker
/// up to 50 A to open at 200 % within some minutes (from memory).
pub(crate) const SURELY_TRIPS: f64 = 2.0;
/// Resistance of two conductors pressed together, ohm.
const PRESSED_OHM: f64 = 0.002;

/// What became of an afflicted installation.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// It stands so.
    Stands(Box<(Condition, State)>),
    /// The fault cannot be so: a short that should be held trips the breaker, or the
    /// other way round.
    Impossible,
}

/// Puts faults, with their sizes, into an installation and solves it.
///
/// A secondary that carries twice its breaker's rating trips. What each size means
/// is said at [`Fault`].
///
/// # Panics
/// When a fault names a part that the installation does not have.
#[must_use]
pub fn afflict(job: &Job, plan: &Plan, healthy: &Condition, faults: &[(Fault, f64)]) -> Outcome {
    let mut condition = healthy.clone();
    for &(fault, size) in faults {
        put(job, plan, &mut condition, fault, size);
    }
    let mut state = condition.solve();
    let held = faults
        .iter()
        .any(|(fault, _)| matches!(fault, Fault::ShortHeld(_)));
    let over = overloaded(&condition, &state);
    if over.iter().any(|&tripped| tripped) {
        if held {
            return Outcome::Impossible;
        }
        for (trip, over) in condition.trips.iter_mut().zip(over) {
            trip.tripped |= over;
        }
        state = condition.solve();
    }
    Outcome::Stands(Box::new((condition, state)))
}

/// Secondaries that carry so much that their breaker opens.
fn overloaded(condition: &Condition, state: &State) -> Vec<bool> {
    let windings = condition.circuitry.windings.iter().enumerate();
    windings
        .map(|(secondary, winding)| {
            secondary_amps(condition, state, secondary) >= SURELY_TRIPS * winding.breaker_a
        })
        .collect()
}

/// Largest current at the terminals of a secondary: on its taps or on its commons.
pub(crate) fn secondary_amps(condition: &Condition, state: &State, secondary: usize) -> f64 {
    let wiring = &condition.circuitry;
    let sum = |hot: bool| {
        let landed = wiring.runs.iter().filter(|run| run.secondary == secondary);
        let wires = landed.map(|run| {
            let home = run.pieces[0];
            if hot { home.hot } else { home.common }
        });
        let currents = wires.map(|wire| state.wire_current(wiring, wire).norm());
        currents.sum::<f64>()
    };
    sum(true).max(sum(false))
}

fn put(job: &Job, plan: &Plan, condition: &mut Condition, fault: Fault, size: f64) {
    let supply = &mut condition.supply;
    let wiring = &mut condition.circuitry;
    match fault {
        Fault::MainsOff => supply.receptacle = false,
        Fault::GroundFault => (supply.receptacle, supply.ground_fault) = (false, true),
        Fault::SwitchOff => {
            (supply.cord, supply.covered, supply.by_hand) = (false, false, false);
        }
        Fault::ClockOff => (supply.cord, supply.covered) = (false, false),
        Fault::SensorOff => (supply.cord, supply.by_hand) = (false, false),
        Fault::SensorLit => {
            let lit = size > 0.5;
            (supply.cord, supply.by_hand, supply.steady) = (lit, lit, false);
        }
        Fault::TransformerDead => supply.primary = false,
        Fault::CutOut => {
            supply.primary = size > 0.5;
            condition
                .trips
                .iter_mut()
                .for_each(|trip| trip.cycles = true);
        }
        Fault::BreakerOpen(secondary) | Fault::ShortTripped(secondary) => {
            condition.trips[secondary].tripped = true;
        }
        Fault::ShortHeld(spot) => {
            let across = across(wiring, spot);
            wiring.link(across.hot, across.common, size);
        }
        Fault::LineLow | Fault::LineHigh => condition.line *= size,
        Fault::WrongTap(run, tap) => {
            let landed = &wiring.runs[run];
            let (secondary, common) = (landed.secondary, landed.common);
            wiring.land(run, secondary, tap, common);
        }
        Fault::Swapped(a, b) => swap(condition, a, b),
        Fault::CommonMoved(run, common) => wiring.runs[run].common = common,
        Fault::Joined(a, b) => {
            let (a, b) = (wiring.runs[a.0].joints[a.1], wiring.runs[b.0].joints[b.1]);
            wiring.link(a.hot, b.hot, PRESSED_OHM);
            wiring.link(a.common, b.common, PRESSED_OHM);
        }
        Fault::Crossed(a, b) => {
            let (a, b) = (
                wiring.runs[a.0].pieces[a.1].hot,
                wiring.runs[b.0].pieces[b.1].hot,
            );
            let near = wiring.wires[a].near;
            wiring.wires[a].near = wiring.wires[b].near;
            wiring.wires[b].near = near;
        }
        Fault::Open(element) => {
            let wire = pair(wiring, element).hot;
            wiring.wires[wire].open = true;
        }
        Fault::Resistive(element) => {
            let wire = pair(wiring, element).hot;
            wiring.wires[wire].contact_ohm += size;
        }
        Fault::Wet(run, joint) => {
            let across = wiring.runs[run].joints[joint];
            wiring.link(across.hot, across.common, size);
        }
        Fault::ThinPiece(run, joint, cable) => thin(job, plan, wiring, (run, joint), cable),
        Fault::ThinRun(run, cable) => {
            for joint in 0..wiring.runs[run].pieces.len() {
                thin(job, plan, wiring, (run, joint), cable);
            }
        }
        Fault::Longer(run, joint) => stretch(wiring, wiring.runs[run].pieces[joint], size),
        Fault::Missing(run, lead) | Fault::Dead(run, lead) => {
            let load = wiring.runs[run].loads[lead];
            wiring.loads[load].connected = false;
        }
        Fault::Lighter(run, lead) | Fault::Heavier(run, lead) => {
            let load = wiring.runs[run].loads[lead];
            wiring.loads[load].law.real_w *= size;
            wiring.loads[load].law.reactive_var *= size;
        }
        Fault::ExtraLoad(run, joint) => extra(wiring, run, joint, size),
    }
}

fn across(wiring: &Circuitry, spot: Spot) -> Across {
    match spot {
        Spot::Joint(run, joint) => wiring.runs[run].joints[joint],
        Spot::Fixture(run, lead) => wiring.loads[wiring.runs[run].loads[lead]].across,
    }
}

fn pair(wiring: &Circuitry, element: Element) -> Pair {
    match element {
        Element::Piece(run, joint) => wiring.runs[run].pieces[joint],
        Element::Lead(run, lead) => {
            wiring.runs[run].leads[lead].expect("hypotheses are made only of leads that are there")
        }
    }
}

/// Both home runs on one another's terminals; whoever reads at a label then reads the other run.
fn swap(condition: &mut Condition, a: usize, b: usize) {
    let wiring = &mut condition.circuitry;
    let place = |run: usize| {
        let run = &wiring.runs[run];
        (run.secondary, run.tap, run.common)
    };
    let (at_a, at_b) = (place(a), place(b));
    wiring.land(a, at_b.0, at_b.1, at_b.2);
    wiring.land(b, at_a.0, at_a.1, at_a.2);
    condition.labelled.swap(a, b);
}

fn thin(job: &Job, plan: &Plan, wiring: &mut Circuitry, piece: (usize, usize), cable: CableId) {
    let circuit = &plan.circuits[wiring.runs[piece.0].id.index()];
    let planned = circuit.joints[piece.1].incoming.cable;
    if job.cable(cable).size >= job.cable(planned).size {
        return;
    }
    let at = job.rules.temperatures.expected;
    let ohm = |cable| resistance_at(&job.cable(cable).conductor, at);
    let factor = ohm(cable) / ohm(planned);
    stretch(wiring, wiring.runs[piece.0].pieces[piece.1], factor);
}

fn stretch(wiring: &mut Circuitry, pair: Pair, factor: f64) {
    for wire in [pair.hot, pair.common] {
        wiring.wires[wire].cable_ohm *= factor;
        wiring.wires[wire].reactance_ohm *= factor;
    }
}

/// A load of constant power at the rated voltage of the circuit's first fixture.
fn extra(wiring: &mut Circuitry, run: usize, joint: usize, va: f64) {
    let like = wiring.loads[wiring.runs[run].loads[0]];
    let across = wiring.runs[run].joints[joint];
    wiring.loads.push(Load {
        across,
        law: BusLoad {
            real_w: va,
            reactive_var: 0.0,
            rated_v: like.law.rated_v,
            exponent: 0.0,
        },
        ..like
    });
}
