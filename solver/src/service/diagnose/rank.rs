//! Explanations in order of probability, those that cannot be told apart together.

use super::evidence::{Evidence, Fit, Reading, between, nearest, squared_distance};
use super::library::Library;
use crate::service::fault::Fault;
use crate::service::point::Quantity;

/// Prior probability that anything is wrong. Someone who takes readings has a reason,
/// but a false alarm costs a dug-up joint (a choice, no source).
pub(super) const WRONG: f64 = 0.05;
/// What a size that was fitted to the readings costs, in units of log-likelihood: half
/// the logarithm of about the number of standard deviations that the sizes span.
const SIZE_COST: f64 = 1.5;
/// Explanations looked at with their own straying, from those best without.
const CLOSER: usize = 60;
/// Squared distance below which two explanations cannot be told apart: one standard
/// deviation, odds of at most 1.65.
pub const TWINS: f64 = 1.0;

/// An explanation with its fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// What is wrong, with sizes; empty for a sound installation.
    pub faults: Vec<(Fault, f64)>,
    /// Squared distance from the readings, standard deviations.
    pub misfit: f64,
    /// Logarithm of likelihood times prior.
    pub score: f64,
    /// Prediction for each measurement of the library.
    pub prediction: Vec<f64>,
}

/// Every explanation worth naming, best first.
#[derive(Clone, Debug)]
pub struct Ranking {
    /// Explanations by score.
    pub explanations: Vec<Explanation>,
    /// Readings without any explanation's own straying.
    pub evidence: Evidence,
}

/// Ranks the sound installation and all single faults.
#[must_use]
pub fn rank(library: &Library<'_>, readings: &[Reading]) -> Ranking {
    let evidence = Evidence::of(library, readings, |_, _| 1.0);
    let mut fits: Vec<(usize, Fit, f64)> = library
        .predicted
        .iter()
        .enumerate()
        .map(|(index, predicted)| {
            let whitened: Vec<Vec<f64>> = predicted
                .sizes
                .iter()
                .map(|size| evidence.whiten(&size.readings))
                .collect();
            let fit = nearest(predicted, &whitened, evidence.read());
            let rough = predicted.log_prior - 0.5 * fit.misfit;
            (index, fit, rough)
        })
        .collect();
    fits.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.cmp(&b.0)));
    fits.truncate(CLOSER);
    let mut explanations: Vec<Explanation> = fits
        .into_iter()
        .map(|(index, fit, _)| closer(library, readings, index, &fit))
        .collect();
    explanations.push(sound(library, &evidence));
    sort(&mut explanations);
    Ranking {
        explanations,
        evidence,
    }
}

/// Best first; equals stay in their order.
pub(super) fn sort(explanations: &mut [Explanation]) {
    explanations.sort_by(|a, b| b.score.total_cmp(&a.score));
}

fn sound(library: &Library<'_>, evidence: &Evidence) -> Explanation {
    let misfit = evidence.misfit(&evidence.whiten(&library.sound));
    Explanation {
        faults: Vec::new(),
        misfit,
        score: (1.0 - WRONG).ln() + evidence.log_likelihood(misfit),
        prediction: library.sound.clone(),
    }
}

/// A hypothesis with the straying of an installation that has its fault.
fn closer(library: &Library<'_>, readings: &[Reading], index: usize, fit: &Fit) -> Explanation {
    let predicted = &library.predicted[index];
    let rough = between(predicted, fit.place);
    let evidence = Evidence::of(library, readings, own_scale(library, &rough));
    let whitened: Vec<Vec<f64>> = predicted
        .sizes
        .iter()
        .map(|size| evidence.whiten(&size.readings))
        .collect();
    let fit = nearest(predicted, &whitened, evidence.read());
    let cost = if predicted.hypothesis.continuous && predicted.sizes.len() > 1 {
        SIZE_COST
    } else {
        0.0
    };
    let fault = predicted.hypothesis.fault;
    let (prediction, misfit) = exactly(library, &evidence, fault, &fit)
        .unwrap_or_else(|| (between(predicted, fit.place), fit.misfit));
    Explanation {
        faults: vec![(fault, fit.size)],
        misfit,
        score: WRONG.ln() + predicted.log_prior - cost + evidence.log_likelihood(misfit),
        prediction,
    }
}

/// The fitted size simulated, where it lies between two sizes: the straight line between
/// them is only near it. `None` where it does not, or the line itself fits better.
fn exactly(
    library: &Library<'_>,
    evidence: &Evidence,
    fault: Fault,
    fit: &Fit,
) -> Option<(Vec<f64>, f64)> {
    if fit.place.1 <= 0.0 {
        return None;
    }
    let prediction = library.simulate(&[(fault, fit.size)])?;
    let misfit = evidence.misfit(&evidence.whiten(&prediction));
    (misfit < fit.misfit).then_some((prediction, misfit))
}

/// How much an installation strays that does not carry what was planned: currents in
/// proportion to themselves, voltages by the line in proportion to themselves and
/// otherwise in proportion to their drop.
pub(super) fn own_scale<'a>(
    library: &'a Library<'_>,
    prediction: &'a [f64],
) -> impl Fn(usize, usize) -> f64 + 'a {
    const NO_VOLTS: f64 = 0.5;
    const NO_AMPS: f64 = 1e-3;
    move |way, position| {
        let (now, planned) = (prediction[position], library.sound[position]);
        match library.measurements[position].quantity {
            Quantity::Volts | Quantity::VoltsUnloaded => {
                if now < NO_VOLTS || planned < NO_VOLTS {
                    return 0.0;
                }
                if way == 0 {
                    return now / planned;
                }
                let unloaded = planned * (1.0 + library.healthy.circuitry.regulation);
                let drop = (unloaded - now).max(0.0) / (unloaded - planned).max(0.01 * unloaded);
                drop.clamp(0.3, 4.0)
            }
            _ if planned < NO_AMPS => 1.0,
            _ => (now / planned).clamp(0.0, 4.0),
        }
    }
}

impl Ranking {
    /// Explanations in groups that these readings cannot tell apart, best first;
    /// positions among [`Self::explanations`].
    #[must_use]
    pub fn groups(&self) -> Vec<Vec<usize>> {
        let whitened: Vec<Vec<f64>> = self
            .explanations
            .iter()
            .map(|explanation| self.evidence.whiten(&explanation.prediction))
            .collect();
        let mut left: Vec<usize> = (0..self.explanations.len()).collect();
        let mut groups = Vec::new();
        while let Some(&first) = left.first() {
            let near =
                |&other: &usize| squared_distance(&whitened[first], &whitened[other]) < TWINS;
            let (group, rest) = left.iter().partition::<Vec<usize>, _>(|other| near(other));
            groups.push(group);
            left = rest;
        }
        groups
    }

    /// Probability of each explanation among those ranked.
    #[must_use]
    pub fn shares(&self) -> Vec<f64> {
        let best = self.explanations.first().map_or(0.0, |best| best.score);
        let odds: Vec<f64> = self
            .explanations
            .iter()
            .map(|explanation| (explanation.score - best).exp())
            .collect();
        let total: f64 = odds.iter().sum();
        odds.into_iter().map(|odds| odds / total).collect()
    }

    /// Whether the best explanation is none: its misfit would come about once in ten thousand.
    ///
    /// The quantile of chi-squared by E. B. Wilson and M. M. Hilferty, PNAS 17 (1931).
    #[must_use]
    pub fn is_unexplained(&self) -> bool {
        const QUANTILE: f64 = 3.719;
        let n = self.evidence.positions.len() as f64;
        let Some(best) = self.explanations.first() else {
            return false;
        };
        if n < 1.0 {
            return false;
        }
        let root = 1.0 - 2.0 / (9.0 * n) + QUANTILE * (2.0 / (9.0 * n)).sqrt();
        best.misfit > n * root * root * root
    }
}
