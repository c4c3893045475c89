//! The order of work at one transformer, and what is read at each step.

use crate::ids::JointId;
use crate::plan::{JointHardware, Plan};
use crate::service::circuitry::Circuitry;
use crate::service::condition::Condition;
use crate::service::point::{Measurement, Point, Quantity, is_reachable};

/// How much of a transformer's load is connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Nothing but what an existing transformer carries already.
    Unloaded,
    /// The first fixture (circuit, lead) of a run, nothing else.
    FirstFixture(usize, usize),
    /// One whole run (circuit), nothing else.
    Run(usize),
    /// Everything.
    AllOn,
}

impl Stage {
    /// Disconnects what is not yet there.
    pub fn prepare(self, condition: &mut Condition) {
        let wiring = &mut condition.circuitry;
        let keep: Vec<usize> = match self {
            Self::AllOn => return,
            Self::Unloaded => Vec::new(),
            Self::FirstFixture(run, lead) => vec![wiring.runs[run].loads[lead]],
            Self::Run(run) => wiring.runs[run].loads.clone(),
        };
        for (index, load) in wiring.loads.iter_mut().enumerate() {
            load.connected &= keep.contains(&index);
        }
    }
}

/// One step: what is connected, and what is read.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What is connected.
    pub stage: Stage,
    /// What is read, in the order in which one walks.
    pub readings: Vec<Measurement>,
}

/// The steps of one transformer, runs from the shortest home run to the longest.
///
/// # Panics
/// When the circuitry was built from another plan.
#[must_use]
pub fn steps(plan: &Plan, wiring: &Circuitry) -> Vec<Step> {
    let mut taps: Vec<(usize, usize)> = wiring
        .runs
        .iter()
        .map(|run| (run.secondary, run.tap))
        .collect();
    taps.sort_unstable();
    taps.dedup();
    let unloaded = taps.iter().map(|&(secondary, tap)| {
        Measurement::new(Point::Tap(secondary, tap), Quantity::VoltsUnloaded)
    });
    let mut made = vec![Step {
        stage: Stage::Unloaded,
        readings: std::iter::once(Measurement::new(Point::Receptacle, Quantity::Volts))
            .chain(unloaded)
            .collect(),
    }];
    let mut runs: Vec<usize> = (0..wiring.runs.len()).collect();
    let home_ohm = |run: usize| wiring.wires[wiring.runs[run].pieces[0].hot].cable_ohm;
    runs.sort_by(|&a, &b| home_ohm(a).total_cmp(&home_ohm(b)));
    for run in runs {
        let lead = first_fixture(plan, wiring, run);
        made.push(first_step(plan, wiring, run, lead));
        made.push(Step {
            stage: Stage::Run(run),
            readings: along(plan, wiring, run),
        });
    }
    made.push(last_step(plan, wiring, &taps));
    made
}

/// The lead with the least resistance between it and the transformer.
fn first_fixture(plan: &Plan, wiring: &Circuitry, run: usize) -> usize {
    let circuit = &plan.circuits[wiring.runs[run].id.index()];
    let mut ohm = Vec::with_capacity(circuit.joints.len());
    for (joint, built) in circuit.joints.iter().enumerate() {
        let before: f64 = built.incoming.from.map_or(0.0, |from| ohm[from.index()]);
        ohm.push(before + wiring.wires[wiring.runs[run].pieces[joint].hot].cable_ohm);
    }
    let leads = circuit.leads.iter().enumerate();
    leads
        .min_by(|(_, a), (_, b)| ohm[a.joint.index()].total_cmp(&ohm[b.joint.index()]))
        .map_or(0, |(lead, _)| lead)
}

fn first_step(plan: &Plan, wiring: &Circuitry, run: usize, lead: usize) -> Step {
    let circuit = &plan.circuits[wiring.runs[run].id.index()];
    let joint = circuit.leads[lead].joint.index();
    Step {
        stage: Stage::FirstFixture(run, lead),
        readings: vec![
            Measurement::new(Point::HomeRun(run), Quantity::Volts),
            Measurement::new(Point::HomeRun(run), Quantity::Amps),
            Measurement::new(Point::Joint(run, joint), Quantity::Volts),
            Measurement::new(Point::Fixture(run, lead), Quantity::Volts),
        ],
    }
}

/// Home run, joints and hub ports, fixtures.
fn along(plan: &Plan, wiring: &Circuitry, run: usize) -> Vec<Measurement> {
    let circuit = &plan.circuits[wiring.runs[run].id.index()];
    let is_hub =
        |from: JointId| matches!(circuit.joints[from.index()].hardware, JointHardware::Hub(_));
    let home = [Quantity::Volts, Quantity::Amps, Quantity::AmpsCommon];
    let mut found: Vec<Measurement> = home
        .map(|quantity| Measurement::new(Point::HomeRun(run), quantity))
        .to_vec();
    for (joint, built) in circuit.joints.iter().enumerate() {
        if built.incoming.from.is_some_and(is_hub) {
            found.push(Measurement::new(Point::Piece(run, joint), Quantity::Amps));
        }
        found.push(Measurement::new(Point::Joint(run, joint), Quantity::Volts));
    }
    let leads = 0..circuit.leads.len();
    found.extend(leads.map(|lead| Measurement::new(Point::Fixture(run, lead), Quantity::Volts)));
    found
}

fn last_step(plan: &Plan, wiring: &Circuitry, taps: &[(usize, usize)]) -> Step {
    let mut readings = vec![Measurement::new(Point::Supply, Quantity::VoltAmperes)];
    readings
        .extend(taps.iter().map(|&(secondary, tap)| {
            Measurement::new(Point::Tap(secondary, tap), Quantity::Volts)
        }));
    let mut commons: Vec<(usize, usize)> = wiring
        .runs
        .iter()
        .map(|run| (run.secondary, run.common))
        .collect();
    commons.sort_unstable();
    commons.dedup();
    readings.extend(commons.into_iter().map(|(secondary, common)| {
        Measurement::new(Point::Common(secondary, common), Quantity::Amps)
    }));
    let along = (0..wiring.runs.len()).flat_map(|run| along(plan, wiring, run));
    // By now the splices are sealed.
    readings.extend(along.filter(|reading| is_reachable(plan, wiring, reading.point)));
    Step {
        stage: Stage::AllOn,
        readings,
    }
}
