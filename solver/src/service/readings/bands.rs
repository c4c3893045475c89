//! Bands by Monte Carlo: the installation strays, the meter errs, and the middle 95 % of
//! what it then shows is the band.
//!
//! JCGM 101:2008 propagates distributions so; its adaptive procedure is not needed for
//! bands that a crew reads to a tenth of a volt.

use super::order::Step;
use crate::service::condition::Condition;
use crate::service::point::Measurement;
use crate::service::uncertainty::{Stray, Uncertainty, normal};
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

/// How the bands are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draws {
    /// Uncertainties.
    pub by: Uncertainty,
    /// Installations drawn, at least 40.
    pub count: usize,
    /// Seed.
    pub seed: u64,
}

impl Default for Draws {
    fn default() -> Self {
        Self {
            by: Uncertainty::default(),
            count: 400,
            seed: 1,
        }
    }
}

/// What a meter should show.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Band {
    /// As planned: nominal line, expected temperature, no error.
    pub expected: f64,
    /// 2.5 % of sound installations read less.
    pub low: f64,
    /// 2.5 % of sound installations read more.
    pub high: f64,
}

/// Share of readings outside a band at each end.
const TAIL: f64 = 0.025;

/// The bands of one step, in the order of its readings.
#[must_use]
pub fn bands(healthy: &Condition, step: &Step, draws: &Draws) -> Vec<Band> {
    let expected = read(healthy.clone(), step);
    let drawn: Vec<Vec<f64>> = (0..draws.count as u64)
        .into_par_iter()
        .map(|index| {
            let mut random =
                Pcg64Mcg::seed_from_u64(draws.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ index);
            let mut condition = healthy.clone();
            let stray = Stray::draw(&condition.circuitry, &mut random);
            stray.apply(&mut condition.circuitry, &draws.by);
            condition.line = condition.circuitry.line;
            let truth = read(condition, step);
            let erring = step.readings.iter().zip(truth);
            erring
                .map(|(reading, truth)| {
                    truth + draws.by.meter(reading.quantity, truth) * normal(&mut random)
                })
                .collect()
        })
        .collect();
    let each = expected.into_iter().enumerate();
    each.map(|(position, expected)| {
        let mut values: Vec<f64> = drawn.iter().map(|values| values[position]).collect();
        values.sort_by(f64::total_cmp);
        let tail = (TAIL * values.len() as f64) as usize;
        Band {
            expected,
            low: values[tail].max(0.0),
            high: values[values.len() - 1 - tail],
        }
    })
    .collect()
}

fn read(mut condition: Condition, step: &Step) -> Vec<f64> {
    step.stage.prepare(&mut condition);
    let state = condition.solve();
    let value = |&reading: &Measurement| condition.reading(&state, reading);
    step.readings.iter().map(value).collect()
}
