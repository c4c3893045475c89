//! From the tree of a circuit to a priced, checked run: hardware, gauges, tap.
//!
//! A run is feasible by itself for the VA it was told the rest of its
//! transformer carries; the transformer as a whole is verified where runs meet.

mod high_case;
mod refused;
mod wiring;

use super::context::{CableFacts, Context};
use super::gauge::{GaugeFit, KEPT, LowSource, PieceSpan, Refused, Scratch, Solved, Tail};
use super::hardware::Chosen;
use super::shape::Shape;
use crate::electrical::{Feeder, Sweep};
use crate::ids::TransformerModelId;
use crate::job::{Layout, Secondary, SizeRange};
use crate::units::{SquareMillimetres, Volts};
use refused::RefusedTaps;
use wiring::contact_ohm;

/// What feeds a run, and how much of it the others leave free.
#[derive(Clone, Debug)]
pub struct Supply {
    /// Transformer model.
    pub model: TransformerModelId,
    /// Secondary (position in the model's list).
    pub secondary: usize,
    /// VA of everything else on the transformer at its terminals, low case.
    pub other_va: f64,
    /// Current of everything else on the secondary, A, low case.
    pub other_amps: f64,
    /// Whether each tap of the secondary has a free lug.
    pub tap_free: Vec<bool>,
    /// Whether each common of the secondary has a free lug.
    pub common_free: Vec<bool>,
}

/// Figures of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figures {
    /// Pieces, per-cable work, joints and hubs; no trenches, no transformer.
    pub cost: f64,
    /// Low-case current of the home run, A.
    pub amps: f64,
    /// Low-case VA at the terminals.
    pub va: f64,
    /// Least low-case margin over the fixtures, V.
    pub margin_v: f64,
    /// VA of the rest of the transformer for which these figures were worked out.
    pub other_va: f64,
    /// Whether they were worked out exactly, or for ranking only.
    pub exact: bool,
}

/// A circuit with its gauges, hardware and tap chosen.
#[derive(Clone, Debug)]
pub struct Run {
    /// The tree, with cables and hardware filled in.
    pub shape: Shape,
    /// Secondary of the transformer.
    pub secondary: usize,
    /// Tap of the secondary.
    pub tap: usize,
    /// Common of the secondary.
    pub common: usize,
    /// Figures.
    pub figures: Figures,
}

/// Reusable memory for evaluating runs; one per thread.
#[derive(Default)]
pub struct Evaluator {
    low: Feeder,
    high: Feeder,
    sweep: Sweep,
    scratch: Scratch,
    pieces: Vec<PieceSpan>,
    tails: Vec<Tail>,
    chosen: Vec<Chosen>,
    home: Vec<CableFacts>,
    branch: Vec<CableFacts>,
    cables: Vec<CableFacts>,
    outgoing: Vec<SquareMillimetres>,
    ceiling: f64,
    exact: bool,
    grown_on_tap: Option<usize>,
    refused: Option<Refused>,
    /// Exact evaluations so far: the measure of work.
    pub evaluations: u64,
}

/// Times that gauges and hardware are chosen anew until they suit each other.
const MOST_HARDWARE_ROUNDS: usize = 4;

impl Evaluator {
    /// Fresh memory.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Chooses hardware, gauges, tap and common for a shape; `None` when no choice is feasible.
    pub fn evaluate(&mut self, ctx: &Context<'_>, shape: &Shape, supply: &Supply) -> Option<Run> {
        self.exact = true;
        self.grown_on_tap = None;
        self.run_below(ctx, shape, supply, f64::INFINITY)
    }

    /// A run good for ranking only: two passes stand for a solution, and gauges
    /// are a little too thick. `None` also when the gauges to start from cost `ceiling` or more.
    ///
    /// A circuit that has grown starts from the cables it had, and from its tap when
    /// `grown_on_tap` names it: what it carries more can only ask for thicker ones.
    pub fn rank(
        &mut self,
        ctx: &Context<'_>,
        shape: &Shape,
        supply: &Supply,
        ceiling: f64,
        grown_on_tap: Option<usize>,
    ) -> Option<Run> {
        self.exact = false;
        self.grown_on_tap = grown_on_tap;
        self.run_below(ctx, shape, supply, ceiling)
    }

    /// How sure it is that a circuit refused last has no room for the same load elsewhere in
    /// it, in strikes: two when it is more than transformer or cables bear, one when voltages
    /// fall too low, none otherwise.
    pub(crate) fn strikes(&self) -> u32 {
        match self.refused {
            Some(Refused::TooMuch) => 2,
            Some(Refused::TooLow) => 1,
            _ => 0,
        }
    }

    fn run_below(
        &mut self,
        ctx: &Context<'_>,
        shape: &Shape,
        supply: &Supply,
        ceiling: f64,
    ) -> Option<Run> {
        self.ceiling = ceiling;
        self.refused = None;
        let model = ctx.job.transformer(supply.model);
        let secondary = &model.secondaries[supply.secondary];
        if !lawful_layout(ctx, shape)
            || !shape.has_one_joint_per_node()
            || !self.may_fit(ctx, shape, supply, secondary)
        {
            return None;
        }
        self.evaluations += 1;
        let mut taps: Vec<usize> = (0..secondary.taps.len())
            .filter(|&tap| supply.tap_free[tap] && usable(ctx, secondary.taps[tap].volts))
            .collect();
        // The highest tap needs least copper: the first that keeps every fixture
        // below its highest voltage is taken.
        taps.sort_by(|&x, &y| {
            secondary.taps[y]
                .volts
                .value()
                .total_cmp(&secondary.taps[x].volts.value())
                .then(x.cmp(&y))
        });
        if let Some(kept) = self.grown_on_tap
            && let Some(place) = taps.iter().position(|&tap| tap == kept)
        {
            taps[..=place].rotate_right(1);
        }
        let mut refused = RefusedTaps::new(ctx, shape);
        for tap in taps {
            if refused.rule_out(&secondary.taps[tap]) {
                continue;
            }
            match self.on_tap(ctx, shape, supply, secondary, tap) {
                Ok(run) => return Some(run),
                Err(why) => {
                    refused.add(&secondary.taps[tap], why);
                    self.refused = Some(why);
                }
            }
        }
        None
    }

    /// Quick refusal: more apparent power than the transformer has left, or more current than
    /// the secondary even at the highest source voltage, though every fixture draws its least.
    fn may_fit(
        &self,
        ctx: &Context<'_>,
        shape: &Shape,
        supply: &Supply,
        secondary: &Secondary,
    ) -> bool {
        let rules = &ctx.job.rules;
        let most = rules.most_fixtures_per_circuit.unwrap_or(u32::MAX) as usize;
        let least_va = LEAST_VA_KEPT * least_va(ctx, shape);
        let model = ctx.job.transformer(supply.model);
        let highest = secondary
            .taps
            .iter()
            .map(|tap| tap.volts.value())
            .fold(0.0, f64::max);
        let source_v = highest * (1.0 + model.regulation);
        let limit = (secondary.continuous_limit() - rules.spare.current).value();
        shape.leads.len() <= most
            && least_va + supply.other_va <= permitted_va(ctx, supply.model) + KEPT
            && least_va / source_v + supply.other_amps <= limit + KEPT
    }

    fn on_tap(
        &mut self,
        ctx: &Context<'_>,
        shape: &Shape,
        supply: &Supply,
        secondary: &Secondary,
        tap: usize,
    ) -> Result<Run, Refused> {
        let takes = secondary.taps[tap].takes;
        let common_takes = |size: SquareMillimetres| {
            (0..secondary.commons.len()).any(|common| {
                supply.common_free[common] && secondary.commons[common].takes.fits(size)
            })
        };
        let least = smallest_behind(ctx, secondary);
        self.home.clear();
        self.home.extend(ctx.home_cables.iter().filter(|cable| {
            least.fits(cable.size) && takes.fits(cable.size) && common_takes(cable.size)
        }));
        self.branch.clear();
        self.branch.extend(
            ctx.branch_cables
                .iter()
                .filter(|cable| least.fits(cable.size)),
        );
        if self.home.is_empty() || (self.branch.is_empty() && shape.joints.len() > 1) {
            return Err(Refused::NothingFits);
        }
        let solved = self.fit(ctx, shape, supply, secondary.taps[tap].volts)?;
        let rules = &ctx.job.rules;
        let limit = (secondary.continuous_limit() - rules.spare.current).value();
        if solved.amps + supply.other_amps > limit + KEPT
            || solved.va + supply.other_va > permitted_va(ctx, supply.model) + KEPT
        {
            return Err(Refused::TooMuch);
        }
        if !self.high_case_holds(ctx, shape, supply, secondary.taps[tap].volts) {
            return Err(Refused::TooHigh);
        }
        let home_size = self.cables[0].size;
        let common = (0..secondary.commons.len())
            .find(|&common| {
                supply.common_free[common] && secondary.commons[common].takes.fits(home_size)
            })
            .ok_or(Refused::NothingFits)?;
        Ok(self.finished(ctx, shape, supply, tap, common, solved))
    }

    /// Figures of a run with everything kept as chosen but another load on its
    /// transformer; `None` when it no longer holds.
    pub fn refresh(&mut self, ctx: &Context<'_>, run: &Run, supply: &Supply) -> Option<Figures> {
        if !supply.tap_free[run.tap] || !supply.common_free[run.common] {
            return None;
        }
        self.exact = true;
        let shape = &run.shape;
        let model = ctx.job.transformer(supply.model);
        let secondary = &model.secondaries[supply.secondary];
        let tap = secondary.taps[run.tap].volts;
        self.home.clear();
        self.branch.clear();
        self.cables.clear();
        self.chosen.clear();
        self.scratch.choice.clear();
        for (index, joint) in shape.joints.iter().enumerate() {
            let known = if index == 0 {
                &ctx.home_cables
            } else {
                &ctx.branch_cables
            };
            let cable = *known
                .iter()
                .find(|cable| cable.id == joint.incoming.cable)?;
            let list = if index == 0 {
                &mut self.home
            } else {
                &mut self.branch
            };
            list.push(cable);
            self.scratch.choice.push(list.len() - 1);
            self.cables.push(cable);
            self.chosen.push(Chosen {
                hardware: joint.hardware,
                cost: ctx.tariff.hardware(joint.hardware).value(),
                contact_ohm: contact_ohm(ctx, joint.hardware),
            });
        }
        self.lay_out(ctx, shape);
        let solved = self.fitter(ctx, supply, tap, run.figures.va).keep()?;
        let limit = (secondary.continuous_limit() - ctx.job.rules.spare.current).value();
        let holds = solved.amps + supply.other_amps <= limit + KEPT
            && solved.va + supply.other_va <= permitted_va(ctx, supply.model) + KEPT;
        holds.then_some(Figures {
            amps: solved.amps,
            va: solved.va,
            margin_v: solved.margin_v,
            other_va: supply.other_va,
            ..run.figures
        })
    }

    fn fitter(
        &mut self,
        ctx: &Context<'_>,
        supply: &Supply,
        tap: Volts,
        own_va: f64,
    ) -> GaugeFit<'_> {
        let model = ctx.job.transformer(supply.model);
        GaugeFit {
            home: &self.home,
            branch: &self.branch,
            pieces: &self.pieces,
            tails: &self.tails,
            source: LowSource {
                tap_v: tap.value() * ctx.job.rules.line.low,
                regulation: model.regulation,
                rated_va: model.rated.value(),
                other_va: supply.other_va,
                most_va: permitted_va(ctx, supply.model) - supply.other_va,
            },
            feeder: &mut self.low,
            sweep: &mut self.sweep,
            scratch: &mut self.scratch,
            own_va,
            exact: self.exact,
            grown: self.grown_on_tap.is_some(),
            most_spent: f64::INFINITY,
        }
    }

    /// Hardware and gauges that suit each other on one tap.
    fn fit(
        &mut self,
        ctx: &Context<'_>,
        shape: &Shape,
        supply: &Supply,
        tap: Volts,
    ) -> Result<Solved, Refused> {
        self.start_gauges(shape);
        self.choose_hardware(ctx, shape)
            .ok_or(Refused::NothingFits)?;
        for _ in 0..MOST_HARDWARE_ROUNDS {
            self.lay_out(ctx, shape);
            let left = self.ceiling - self.cost_so_far(ctx, shape);
            if left <= 0.0 {
                return Err(Refused::TooDear);
            }
            let own_va = shape
                .leads
                .iter()
                .map(|lead| ctx.fixtures[lead.fixture.index()].apparent_va)
                .sum::<f64>()
                * 1.05;
            let per_watt =
                ctx.tariff.energy_per_watt() / ctx.job.transformer(supply.model).efficiency;
            let mut fitter = self.fitter(ctx, supply, tap, own_va);
            fitter.most_spent = left;
            let solved = fitter.choose()?;
            let solved = fitter.thicken_while_it_pays(per_watt, solved);
            for joint in 0..shape.joints.len() {
                let list = if joint == 0 { &self.home } else { &self.branch };
                self.cables[joint] = list[self.scratch.choice[joint]];
            }
            let before = self.chosen.clone();
            self.choose_hardware(ctx, shape)
                .ok_or(Refused::NothingFits)?;
            if self.chosen == before {
                return Ok(solved);
            }
        }
        Err(Refused::NothingFits)
    }

    /// The gauges to start from: the thinnest, or those that a grown circuit had.
    fn start_gauges(&mut self, shape: &Shape) {
        self.cables.clear();
        self.scratch.choice.clear();
        for (index, joint) in shape.joints.iter().enumerate() {
            let list = if index == 0 { &self.home } else { &self.branch };
            let had = |cable: &CableFacts| cable.id == joint.incoming.cable;
            let choice = self
                .grown_on_tap
                .and_then(|_| list.iter().position(had))
                .unwrap_or(0);
            self.cables.push(list[choice]);
            self.scratch.choice.push(choice);
        }
    }

    fn finished(
        &self,
        ctx: &Context<'_>,
        shape: &Shape,
        supply: &Supply,
        tap: usize,
        common: usize,
        solved: Solved,
    ) -> Run {
        let mut shape = shape.clone();
        let mut cost = 0.0;
        for (index, joint) in shape.joints.iter_mut().enumerate() {
            joint.incoming.cable = self.cables[index].id;
            joint.hardware = self.chosen[index].hardware;
            let passes: f64 = joint
                .incoming
                .route
                .segments
                .iter()
                .map(|id| ctx.per_pass[id.index()])
                .sum();
            cost += self.cables[index].price_per_m * self.pieces[index].length_m
                + passes
                + self.chosen[index].cost;
        }
        cost += self.energy(ctx, &shape, supply, solved);
        if let Some(keep) = &ctx.guidance.keep {
            let worth = |joint| keep.worth(&shape, joint, self.cables[joint].id);
            cost -= (0..shape.joints.len()).map(worth).sum::<f64>();
        }
        Run {
            shape,
            secondary: supply.secondary,
            tap,
            common,
            figures: Figures {
                cost,
                amps: solved.amps,
                va: solved.va,
                margin_v: solved.margin_v,
                other_va: supply.other_va,
                exact: self.exact,
            },
        }
    }
}

/// Share of the least apparent power that counts in a quick refusal: voltages may lie below
/// their limits by what counts as kept.
const LEAST_VA_KEPT: f64 = 1.0 - 1e-6;

/// The least apparent power that the fixtures of a circuit draw, VA: losses come on top.
pub(crate) fn least_va(ctx: &Context<'_>, shape: &Shape) -> f64 {
    let leads = shape.leads.iter();
    leads
        .map(|lead| ctx.fixtures[lead.fixture.index()].least_va)
        .sum()
}

/// VA that a transformer of this model may carry at its terminals.
pub(crate) fn permitted_va(ctx: &Context<'_>, model: TransformerModelId) -> f64 {
    let rules = &ctx.job.rules;
    let rated = ctx.job.transformer(model).rated;
    (rated * (rules.loading_limit * (1.0 - rules.spare.fraction)) - rules.spare.apparent).value()
}

fn usable(ctx: &Context<'_>, tap: Volts) -> bool {
    tap.value() <= ctx.job.rules.highest_tap.value() + 1e-9
}

/// Conductor sizes allowed behind a secondary's breaker.
fn smallest_behind(ctx: &Context<'_>, secondary: &Secondary) -> SizeRange {
    let smallest = ctx
        .job
        .rules
        .smallest_behind_breaker
        .iter()
        .filter(|(breaker, _)| secondary.breaker.value() >= breaker.value() - KEPT)
        .map(|&(_, size)| size)
        .fold(SquareMillimetres::ZERO, SquareMillimetres::max);
    SizeRange {
        smallest,
        largest: SquareMillimetres::new(f64::INFINITY),
    }
}

/// Whether the tree has the form that the layout asks for.
///
/// Chain: every joint serves a fixture and feeds at most one more, the first at
/// most two. Hub: one hub, and behind it only joints of a single fixture.
fn lawful_layout(ctx: &Context<'_>, shape: &Shape) -> bool {
    let (children, landed) = (shape.children(), shape.landed());
    match ctx.layout {
        Layout::Mixed => true,
        Layout::Chain => (0..children.len())
            .all(|joint| landed[joint] >= 1 && children[joint] <= if joint == 0 { 2 } else { 1 }),
        Layout::Hub => (1..children.len()).all(|joint| landed[joint] == 1 && children[joint] == 0),
    }
}
