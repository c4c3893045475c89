//! Low-case voltages of all circuits of one transformer: every load in phase
//! at its VA, conductors hot, lengths grown, line low.
//!
//! Plain fixed-point iteration on the currents, half a step at a time.

use super::circuits::Shape;
use duskwright_solver::ids::FixtureId;
use duskwright_solver::job::{Cable, Job};

/// A circuit with its gauges and the tap it starts from.
pub struct Live<'a> {
    pub shape: &'a Shape,
    /// Cable of the piece that feeds each joint.
    pub gauges: &'a [usize],
    /// Tap voltage at rated load, nominal line, V.
    pub tap_volts: f64,
}

/// What came out.
pub struct Solved {
    /// Voltage of each fixture: `(fixture, V)`.
    pub fixtures: Vec<(usize, f64)>,
    /// Current of each piece by circuit, A.
    pub pieces: Vec<Vec<f64>>,
    /// Current of each circuit, A.
    pub circuits: Vec<f64>,
    /// VA at the terminals, present load included.
    pub apparent: f64,
}

fn ohms(job: &Job, cable: &Cable, metres: f64) -> f64 {
    let warm = job.rules.temperatures.low_case.value() - cable.conductor.at.value();
    let per_metre =
        cable.conductor.resistance.value() * (1.0 + cable.conductor.coefficient.value() * warm);
    2.0 * per_metre * metres * job.rules.length_growth
}

fn fixture_current(job: &Job, fixture: usize, volts: f64) -> f64 {
    let model = job.model_of(FixtureId::new(fixture));
    let (rated, exponent) = (model.rated.value(), model.exponent.value());
    model.apparent.value() / volts * (volts / rated).powf(exponent)
}

/// Solves the circuits of a transformer together; `None` when no steady state is reached.
pub fn solve(
    job: &Job,
    rated_va: f64,
    regulation: f64,
    present_va: f64,
    live: &[Live<'_>],
) -> Option<Solved> {
    let source = |tap: f64, apparent: f64| {
        tap * job.rules.line.low * (1.0 + regulation * (1.0 - apparent / rated_va))
    };
    let mut apparent = present_va;
    let mut currents: Vec<Vec<f64>> = live
        .iter()
        .map(|one| vec![0.0; one.shape.leads.len()])
        .collect();
    let mut solved = None;
    for round in 0..4000 {
        let mut change = 0.0_f64;
        let mut result = Solved {
            fixtures: Vec::new(),
            pieces: Vec::new(),
            circuits: Vec::new(),
            apparent: present_va,
        };
        for (one, currents) in live.iter().zip(currents.iter_mut()) {
            let start = source(one.tap_volts, apparent);
            let pieces = piece_currents(one.shape, currents);
            let joints = joint_volts(job, one, &pieces, start);
            let total: f64 = currents.iter().sum();
            result.apparent += start * total;
            for (l, &(fixture, joint)) in one.shape.leads.iter().enumerate() {
                let lead = job.model_of(FixtureId::new(fixture)).lead;
                let drop = lead.map_or(0.0, |lead| {
                    ohms(job, job.cable(lead.cable), lead.length.value()) * currents[l]
                });
                let volts = joints[joint] - drop;
                if volts <= 0.1 {
                    return None;
                }
                let wanted = fixture_current(job, fixture, volts);
                change = change.max((wanted - currents[l]).abs());
                currents[l] += 0.5 * (wanted - currents[l]);
                result.fixtures.push((fixture, volts));
            }
            result.pieces.push(pieces);
            result.circuits.push(total);
        }
        change = change.max((result.apparent - apparent).abs());
        apparent += 0.5 * (result.apparent - apparent);
        if round > 5 && change < 1e-11 {
            solved = Some(result);
            break;
        }
    }
    solved
}

fn piece_currents(shape: &Shape, leads: &[f64]) -> Vec<f64> {
    let mut currents = vec![0.0; shape.joints.len()];
    for (&(_, joint), amperes) in shape.leads.iter().zip(leads) {
        let mut at = Some(joint);
        while let Some(j) = at {
            currents[j] += amperes;
            at = shape.joints[j].parent;
        }
    }
    currents
}

fn joint_volts(job: &Job, one: &Live<'_>, pieces: &[f64], start: f64) -> Vec<f64> {
    let drop =
        |j: usize| ohms(job, &job.cables[one.gauges[j]], one.shape.joints[j].metres) * pieces[j];
    (0..pieces.len())
        .map(|joint| {
            let (mut volts, mut at) = (start, Some(joint));
            while let Some(j) = at {
                volts -= drop(j);
                at = one.shape.joints[j].parent;
            }
            volts
        })
        .collect()
}
