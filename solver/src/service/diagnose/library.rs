//! What every hypothesis predicts for every reading of one transformer.

use crate::ids::PlacedId;
use crate::job::Job;
use crate::plan::Plan;
use crate::service::circuitry::Circuitry;
use crate::service::condition::Condition;
use crate::service::fault::{Controls, Fault, Hypothesis, Kind, Outcome, afflict, hypotheses};
use crate::service::mains_volts;
use crate::service::point::{Measurement, is_reachable, measurements};
use crate::service::uncertainty::{Stray, Uncertainty};
use rayon::prelude::*;

/// Standard deviations by which a way of straying is tried; central differences.
const TRIED: f64 = 1.0;

/// A hypothesis simulated at one size.
#[derive(Clone, Debug, PartialEq)]
pub struct Simulated {
    /// Size.
    pub size: f64,
    /// Prediction for each measurement of the library.
    pub readings: Vec<f64>,
}

/// A hypothesis with its predictions, sizes that cannot be left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Predicted {
    /// The hypothesis.
    pub hypothesis: Hypothesis,
    /// Predictions by size; at least one.
    pub sizes: Vec<Simulated>,
    /// Logarithm of its prior probability, given that something is wrong.
    pub log_prior: f64,
}

/// All predictions for one transformer of a plan.
#[derive(Debug)]
pub struct Library<'a> {
    /// The job.
    pub job: &'a Job,
    /// The plan.
    pub plan: &'a Plan,
    /// The transformer.
    pub transformer: PlacedId,
    /// As planned and on.
    pub healthy: Condition,
    /// What can be read.
    pub measurements: Vec<Measurement>,
    /// Whether a technician gets at each of them in a finished installation.
    pub reachable: Vec<bool>,
    /// Readings of the installation as planned.
    pub sound: Vec<f64>,
    /// Change of each reading by one standard deviation of each way of straying; the line first.
    pub ways: Vec<Vec<f64>>,
    /// Hypotheses.
    pub predicted: Vec<Predicted>,
    /// Uncertainties.
    pub by: Uncertainty,
}

impl<'a> Library<'a> {
    /// Simulates everything: some thousand power flows, in parallel, the same on any number of threads.
    ///
    /// # Panics
    /// When the ids of the plan were made for another job.
    #[must_use]
    pub fn of(
        job: &'a Job,
        plan: &'a Plan,
        transformer: PlacedId,
        controls: Controls,
        by: &Uncertainty,
    ) -> Self {
        let circuitry = Circuitry::of(job, plan, transformer);
        let measurements = measurements(plan, &circuitry);
        let reachable = measurements
            .iter()
            .map(|measurement| is_reachable(plan, &circuitry, measurement.point))
            .collect();
        let hypotheses = hypotheses(job, plan, &circuitry, controls);
        let healthy = Condition::healthy(circuitry, mains_volts(job));
        let predicted = hypotheses
            .par_iter()
            .map(|hypothesis| predict(job, plan, &healthy, &measurements, hypothesis))
            .collect::<Vec<_>>()
            .into_iter()
            .flatten()
            .collect();
        let mut made = Self {
            job,
            plan,
            transformer,
            sound: read(&mut healthy.clone(), &measurements),
            ways: ways(&healthy, &measurements, by),
            healthy,
            measurements,
            reachable,
            predicted,
            by: *by,
        };
        made.weigh();
        made
    }

    /// Every kind is as likely as any other, and every hypothesis of a kind as likely as
    /// the others of that kind: no statistics of faults in such installations are known.
    fn weigh(&mut self) {
        let kinds: Vec<Kind> = Kind::ALL
            .into_iter()
            .filter(|&kind| self.count(kind) > 0)
            .collect();
        let counts: Vec<usize> = self
            .predicted
            .iter()
            .map(|predicted| self.count(predicted.hypothesis.fault.kind()))
            .collect();
        for (predicted, count) in self.predicted.iter_mut().zip(counts) {
            predicted.log_prior = -((kinds.len() * count) as f64).ln();
        }
    }

    fn count(&self, kind: Kind) -> usize {
        let of_kind = self.predicted.iter();
        of_kind
            .filter(|predicted| predicted.hypothesis.fault.kind() == kind)
            .count()
    }

    /// Position of a measurement among the library's.
    #[must_use]
    pub fn position(&self, measurement: Measurement) -> Option<usize> {
        self.measurements
            .iter()
            .position(|&known| known == measurement)
    }

    /// Exact prediction of faults together; `None` when they cannot be so.
    #[must_use]
    pub fn simulate(&self, faults: &[(Fault, f64)]) -> Option<Vec<f64>> {
        simulate(
            self.job,
            self.plan,
            &self.healthy,
            &self.measurements,
            faults,
        )
    }
}

fn predict(
    job: &Job,
    plan: &Plan,
    healthy: &Condition,
    measurements: &[Measurement],
    hypothesis: &Hypothesis,
) -> Option<Predicted> {
    let sizes: Vec<Simulated> = hypothesis
        .sizes
        .iter()
        .filter_map(|&size| {
            let faults = [(hypothesis.fault, size)];
            let readings = simulate(job, plan, healthy, measurements, &faults)?;
            Some(Simulated { size, readings })
        })
        .collect();
    (!sizes.is_empty()).then(|| Predicted {
        hypothesis: hypothesis.clone(),
        sizes,
        log_prior: 0.0,
    })
}

fn simulate(
    job: &Job,
    plan: &Plan,
    healthy: &Condition,
    measurements: &[Measurement],
    faults: &[(Fault, f64)],
) -> Option<Vec<f64>> {
    let Outcome::Stands(stands) = afflict(job, plan, healthy, faults) else {
        return None;
    };
    let (condition, state) = *stands;
    let value = |&measurement: &Measurement| condition.reading(&state, measurement);
    Some(measurements.iter().map(value).collect())
}

fn read(condition: &mut Condition, measurements: &[Measurement]) -> Vec<f64> {
    let state = condition.solve();
    let value = |&measurement: &Measurement| condition.reading(&state, measurement);
    measurements.iter().map(value).collect()
}

fn ways(healthy: &Condition, measurements: &[Measurement], by: &Uncertainty) -> Vec<Vec<f64>> {
    let none = Stray::none(&healthy.circuitry);
    let strayed = |way: usize, amount: f64| {
        let mut stray = none.clone();
        *stray.way(way) = amount;
        let mut condition = healthy.clone();
        stray.apply(&mut condition.circuitry, by);
        condition.line = condition.circuitry.line;
        read(&mut condition, measurements)
    };
    (0..none.count())
        .into_par_iter()
        .map(|way| {
            let more = strayed(way, TRIED);
            let less = strayed(way, -TRIED);
            let both = measurements.iter().zip(more.iter().zip(&less));
            both.map(|(measurement, (more, less))| {
                if measurement.quantity.is_seen() {
                    0.0
                } else {
                    (more - less) / (2.0 * TRIED)
                }
            })
            .collect()
        })
        .collect()
}
