//! A whole plan solved in every reported case.

use super::conditions::Conditions;
use super::network::{TransformerNetwork, present_loads};
use super::short::end_short;
use super::source::Terminals;
use super::sweep::{NoSolution, Sweep};
use super::switching::{Switching, switchings};
use crate::ids::{CircuitId, PlacedId};
use crate::job::Job;
use crate::plan::Plan;
use crate::units::{Amperes, VoltAmperes, Volts, Watts};

/// Line factors reported beside the expected case: 5 % low and high, Range A of
/// ANSI C84.1 for a 120 V service (114 to 126 V).
pub const LINE_LOW: f64 = 0.95;
/// See [`LINE_LOW`].
pub const LINE_HIGH: f64 = 1.05;

/// One circuit in one load case.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseState {
    /// Voltage at the tap.
    pub source: Volts,
    /// Voltage at each joint, in the order of the circuit's joints.
    pub joints: Vec<Volts>,
    /// Voltage at the terminals of each fixture, in the order of the circuit's leads.
    pub fixtures: Vec<Volts>,
    /// Current in the piece that feeds each joint, in the order of the circuit's joints; the first is the home run.
    pub pieces: Vec<Amperes>,
    /// Apparent power at the transformer's terminals, losses of the circuit included.
    pub apparent: VoltAmperes,
    /// Real power there.
    pub real: Watts,
}

impl CaseState {
    /// Current of the home run.
    ///
    /// # Panics
    /// On a circuit without joints; no room makes one.
    #[must_use]
    pub fn home_run(&self) -> Amperes {
        self.pieces[0]
    }
    /// Raises every figure to that of `other` where that is higher.
    fn raise(&mut self, other: &Self) {
        let raise = |mine: &mut [Volts], theirs: &[Volts]| {
            for (mine, theirs) in mine.iter_mut().zip(theirs) {
                *mine = mine.max(*theirs);
            }
        };
        self.source = self.source.max(other.source);
        self.apparent = self.apparent.max(other.apparent);
        self.real = self.real.max(other.real);
        raise(&mut self.joints, &other.joints);
        raise(&mut self.fixtures, &other.fixtures);
        for (mine, theirs) in self.pieces.iter_mut().zip(&other.pieces) {
            *mine = mine.max(*theirs);
        }
    }
}

/// One circuit in every reported case.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitCases {
    /// Low case: all on, hot conductors, lengths grown, low end of the line band.
    pub low: CaseState,
    /// High case: for each figure the highest over the switchings (each zone alone, and all on).
    pub high: CaseState,
    /// Expected case: phasors, nominal line, for the crew's meter.
    pub expected: CaseState,
    /// Expected case with the line 5 % low; `None` when no operating point exists.
    pub line_low: Option<CaseState>,
    /// Expected case with the line 5 % high; `None` when no operating point exists.
    pub line_high: Option<CaseState>,
    /// Smallest current of a short circuit at an end of the run, over its ends.
    pub end_short: Amperes,
}

/// One transformer in the low case.
#[derive(Clone, Debug, PartialEq)]
pub struct TransformerCase {
    /// Apparent power at its terminals, losses and present load included.
    pub apparent: VoltAmperes,
    /// Current of each secondary, present load included, in the order of the model's
    /// secondaries. Present load is taken at the lowest tap of its secondary, where its
    /// VA mean most current.
    pub secondaries: Vec<Amperes>,
}

/// Everything the electrical model says about a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseFigures {
    /// By circuit of the plan.
    pub circuits: Vec<CircuitCases>,
    /// By transformer of the plan.
    pub transformers: Vec<TransformerCase>,
}

/// A load case of a plan that has no operating point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("circuit {}: {reason}", circuit.index() + 1)]
pub struct Collapsed {
    /// Circuit at which it showed.
    pub circuit: CircuitId,
    /// Why.
    #[source]
    pub reason: NoSolution,
}

/// Every circuit of one transformer in one case.
#[derive(Clone, Debug, PartialEq)]
pub struct SolvedTransformer {
    /// Its terminals, all on.
    pub terminals: Terminals,
    /// Its circuits, in the order of the plan, with their figures.
    pub circuits: Vec<(CircuitId, CaseState)>,
}

/// Low case of one transformer: everything on.
///
/// # Errors
/// [`Collapsed`].
/// # Panics
/// When the ids of the plan were made for another job.
pub fn low_case(
    job: &Job,
    plan: &Plan,
    transformer: PlacedId,
) -> Result<SolvedTransformer, Collapsed> {
    all_on(job, plan, transformer, &Conditions::low(&job.rules))
}

/// Expected case of one transformer, with the line at a factor of nominal.
///
/// # Errors
/// [`Collapsed`].
/// # Panics
/// When the ids of the plan were made for another job.
pub fn expected_case(
    job: &Job,
    plan: &Plan,
    transformer: PlacedId,
    line_factor: f64,
) -> Result<SolvedTransformer, Collapsed> {
    let conditions = Conditions::expected(&job.rules).with_line(line_factor);
    all_on(job, plan, transformer, &conditions)
}

/// High case of one transformer: the highest of each figure over every switching.
///
/// # Errors
/// [`Collapsed`].
/// # Panics
/// When the ids of the plan were made for another job.
pub fn high_case(
    job: &Job,
    plan: &Plan,
    transformer: PlacedId,
) -> Result<SolvedTransformer, Collapsed> {
    let mut network =
        TransformerNetwork::new(job, plan, transformer, &Conditions::high(&job.rules));
    let mut states = switchings(job, plan, transformer).into_iter();
    let all = states.next().unwrap_or(Switching { on: Vec::new() });
    let mut highest = solved(&mut network, &all.on)?;
    for switching in states {
        let alone = solved(&mut network, &switching.on)?;
        for (id, state) in &alone.circuits {
            if let Some((_, known)) = highest.circuits.iter_mut().find(|(known, _)| known == id) {
                known.raise(state);
            }
        }
    }
    Ok(highest)
}

/// Every reported figure of a plan.
///
/// # Errors
/// [`Collapsed`] when the low, high or expected case has no operating point.
/// # Panics
/// When the ids of the plan were made for another job.
pub fn figures(job: &Job, plan: &Plan) -> Result<CaseFigures, Collapsed> {
    let mut circuits: Vec<Option<CircuitCases>> = vec![None; plan.circuits.len()];
    let mut transformers = Vec::with_capacity(plan.transformers.len());
    for transformer in (0..plan.transformers.len()).map(PlacedId::new) {
        let low = low_case(job, plan, transformer)?;
        let high = high_case(job, plan, transformer)?;
        let expected = expected_case(job, plan, transformer, 1.0)?;
        let line_low = expected_case(job, plan, transformer, LINE_LOW).ok();
        let line_high = expected_case(job, plan, transformer, LINE_HIGH).ok();
        transformers.push(transformer_case(job, plan, transformer, &low));
        for (position, (id, state)) in low.circuits.into_iter().enumerate() {
            let state_of = |solved: &SolvedTransformer| solved.circuits[position].1.clone();
            circuits[id.index()] = Some(CircuitCases {
                low: state,
                high: state_of(&high),
                expected: state_of(&expected),
                line_low: line_low.as_ref().map(state_of),
                line_high: line_high.as_ref().map(state_of),
                end_short: end_short(job, plan, id, &Conditions::low(&job.rules)),
            });
        }
    }
    Ok(CaseFigures {
        circuits: circuits.into_iter().flatten().collect(),
        transformers,
    })
}

fn all_on(
    job: &Job,
    plan: &Plan,
    transformer: PlacedId,
    at: &Conditions,
) -> Result<SolvedTransformer, Collapsed> {
    solved_all_on(&mut TransformerNetwork::new(job, plan, transformer, at))
}

/// Solves everything on and takes the figures of all circuits.
pub(super) fn solved_all_on(
    network: &mut TransformerNetwork,
) -> Result<SolvedTransformer, Collapsed> {
    let on = network.all_on();
    solved(network, &on)
}

/// Solves one switching and takes the figures of the circuits that are on.
fn solved(network: &mut TransformerNetwork, on: &[bool]) -> Result<SolvedTransformer, Collapsed> {
    let terminals = network.solve(on).map_err(|unserved| Collapsed {
        circuit: network.circuits[unserved.circuit].id,
        reason: unserved.reason,
    })?;
    let circuits = network
        .circuits
        .iter()
        .enumerate()
        .filter(|(_, circuit)| on[circuit.secondary])
        .map(|(position, circuit)| {
            let sweep = network.solution(position);
            let state = CaseState {
                source: Volts::new(circuit.tap_v * terminals.voltage_factor),
                joints: volts(sweep, circuit.built.joint_buses()),
                fixtures: volts(sweep, circuit.built.fixture_buses()),
                pieces: circuit
                    .built
                    .joint_buses()
                    .map(|bus| Amperes::new(sweep.branch_amps(bus)))
                    .collect(),
                apparent: apparent(sweep),
                real: Watts::new(sweep.source_power().0),
            };
            (circuit.id, state)
        })
        .collect();
    Ok(SolvedTransformer {
        terminals,
        circuits,
    })
}

fn volts(sweep: &Sweep, buses: std::ops::Range<usize>) -> Vec<Volts> {
    buses.map(|bus| Volts::new(sweep.volts(bus))).collect()
}

fn apparent(sweep: &Sweep) -> VoltAmperes {
    let (watts, vars) = sweep.source_power();
    VoltAmperes::new(watts.hypot(vars))
}

/// Low-case currents of a transformer from its solved circuits.
pub(super) fn transformer_case(
    job: &Job,
    plan: &Plan,
    transformer: PlacedId,
    low: &SolvedTransformer,
) -> TransformerCase {
    let placed = &plan.transformers[transformer.index()];
    let present = present_loads(job, placed);
    let secondaries = &job.transformer(placed.model(job)).secondaries;
    let factor = low.terminals.voltage_factor * job.rules.line.low;
    let amps = secondaries.iter().enumerate().map(|(index, secondary)| {
        let taps = secondary.taps.iter().map(|tap| tap.volts.value());
        let lowest_v = taps.fold(f64::INFINITY, f64::min) * factor;
        let own = low
            .circuits
            .iter()
            .filter(|(id, _)| plan.circuits[id.index()].secondary == index)
            .map(|(_, state)| state.home_run());
        own.sum::<Amperes>() + Amperes::new(present[index].value() / lowest_v)
    });
    TransformerCase {
        apparent: VoltAmperes::new(low.terminals.apparent_va),
        secondaries: amps.collect(),
    }
}
