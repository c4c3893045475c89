//! Every single fault of an installation, with the sizes at which each is tried.

use super::{Element, Fault, Spot};
use crate::ids::CableId;
use crate::job::Job;
use crate::job::lighting::Control;
use crate::plan::{Circuit, Plan};
use crate::service::circuitry::Circuitry;

/// A fault and the sizes at which it is simulated, ascending in effect.
///
/// Readings between two sizes are interpolated. A fault without size has the one size 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Hypothesis {
    /// What is wrong.
    pub fault: Fault,
    /// Sizes.
    pub sizes: &'static [f64],
    /// Whether sizes between two of them occur.
    pub continuous: bool,
}

const NONE: &[f64] = &[1.0];
const PHASES: &[f64] = &[0.0, 1.0];
const SHORT_OHM: &[f64] = &[0.3, 0.15, 0.07, 0.03, 0.01, 0.002];
const LOW: &[f64] = &[0.94, 0.91, 0.87, 0.82];
const HIGH: &[f64] = &[1.06, 1.09, 1.13, 1.18];
const PIECE_OHM: &[f64] = &[0.03, 0.06, 0.12, 0.25, 0.5, 1.0, 2.0, 5.0, 20.0];
const LEAD_OHM: &[f64] = &[0.5, 1.0, 2.0, 4.0, 8.0, 20.0, 60.0];
const WET_OHM: &[f64] = &[40.0, 20.0, 12.0, 8.0, 5.0, 3.0, 2.0];
const LONGER: &[f64] = &[1.3, 1.6, 2.0, 2.5, 3.0];
const LIGHTER: &[f64] = &[0.7, 0.5, 0.3, 0.15];
const HEAVIER: &[f64] = &[1.5, 2.0, 3.0, 5.0, 8.0];
const EXTRA_VA: &[f64] = &[10.0, 20.0, 35.0, 60.0, 100.0, 150.0];

/// What switches the transformer, as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Controls {
    /// A light sensor may be there.
    pub sensor: bool,
    /// A clock may be there.
    pub clock: bool,
}

impl Controls {
    /// What may be there where nothing is said: both.
    pub const UNKNOWN: Self = Self {
        sensor: true,
        clock: true,
    };

    /// What the job says of a control; both may be there where it says nothing.
    #[must_use]
    pub const fn of(control: Option<Control>) -> Self {
        match control {
            None | Some(Control::SensorAndClock) => Self::UNKNOWN,
            Some(Control::Sensor) => Self {
                sensor: true,
                clock: false,
            },
            Some(Control::Clock | Control::AstronomicClock) => Self {
                sensor: false,
                clock: true,
            },
        }
    }
}

/// Every single fault, in a fixed order.
///
/// # Panics
/// When an id of the plan was made for another job.
#[must_use]
pub fn hypotheses(
    job: &Job,
    plan: &Plan,
    wiring: &Circuitry,
    controls: Controls,
) -> Vec<Hypothesis> {
    let mut found = Found(Vec::new());
    mains(&mut found, controls);
    terminals(&mut found, wiring);
    for (run, wired) in wiring.runs.iter().enumerate() {
        let circuit = &plan.circuits[wired.id.index()];
        pieces(&mut found, job, circuit, run);
        fixtures(&mut found, wiring, run);
    }
    meetings(&mut found, plan, wiring);
    found.0
}

struct Found(Vec<Hypothesis>);

impl Found {
    fn plain(&mut self, fault: Fault) {
        self.sized(fault, NONE);
    }
    fn sized(&mut self, fault: Fault, sizes: &'static [f64]) {
        self.0.push(Hypothesis {
            fault,
            sizes,
            continuous: sizes != PHASES,
        });
    }
}

fn mains(found: &mut Found, controls: Controls) {
    for fault in [Fault::MainsOff, Fault::GroundFault, Fault::SwitchOff] {
        found.plain(fault);
    }
    if controls.clock {
        found.plain(Fault::ClockOff);
    }
    if controls.sensor {
        found.plain(Fault::SensorOff);
        found.sized(Fault::SensorLit, PHASES);
    }
    found.plain(Fault::TransformerDead);
    found.sized(Fault::CutOut, PHASES);
    found.sized(Fault::LineLow, LOW);
    found.sized(Fault::LineHigh, HIGH);
}

fn terminals(found: &mut Found, wiring: &Circuitry) {
    for (index, winding) in wiring.windings.iter().enumerate() {
        let landed = || wiring.runs.iter().filter(move |run| run.secondary == index);
        if landed().next().is_none() {
            continue;
        }
        found.plain(Fault::BreakerOpen(index));
        found.plain(Fault::ShortTripped(index));
        let commons: Vec<usize> = landed().map(|run| run.common).collect();
        for (run, wired) in wiring.runs.iter().enumerate() {
            if wired.secondary != index {
                continue;
            }
            for tap in (0..winding.taps.len()).filter(|&tap| tap != wired.tap) {
                found.plain(Fault::WrongTap(run, tap));
            }
            let mut others: Vec<usize> = commons.clone();
            others.retain(|&common| common != wired.common);
            others.sort_unstable();
            others.dedup();
            for common in others {
                found.plain(Fault::CommonMoved(run, common));
            }
        }
    }
    for a in 0..wiring.runs.len() {
        for b in a + 1..wiring.runs.len() {
            found.plain(Fault::Swapped(a, b));
        }
    }
}

fn pieces(found: &mut Found, job: &Job, circuit: &Circuit, run: usize) {
    let thinner = |than: CableId| {
        let cables = (0..job.cables.len()).map(CableId::new);
        cables.filter(move |&id| {
            let cable = job.cable(id);
            (cable.allowed.branch || cable.allowed.home_run) && cable.size < job.cable(than).size
        })
    };
    for (joint, built) in circuit.joints.iter().enumerate() {
        let piece = Element::Piece(run, joint);
        found.plain(Fault::Open(piece));
        found.sized(Fault::Resistive(piece), PIECE_OHM);
        found.sized(Fault::Longer(run, joint), LONGER);
        found.sized(Fault::Wet(run, joint), WET_OHM);
        found.sized(Fault::ExtraLoad(run, joint), EXTRA_VA);
        found.sized(Fault::ShortHeld(Spot::Joint(run, joint)), SHORT_OHM);
        for cable in thinner(built.incoming.cable) {
            found.plain(Fault::ThinPiece(run, joint, cable));
        }
    }
    if circuit.joints.len() > 1 {
        let thickest = circuit
            .joints
            .iter()
            .map(|joint| joint.incoming.cable)
            .max_by(|&a, &b| {
                job.cable(a)
                    .size
                    .value()
                    .total_cmp(&job.cable(b).size.value())
            })
            .expect("a circuit has a joint");
        for cable in thinner(thickest) {
            found.plain(Fault::ThinRun(run, cable));
        }
    }
}

fn fixtures(found: &mut Found, wiring: &Circuitry, run: usize) {
    for (lead, cord) in wiring.runs[run].leads.iter().enumerate() {
        if cord.is_some() {
            let element = Element::Lead(run, lead);
            found.plain(Fault::Open(element));
            found.sized(Fault::Resistive(element), LEAD_OHM);
            found.sized(Fault::ShortHeld(Spot::Fixture(run, lead)), SHORT_OHM);
        }
        found.plain(Fault::Missing(run, lead));
        found.plain(Fault::Dead(run, lead));
        found.sized(Fault::Lighter(run, lead), LIGHTER);
        found.sized(Fault::Heavier(run, lead), HEAVIER);
    }
}

/// Where two circuits have joints at one node, and where their pieces begin at one place.
fn meetings(found: &mut Found, plan: &Plan, wiring: &Circuitry) {
    let circuit = |run: usize| &plan.circuits[wiring.runs[run].id.index()];
    for a in 0..wiring.runs.len() {
        for b in a + 1..wiring.runs.len() {
            let (at_a, at_b) = (circuit(a), circuit(b));
            for (i, one) in at_a.joints.iter().enumerate() {
                for (j, other) in at_b.joints.iter().enumerate() {
                    if one.node == other.node {
                        found.plain(Fault::Joined((a, i), (b, j)));
                    }
                    let begins = |circuit: &Circuit, joint: usize| {
                        let from = circuit.joints[joint].incoming.from;
                        from.map(|from| circuit.joints[from.index()].node)
                    };
                    let same_tap = (wiring.runs[a].secondary, wiring.runs[a].tap)
                        == (wiring.runs[b].secondary, wiring.runs[b].tap);
                    let (from_a, from_b) = (begins(at_a, i), begins(at_b, j));
                    if from_a == from_b && !(from_a.is_none() && same_tap) {
                        found.plain(Fault::Crossed((a, i), (b, j)));
                    }
                }
            }
        }
    }
}
