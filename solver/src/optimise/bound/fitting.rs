//! Copper lines for a climb that has none yet: what it found with flat lines shows where
//! current flows, and a price of drops or of losses then says how thick it pays to be there.

use super::climb::Climb;
use super::copper::CopperLine;
use super::lagrangian;
use super::prices::Prices;
use super::relaxation::Relaxation;

/// Prices tried first, each so many times the one before.
const COARSE: f64 = 3.0;
/// Prices tried around the best of those.
const FINE: f64 = 1.6;
/// How many of the first.
const TRIED: u32 = 10;
/// Least price of losses tried, money per VA.
const LEAST_LOSS: f64 = 0.05;
/// Least price of drops tried, as a share of what the steepest line would ask.
const LEAST_DROP: f64 = 0.01;

/// Evaluations that one fit takes, for the count of steps.
pub(super) const FIT_STEPS: u32 = TRIED + 2;

/// Prices of copper and lines to go with them.
#[derive(Debug)]
pub(super) struct Fitted {
    /// Value of the dual function there.
    pub value: f64,
    pub prices: Prices,
    pub lines: Vec<CopperLine>,
    /// Copper length of each fixture's cable path.
    pub lengths: Vec<f64>,
}

/// What a price asks for: price of losses, prices of copper by fixture, and their sum
/// through each segment.
struct Asked {
    loss: f64,
    copper: Vec<f64>,
    through: Vec<f64>,
}

/// The best price of losses from where `climb` stands, with lines that suit it.
pub(super) fn to_losses(climb: &Climb, relaxation: &Relaxation) -> Fitted {
    let own = &climb.best_prices().copper;
    let asked = |loss: f64| {
        let root = (loss * relaxation.loss_scale).sqrt();
        let each = own.iter().zip(&relaxation.loosest);
        let flows = climb.flows().iter();
        Asked {
            loss,
            copper: each.map(|(t, at)| t.max(root * at.amps)).collect(),
            through: flows
                .map(|flow| flow.copper.max(root * flow.amps))
                .collect(),
        }
    };
    fit(climb, relaxation, LEAST_LOSS, &asked)
}

/// The best price of voltage drops from where a flat `climb` stands, with lines that suit
/// it; `None` when no line but the flat one exists.
pub(super) fn to_drops(climb: &Climb, relaxation: &Relaxation) -> Option<Fitted> {
    let root = relaxation.frontier.steepest()?.slope.sqrt();
    let asked = |share: f64| {
        let flows = climb.flows().iter();
        Asked {
            loss: 0.0,
            copper: climb
                .pulls()
                .iter()
                .map(|pull| share * root * pull)
                .collect(),
            through: flows.map(|flow| share * root * flow.pull).collect(),
        }
    };
    Some(fit(climb, relaxation, LEAST_DROP, &asked))
}

fn fit(climb: &Climb, relaxation: &Relaxation, least: f64, asked: &dyn Fn(f64) -> Asked) -> Fitted {
    let before = relaxation;
    let mut relaxation = before.clone();
    let mut try_at = |at: f64| fitted(climb, before, &mut relaxation, asked(at));
    let mut best = (least, try_at(least));
    let mut consider = |at: f64, best: &mut (f64, Fitted)| {
        let next = try_at(at);
        if next.value > best.1.value {
            *best = (at, next);
        }
    };
    let mut at = least;
    for _ in 1..TRIED {
        at *= COARSE;
        consider(at, &mut best);
    }
    let around = best.0;
    consider(around / FINE, &mut best);
    consider(around * FINE, &mut best);
    best.1
}

fn fitted(climb: &Climb, before: &Relaxation, relaxation: &mut Relaxation, asked: Asked) -> Fitted {
    let through = climb.flows().iter().zip(&asked.through);
    for (line, (flow, load)) in relaxation.line.iter_mut().zip(through) {
        *line = flow.line(&relaxation.frontier, *load);
    }
    let mut prices = climb.best_prices().clone();
    prices.recast(&asked.copper, before, relaxation);
    prices.loss = asked.loss;
    let found = lagrangian::evaluate(relaxation, &prices);
    let length = |arcs: &[usize]| arcs.iter().map(|arc| relaxation.copper(arc / 2)).sum();
    let lengths = found.paths.iter();
    Fitted {
        value: found.value,
        lengths: lengths
            .map(|paths| paths.cable.as_ref().map_or(0.0, |path| length(&path.arcs)))
            .collect(),
        lines: relaxation.line.clone(),
        prices,
    }
}
