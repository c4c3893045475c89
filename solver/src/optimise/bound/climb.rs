//! Better prices by deflected subgradient steps.
//!
//! Step length: B. T. Polyak (1969), towards a target above the best value;
//! deflection: P. M. Camerini, L. Fratta, F. Maffioli, "On improving relaxation
//! methods by modified gradient techniques", Mathematical Programming Study 3
//! (1975) 26-34. Every point visited is a valid bound, so the method may stop
//! anywhere.

use super::best_copper;
use super::copper::{CopperLine, PriceFrontier};
use super::drops::DropDirections;
use super::fitting::Fitted;
use super::lagrangian::{self, Evaluation};
use super::passing;
use super::prices::Prices;
use super::relaxation::Relaxation;

/// Steps in which prices of copper are set as the paths need; later they move like others.
const STEPS_SET: u32 = 250;
/// Share of the last direction kept in the next.
pub(super) const DEFLECTION: f64 = 0.9;
/// How far above the best value a step aims, as a share of it.
const AHEAD: f64 = 0.03;
/// The same in jobs of neither few nor many fixtures, in multiples of it.
const FARTHER: f64 = 3.0;
/// Steps without a better value before the step length is cut.
const PATIENCE: u32 = 30;
/// The same where circuits are taken whole: steps are dear there, and begin near the best prices.
const WHOLE_PATIENCE: u32 = 8;
/// Step factor where circuits begin to be taken whole.
const WHOLE_FACTOR: f64 = 0.3;
/// Cut of the step length.
const CUT: f64 = 0.6;
/// Below this step factor the climb starts again from the best prices.
const SHORTEST: f64 = 1e-3;
/// What the prices of passing move by, as a share of the way others move: they are sums over
/// all that pass a node, and swing more, most in jobs of many fixtures.
const PASSING: f64 = 0.3;
/// The same above [`MANY`] fixtures.
const PASSING_OF_MANY: f64 = 0.1;
/// Fixtures that are many.
const MANY: usize = 80;
/// Share of a fresh path in the running mean of a fixture's copper length.
const FRESH: f64 = 0.05;

/// Segments used by less than this share of relaxed plans count as idle.
const IDLE: f64 = 0.2;

/// Steps before the first fit of the copper lines; each later one waits twice as long.
const FIRST_FIT: u32 = 60;

/// What the fixtures whose cable passes a segment, in the direction that more of them take, come to.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Flow {
    /// Prices of copper.
    pub copper: f64,
    /// Least currents, A.
    pub amps: f64,
    /// Metres over ohms of their paths.
    pub pull: f64,
    /// Whether any passes, 0..=1.
    pub used: f64,
}

impl Flow {
    /// The line that suits prices of copper which come to `load` on the average.
    ///
    /// Where nothing passes the steepest line does most to keep it so: it asks of each
    /// fixture, while offers for a cable are shared by all.
    pub(super) fn line(&self, frontier: &PriceFrontier, load: f64) -> CopperLine {
        match frontier.steepest() {
            Some(steepest) if self.used < IDLE => steepest,
            _ => frontier.best_line(load / self.used.max(IDLE)),
        }
    }
}

/// A climb in progress.
#[derive(Clone, Debug)]
pub(crate) struct Climb {
    prices: Prices,
    direction: Vec<Vec<f64>>,
    /// Direction of the prices of passing, by node.
    passing: Vec<f64>,
    /// Direction of the prices of copper and of volts, by fixture; where circuits are taken whole.
    drops: DropDirections,
    /// Running mean of `2 l sqrt(slope)` along each fixture's cable path.
    copper_length: Vec<f64>,
    /// Metres of each fixture's cable path over the resistance it may have, running mean.
    pull: Vec<f64>,
    /// What passes each segment, running mean.
    flow: Vec<Flow>,
    factor: f64,
    since_better: u32,
    /// Best value of all.
    pub best: f64,
    /// Best value with the present copper lines, and the prices that gave it.
    here: (f64, Prices),
    /// The same before the last fit, with its lines.
    before_fit: Option<(f64, Vec<CopperLine>, Prices)>,
    next_fit: u32,
    /// Steps taken.
    pub steps: u32,
}

impl Climb {
    /// Starts from given prices.
    pub(crate) fn new(relaxation: &Relaxation, mut prices: Prices) -> Self {
        let copper_length: Vec<f64> = best_copper::distances(relaxation)
            .into_iter()
            .map(|distance| if distance.is_finite() { distance } else { 0.0 })
            .collect();
        best_copper::set(relaxation, &copper_length, &mut prices);
        Self {
            pull: vec![0.0; relaxation.loads.len()],
            flow: vec![Flow::default(); relaxation.graph.edges.len()],
            ..Self::at(prices, copper_length)
        }
    }

    /// A climb that stands at given prices and knows nothing.
    fn at(prices: Prices, copper_length: Vec<f64>) -> Self {
        Self {
            best: f64::NEG_INFINITY,
            here: (f64::NEG_INFINITY, prices.clone()),
            before_fit: None,
            next_fit: FIRST_FIT,
            direction: prices.rows.iter().map(|row| vec![0.0; row.len()]).collect(),
            drops: DropDirections::none(prices.rows.len()),
            passing: vec![0.0; prices.passing.len()],
            prices,
            copper_length,
            pull: Vec::new(),
            flow: Vec::new(),
            factor: 1.0,
            since_better: 0,
            steps: 0,
        }
    }

    /// Goes on from the best prices of another climb on the same job with other
    /// transformers allowed. Entering a site has no price where its cost is settled.
    pub(crate) fn branched(from: &Self, relaxation: &Relaxation) -> Self {
        let mut prices = from.here.1.clone();
        let (trench, cable) = (prices.blocks.trench_site, prices.blocks.cable_site);
        let sites = relaxation.entry.len();
        for row in &mut prices.rows {
            row[trench..trench + sites].fill(0.0);
            row[cable..cable + sites].fill(0.0);
        }
        best_copper::set(relaxation, &from.copper_length, &mut prices);
        Self {
            pull: from.pull.clone(),
            flow: from.flow.clone(),
            ..Self::at(prices, from.copper_length.clone())
        }
    }

    /// The same climb where every plan costs so much more.
    pub(super) fn raised(mut self, by: f64) -> Self {
        self.best += by;
        self.here.0 += by;
        if let Some((value, ..)) = &mut self.before_fit {
            *value += by;
        }
        self
    }

    /// Goes on from prices fitted to it, which `relaxation` has the lines of.
    pub(super) fn fitted(from: &Self, fitted: Fitted, relaxation: &mut Relaxation) -> Self {
        relaxation.line = fitted.lines;
        Self {
            pull: from.pull.clone(),
            flow: from.flow.clone(),
            ..Self::at(fitted.prices, fitted.lengths)
        }
    }

    /// Value of the dual function at the best prices.
    pub(super) fn value_here(&self, relaxation: &Relaxation) -> f64 {
        lagrangian::evaluate(relaxation, &self.here.1).value
    }

    /// The best prices with the present lines.
    pub(super) const fn best_prices(&self) -> &Prices {
        &self.here.1
    }

    /// What passes each segment.
    pub(super) fn flows(&self) -> &[Flow] {
        &self.flow
    }

    /// Metres over ohms of each fixture's path.
    pub(super) fn pulls(&self) -> &[f64] {
        &self.pull
    }

    /// Numbers held, roughly: the measure of its memory.
    pub(crate) fn size(&self) -> usize {
        let row = self.direction.first().map_or(0, Vec::len);
        4 * row * self.direction.len()
    }

    /// Evaluates once and moves on; `above` is the cost of a known plan, if any.
    pub(crate) fn step(&mut self, relaxation: &mut Relaxation, above: Option<f64>) {
        let found = lagrangian::evaluate(relaxation, &self.prices);
        self.steps += 1;
        self.remember(found.value);
        self.since_better += 1;
        let patience = if relaxation.whole {
            WHOLE_PATIENCE
        } else {
            PATIENCE
        };
        if self.since_better > patience {
            self.restart();
            return;
        }
        let margin = AHEAD * self.here.0.abs() + 1e-6;
        let target = above.map_or(f64::INFINITY, |above| above.max(self.here.0 + 1e-6));
        // Few fixtures: what is close is reached, and the farther aim only overshoots. Many: it
        // would take more steps than there are.
        let aims_far = above.is_some() && relaxation.makings.is_none() && !has_many(relaxation);
        let target = target.min(self.here.0 + margin * if aims_far { FARTHER } else { 1.0 });
        self.turn(relaxation, &found);
        self.advance(relaxation, (target - found.value).max(0.0));
        if relaxation.whole {
            return;
        }
        self.refresh_copper(relaxation, &found);
        if self.steps == self.next_fit {
            self.next_fit *= 2;
            self.fit_lines(relaxation);
        }
    }

    /// Whether prices of copper and of losses move like others, or are set anew each step as
    /// the paths seem to need.
    const fn copper_moves(&self, relaxation: &Relaxation) -> bool {
        relaxation.whole || self.steps > STEPS_SET
    }

    fn remember(&mut self, value: f64) {
        self.best = self.best.max(value);
        if value > self.here.0 {
            if value - self.here.0 > 1e-4 * value.abs() {
                self.since_better = 0;
            }
            self.here = (value, self.prices.clone());
        }
    }

    /// Back to the best prices, with shorter steps.
    fn restart(&mut self) {
        self.since_better = 0;
        self.factor *= CUT;
        if self.factor < SHORTEST {
            self.factor = 0.3;
        }
        self.prices = self.here.1.clone();
        self.direction.iter_mut().for_each(|row| row.fill(0.0));
        self.passing.fill(0.0);
        self.drops = DropDirections::none(self.prices.rows.len());
    }

    /// Gives each segment the copper line that suits the drops priced through it
    /// since the last fit, or takes the last fit back when it did not pay.
    ///
    /// Flat lines stay: a job that starts flat has no drops priced at all.
    fn fit_lines(&mut self, relaxation: &mut Relaxation) {
        let priced = self.here.1.copper.iter().copied().filter(|t| *t > 0.0);
        let least = priced.fold(f64::INFINITY, f64::min);
        if !least.is_finite() {
            return;
        }
        if let Some((value, lines, prices)) = &self.before_fit
            && *value > self.here.0
        {
            relaxation.line.clone_from(lines);
            self.here = (*value, prices.clone());
        } else {
            self.before_fit = Some((self.here.0, relaxation.line.clone(), self.here.1.clone()));
            for (line, flow) in relaxation.line.iter_mut().zip(&self.flow) {
                *line = flow.line(&relaxation.frontier, flow.copper.max(least));
            }
            self.here.0 = f64::NEG_INFINITY;
        }
        self.factor = 1.0;
        self.since_better = 0;
        self.prices = self.here.1.clone();
        self.direction.iter_mut().for_each(|row| row.fill(0.0));
        self.passing.fill(0.0);
        self.drops = DropDirections::none(self.prices.rows.len());
    }

    /// Direction: what the fixtures use, less what the things shared would let them use.
    fn turn(&mut self, relaxation: &Relaxation, found: &Evaluation) {
        let blocks = self.prices.blocks;
        self.direction
            .iter_mut()
            .zip(&found.paths)
            .for_each(|(row, paths)| {
                row.iter_mut().for_each(|entry| *entry *= DEFLECTION);
                if let Some(path) = &paths.trench {
                    row[blocks.trench_site + path.site] += 1.0;
                    path.arcs
                        .iter()
                        .for_each(|arc| row[blocks.trench_arc + arc] += 1.0);
                }
                if let Some(path) = &paths.cable {
                    row[blocks.cable_site + path.site] += 1.0;
                    for arc in &path.arcs {
                        row[blocks.open_edge + arc / 2] += 1.0;
                    }
                    if !relaxation.whole {
                        row[blocks.landing + path.landing] += 1.0;
                        for arc in &path.arcs {
                            row[blocks.cable_arc + arc] += 1.0;
                        }
                    }
                }
                for &(edge, arc) in &found.opened {
                    row[blocks.open_edge + edge] -= 1.0;
                    row[blocks.trench_arc + arc] -= 1.0;
                }
                for &site in &found.sites {
                    row[blocks.trench_site + site] -= 1.0;
                    row[blocks.cable_site + site] -= 1.0;
                }
            });
        let share = passing_share(relaxation);
        for (direction, found) in self.passing.iter_mut().zip(&found.passing) {
            *direction = *direction * DEFLECTION + share * found;
        }
        if self.copper_moves(relaxation) {
            self.drops.turn(relaxation, &self.prices, &found.drops);
        }
        for using in &found.cables {
            for &(f, fraction) in &using.settled.users {
                self.direction[f][blocks.cable_arc + using.place] -= fraction;
            }
        }
        for using in &found.joints {
            for &(f, fraction) in &using.settled.users {
                if let Ok(slot) = relaxation.loads[f].landings.binary_search(&using.place) {
                    self.direction[f][blocks.landing + slot] -= fraction;
                }
            }
        }
    }

    fn advance(&mut self, relaxation: &Relaxation, shortfall: f64) {
        let norms: Vec<f64> = self
            .direction
            .iter_mut()
            .zip(&self.prices.rows)
            .map(|(direction, prices)| {
                let mut norm = 0.0;
                for (entry, price) in direction.iter_mut().zip(prices) {
                    if *entry < 0.0 && *price <= 0.0 {
                        *entry = 0.0;
                    }
                    norm += *entry * *entry;
                }
                norm
            })
            .collect();
        let passing = self.passing.iter_mut().zip(&self.prices.passing);
        let passing: f64 = passing
            .map(|(direction, price)| {
                if *direction < 0.0 && *price <= 0.0 {
                    *direction = 0.0;
                }
                *direction * *direction
            })
            .sum();
        let norm: f64 = norms.iter().sum::<f64>() + passing + self.drops.square();
        if norm <= 0.0 {
            return;
        }
        let length = self.factor * shortfall / norm;
        if self.copper_moves(relaxation) {
            self.drops.advance(relaxation, &mut self.prices, length);
        }
        if !relaxation.whole {
            self.advance_passing(relaxation, length);
        }
        self.prices
            .rows
            .iter_mut()
            .zip(&self.direction)
            .for_each(|(prices, direction)| {
                for (price, entry) in prices.iter_mut().zip(direction) {
                    *price = (*price + length * entry).max(0.0);
                }
            });
    }

    /// Moves the prices of passing so far as they may.
    fn advance_passing(&mut self, relaxation: &Relaxation, length: f64) {
        let share = passing_share(relaxation);
        let each = self.prices.passing.iter().zip(&self.passing);
        let wanted: Vec<f64> = each
            .map(|(price, direction)| (price + length * share * direction).max(0.0))
            .collect();
        self.prices.passing = passing::lawful(relaxation, &wanted);
        let each = self.passing.iter_mut().zip(&self.prices.passing);
        for ((direction, price), wanted) in each.zip(&wanted) {
            if *direction > 0.0 && price < wanted {
                *direction = 0.0;
            }
        }
    }

    /// Goes on with circuits taken whole, from the best prices.
    pub(super) fn take_whole(&mut self, relaxation: &mut Relaxation) {
        relaxation.whole = true;
        self.restart();
        self.here.0 = f64::NEG_INFINITY;
        self.factor = WHOLE_FACTOR;
    }

    fn refresh_copper(&mut self, relaxation: &Relaxation, found: &Evaluation) {
        let edges = relaxation.graph.edges.len();
        let mut now = vec![Flow::default(); 2 * edges];
        let mut slope: Vec<f64> = (0..2 * edges)
            .map(|arc| relaxation.copper(arc / 2))
            .collect();
        for using in &found.cables {
            slope[using.place] = using.settled.slope;
        }
        for (f, paths) in found.paths.iter().enumerate() {
            let Some(path) = &paths.cable else { continue };
            let (mut length, mut metres) = (0.0, 0.0);
            for arc in &path.arcs {
                length += slope[*arc];
                metres += relaxation.graph.edges[arc / 2].metres;
            }
            self.copper_length[f] += FRESH * (length - self.copper_length[f]);
            let at = relaxation.loosest[f];
            let pull = if at.ohms > 0.0 { metres / at.ohms } else { 0.0 };
            self.pull[f] += FRESH * (pull - self.pull[f]);
            for &arc in &path.arcs {
                now[arc].copper += self.prices.copper[f];
                now[arc].amps += at.amps;
                now[arc].pull += pull;
            }
        }
        for (mean, now) in self.flow.iter_mut().zip(now.chunks_exact(2)) {
            let busier = if now[1].amps > now[0].amps {
                now[1]
            } else {
                now[0]
            };
            mean.copper += FRESH * (busier.copper - mean.copper);
            mean.amps += FRESH * (busier.amps - mean.amps);
            mean.pull += FRESH * (busier.pull - mean.pull);
            let used = if busier.amps > 0.0 { 1.0 } else { 0.0 };
            mean.used += FRESH * (used - mean.used);
        }
        match self.copper_moves(relaxation) {
            true => best_copper::set_fall(relaxation, &mut self.prices),
            false => best_copper::set(relaxation, &self.copper_length, &mut self.prices),
        }
    }
}

/// Whether steps are few for what there is to price.
const fn has_many(relaxation: &Relaxation) -> bool {
    relaxation.loads.len() > MANY
}

/// What the prices of passing move by, as a share of the way others move.
const fn passing_share(relaxation: &Relaxation) -> f64 {
    match has_many(relaxation) {
        true => PASSING_OF_MANY,
        false => PASSING,
    }
}
