//! What a circuit would still bear: other taps, more watts, a longer run, margins.
//!
//! Every answer is found by solving the altered plan, all circuits of the transformer
//! together; nothing is extrapolated. Mains capacity, lugs and ports are not looked at.

use super::cases::{
    Collapsed, LINE_HIGH, LINE_LOW, SolvedTransformer, expected_case, high_case, low_case,
    solved_all_on,
};
use super::circuit::{contact, load_of, loop_impedance};
use super::conditions::Conditions;
use super::limits::low_case_limits;
use super::load::BusLoad;
use super::margin::{LoadingMargin, loading_margin};
use super::network::TransformerNetwork;
use super::source::Physics;
use crate::ids::{CircuitId, PlacedId};
use crate::job::Job;
use crate::plan::{Circuit, Plan};
use crate::units::{Metres, Volts, Watts};

/// Tolerance on the windows by which plans are judged, V.
const WINDOW_TOLERANCE_V: f64 = 1e-6;
/// Longest further run that is tried, m.
const LONGEST_RUN_M: f64 = 5_000.0;
/// Steps of each bisection: resolves 5 km to a millimetre and 1 kW to a milliwatt.
const BISECTIONS: u32 = 24;

/// One tap of the circuit's secondary, tried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TapTrial {
    /// Position of the tap.
    pub tap: usize,
    /// Margins of this circuit's fixtures; `None` when the load collapses on this tap.
    pub margins: Option<WindowMargins>,
    /// Whether every window of the transformer's fixtures (margins kept), every ampacity, breaker
    /// and the transformer itself hold.
    pub works: bool,
}

/// Distance to both ends of the windows, the smallest over the fixtures of a circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindowMargins {
    /// Low-case voltage above `Vmin`; negative when below.
    pub above_min: Volts,
    /// High-case voltage below `Vmax`; negative when above.
    pub below_max: Volts,
}

/// Lowest and highest fixture voltage of a circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Lowest.
    pub lowest: Volts,
    /// Highest.
    pub highest: Volts,
}

/// Advice on one circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitAdvice {
    /// Margins as planned.
    pub margins: WindowMargins,
    /// The fixture (position in the circuit's leads) closest above its `Vmin`, low case.
    pub weakest: usize,
    /// Every allowed tap of the secondary, this one included.
    pub taps: Vec<TapTrial>,
    /// Further constant-power load at unity power factor that the joint of the weakest
    /// fixture would bear with all windows and limits kept; 0 when the plan keeps none to spare.
    pub spare: Watts,
    /// Longest further piece, of the cable that feeds the weakest fixture's joint, at whose end
    /// one more fixture like the weakest keeps its window, with all others and all limits;
    /// `None` when not even one more fixture at the joint would.
    pub extension: Option<Metres>,
    /// More of the circuit's own load before it collapses, low case, source voltage held.
    pub loading_margin: LoadingMargin,
    /// Expected voltages with the line 5 % low; `None` when the load collapses.
    pub line_low: Option<Span>,
    /// Expected voltages with the line 5 % high; `None` when the load collapses.
    pub line_high: Option<Span>,
}

/// Works out the advice on a circuit: some hundred solutions of its transformer.
///
/// # Errors
/// [`Collapsed`] when the plan itself has no operating point.
/// # Panics
/// When the ids were made for another job or plan, or the circuit has no fixture.
pub fn advise(job: &Job, plan: &Plan, id: CircuitId) -> Result<CircuitAdvice, Collapsed> {
    let transformer = plan.circuits[id.index()].transformer;
    let low = low_case(job, plan, transformer)?;
    let high = high_case(job, plan, transformer)?;
    let trial = Trial {
        job,
        plan,
        transformer,
        id,
        weakest: weakest(job, plan, id, &low),
    };
    let span = |line_factor| {
        let solved = expected_case(job, plan, transformer, line_factor).ok()?;
        Some(span_of(fixture_volts(&solved, id)))
    };
    Ok(CircuitAdvice {
        margins: margins_of(job, plan, id, &low, &high),
        weakest: trial.weakest,
        taps: trial.taps(),
        spare: trial.spare(),
        extension: trial.extension(),
        loading_margin: trial.loading_margin()?,
        line_low: span(LINE_LOW),
        line_high: span(LINE_HIGH),
    })
}

/// A circuit of a plan, tried in altered forms.
struct Trial<'a> {
    job: &'a Job,
    plan: &'a Plan,
    transformer: PlacedId,
    id: CircuitId,
    weakest: usize,
}

impl Trial<'_> {
    fn circuit(&self) -> &Circuit {
        &self.plan.circuits[self.id.index()]
    }

    fn taps(&self) -> Vec<TapTrial> {
        let model = self.plan.transformers[self.transformer.index()].model(self.job);
        let taps = &self.job.transformer(model).secondaries[self.circuit().secondary].taps;
        (0..taps.len())
            .filter(|&tap| taps[tap].volts.value() <= self.job.rules.highest_tap.value())
            .map(|tap| self.tap(tap))
            .collect()
    }

    fn tap(&self, tap: usize) -> TapTrial {
        let mut plan = self.plan.clone();
        plan.circuits[self.id.index()].tap = tap;
        let (low, high) = match (
            low_case(self.job, &plan, self.transformer),
            high_case(self.job, &plan, self.transformer),
        ) {
            (Ok(low), Ok(high)) => (low, high),
            _ => {
                return TapTrial {
                    tap,
                    margins: None,
                    works: false,
                };
            }
        };
        let margin = &self.job.rules.margins;
        let windows = low.circuits.iter().all(|(id, _)| {
            let margins = margins_of(self.job, &plan, *id, &low, &high);
            margins.above_min.value() >= margin.low.value() - WINDOW_TOLERANCE_V
                && margins.below_max.value() >= margin.high.value() - WINDOW_TOLERANCE_V
        });
        TapTrial {
            tap,
            margins: Some(margins_of(self.job, &plan, self.id, &low, &high)),
            works: windows && self.within_limits(&low),
        }
    }

    fn spare(&self) -> Watts {
        let joint = self.circuit().leads[self.weakest].joint;
        let bears = |watts: f64| {
            self.bears(|network, position| {
                let built = &mut network.circuits[position].built;
                let bus = built.joint_bus(joint);
                let load = BusLoad {
                    real_w: watts,
                    reactive_var: 0.0,
                    rated_v: 1.0,
                    exponent: 0.0,
                };
                built.feeder.add_load(bus, load);
                None
            })
        };
        let model = self.plan.transformers[self.transformer.index()].model(self.job);
        let most = self.job.transformer(model).rated.value();
        Watts::new(longest(most, bears).unwrap_or(0.0))
    }

    fn extension(&self) -> Option<Metres> {
        let lead = &self.circuit().leads[self.weakest];
        let joint = &self.circuit().joints[lead.joint.index()];
        let model = self.job.model_of(lead.fixture);
        let at = Conditions::low(&self.job.rules);
        // Two conductors at each of: the old joint, the new joint, the new lead.
        let wire_end_ohm = contact(self.job, joint.hardware).value();
        let cord_ohm = model.lead.map_or(0.0, |cord| {
            2.0 * wire_end_ohm
                + loop_impedance(self.job, cord.cable, cord.length, &at)
                    .0
                    .value()
        });
        let bears = |length_m: f64| {
            self.bears(|network, position| {
                let length = Metres::new(length_m);
                let piece = loop_impedance(self.job, joint.incoming.cable, length, &at).0;
                let built = &mut network.circuits[position].built;
                let near = built.joint_bus(lead.joint);
                let ohm = piece.value() + 4.0 * wire_end_ohm;
                let far = built.feeder.add_bus(near, ohm, 0.0);
                let end = built.feeder.add_bus(far, cord_ohm, 0.0);
                built.feeder.set_load(end, load_of(model));
                Some((end, model.window.min() + self.job.rules.margins.low))
            })
        };
        longest(LONGEST_RUN_M, bears).map(Metres::new)
    }

    fn loading_margin(&self) -> Result<LoadingMargin, Collapsed> {
        let mut network = self.low_network();
        let solved = solved_all_on(&mut network)?;
        let position = self.position(&network);
        let source = solved.circuits[position].1.source.value();
        let feeder = &network.circuits[position].built.feeder;
        loading_margin(Physics::Arithmetic, feeder, source).map_err(|reason| Collapsed {
            circuit: self.id,
            reason,
        })
    }

    fn low_network(&self) -> TransformerNetwork {
        let at = Conditions::low(&self.job.rules);
        TransformerNetwork::new(self.job, self.plan, self.transformer, &at)
    }

    fn position(&self, network: &TransformerNetwork) -> usize {
        network
            .circuits
            .iter()
            .position(|circuit| circuit.id == self.id)
            .expect("the network was built from the circuit's own transformer")
    }

    /// Whether all windows (low case) and limits hold after an alteration, which may name a
    /// further bus of the circuit with the lowest voltage asked for there. More load can
    /// only lower voltages, so the high case needs no second look.
    fn bears(
        &self,
        alter: impl Fn(&mut TransformerNetwork, usize) -> Option<(usize, Volts)>,
    ) -> bool {
        let mut network = self.low_network();
        let position = self.position(&network);
        let further = alter(&mut network, position);
        let Ok(low) = solved_all_on(&mut network) else {
            return false;
        };
        let floor = |volts: f64, least: Volts| volts >= least.value() - WINDOW_TOLERANCE_V;
        let further_holds =
            further.is_none_or(|(bus, least)| floor(network.solution(position).volts(bus), least));
        let windows = low.circuits.iter().all(|(id, state)| {
            let leads = &self.plan.circuits[id.index()].leads;
            leads.iter().zip(&state.fixtures).all(|(lead, volts)| {
                let window = self.job.model_of(lead.fixture).window;
                floor(volts.value(), window.min() + self.job.rules.margins.low)
            })
        });
        further_holds && windows && self.within_limits(&low)
    }

    fn within_limits(&self, low: &SolvedTransformer) -> bool {
        low_case_limits(self.job, self.plan, self.transformer, low)
            .iter()
            .all(|limit| limit.amount.holds())
    }
}

/// Largest amount up to `most` that is borne, by bisection; `None` when not even 0 is.
fn longest(most: f64, bears: impl Fn(f64) -> bool) -> Option<f64> {
    if !bears(0.0) {
        return None;
    }
    if bears(most) {
        return Some(most);
    }
    let (mut low, mut high) = (0.0, most);
    for _ in 0..BISECTIONS {
        let middle = f64::midpoint(low, high);
        if bears(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low)
}

fn fixture_volts(solved: &SolvedTransformer, id: CircuitId) -> &[Volts] {
    solved
        .circuits
        .iter()
        .find(|(other, _)| *other == id)
        .map_or(&[], |(_, state)| &state.fixtures)
}

fn margins_of(
    job: &Job,
    plan: &Plan,
    id: CircuitId,
    low: &SolvedTransformer,
    high: &SolvedTransformer,
) -> WindowMargins {
    let leads = &plan.circuits[id.index()].leads;
    let windows = || leads.iter().map(|lead| job.model_of(lead.fixture).window);
    let infinite = Volts::new(f64::INFINITY);
    let above = windows().zip(fixture_volts(low, id));
    let below = windows().zip(fixture_volts(high, id));
    WindowMargins {
        above_min: above
            .map(|(window, &volts)| volts - window.min())
            .fold(infinite, Volts::min),
        below_max: below
            .map(|(window, &volts)| window.max() - volts)
            .fold(infinite, Volts::min),
    }
}

fn weakest(job: &Job, plan: &Plan, id: CircuitId, low: &SolvedTransformer) -> usize {
    let leads = &plan.circuits[id.index()].leads;
    let room = leads
        .iter()
        .zip(fixture_volts(low, id))
        .map(|(lead, &volts)| {
            let window = job.model_of(lead.fixture).window;
            (volts - window.min()).value()
        });
    room.enumerate()
        .min_by(|(_, a), (_, b)| a.total_cmp(b))
        .map_or(0, |(position, _)| position)
}

fn span_of(volts: &[Volts]) -> Span {
    Span {
        lowest: volts
            .iter()
            .copied()
            .fold(Volts::new(f64::INFINITY), Volts::min),
        highest: volts.iter().copied().fold(Volts::ZERO, Volts::max),
    }
}
