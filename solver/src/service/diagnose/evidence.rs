//! Readings against predictions: distances in standard deviations.
//!
//! A reading is the prediction plus what a sound installation strays (a sum over
//! independent ways, each shifting many readings together) plus the error of the meter.
//! All are normal, so readings are normal with covariance `R + sum J Jᵀ`, and a distance is
//! a sum of squares after whitening by the Cholesky factor of that matrix.

use super::library::{Library, Predicted};
use crate::service::uncertainty::Uncertainty;

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Position of the measurement in the library.
    pub measurement: usize,
    /// What was read, in the quantity's unit; yes as 1, no as 0.
    pub value: f64,
}

/// Readings made ready for comparison.
#[derive(Clone, Debug)]
pub struct Evidence {
    /// Positions of the measurements in the library.
    pub positions: Vec<usize>,
    /// Lower triangle of the Cholesky factor, row by row.
    factor: Vec<f64>,
    /// The readings, whitened.
    read: Vec<f64>,
    /// Logarithm of the determinant of the covariance.
    log_determinant: f64,
}

impl Evidence {
    /// Readies readings; `scale` multiplies the effect of a way (0 is the line) on a
    /// measurement, both by position in the library.
    #[must_use]
    pub fn of(
        library: &Library<'_>,
        readings: &[Reading],
        scale: impl Fn(usize, usize) -> f64,
    ) -> Self {
        let positions: Vec<usize> = readings.iter().map(|reading| reading.measurement).collect();
        let n = positions.len();
        let mut matrix = vec![0.0; n * (n + 1) / 2];
        for (way, effects) in library.ways.iter().enumerate() {
            let effects: Vec<f64> = positions
                .iter()
                .map(|&position| effects[position] * scale(way, position))
                .collect();
            for i in (0..n).filter(|&i| effects[i] != 0.0) {
                for j in 0..=i {
                    matrix[i * (i + 1) / 2 + j] += effects[i] * effects[j];
                }
            }
        }
        for (i, reading) in readings.iter().enumerate() {
            let quantity = library.measurements[reading.measurement].quantity;
            let error = library.by.meter(quantity, reading.value);
            matrix[i * (i + 1) / 2 + i] += error * error;
        }
        cholesky(&mut matrix, n);
        let log_determinant = (0..n).map(|i| 2.0 * matrix[i * (i + 1) / 2 + i].ln()).sum();
        let mut read: Vec<f64> = readings.iter().map(|reading| reading.value).collect();
        forward(&matrix, &mut read);
        Self {
            positions,
            factor: matrix,
            read,
            log_determinant,
        }
    }

    /// A prediction, whitened. `prediction` has a value for each measurement of the library.
    #[must_use]
    pub fn whiten(&self, prediction: &[f64]) -> Vec<f64> {
        let mut values: Vec<f64> = self
            .positions
            .iter()
            .map(|&position| prediction[position])
            .collect();
        forward(&self.factor, &mut values);
        values
    }

    /// Squared distance of a whitened prediction from the readings.
    #[must_use]
    pub fn misfit(&self, whitened: &[f64]) -> f64 {
        squared_distance(&self.read, whitened)
    }

    /// The readings, whitened.
    #[must_use]
    pub fn read(&self) -> &[f64] {
        &self.read
    }

    /// Logarithm of the likelihood, a constant apart.
    #[must_use]
    pub fn log_likelihood(&self, misfit: f64) -> f64 {
        -0.5 * (misfit + self.log_determinant)
    }
}

/// Where along its sizes a hypothesis comes nearest to something.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Size.
    pub size: f64,
    /// Squared distance.
    pub misfit: f64,
    /// The prediction there, whitened.
    pub whitened: Vec<f64>,
    /// Position of the size at or before it, and the share of the way to the next.
    pub place: (usize, f64),
}

/// The size at which a hypothesis comes nearest to `target`, predictions between two
/// sizes taken on the straight line between theirs.
#[must_use]
pub fn nearest(predicted: &Predicted, whitened: &[Vec<f64>], target: &[f64]) -> Fit {
    let at = |index: usize| Fit {
        size: predicted.sizes[index].size,
        misfit: squared_distance(target, &whitened[index]),
        whitened: whitened[index].clone(),
        place: (index, 0.0),
    };
    let mut best = at(0);
    for index in 1..whitened.len() {
        let end = at(index);
        if end.misfit < best.misfit {
            best = end;
        }
        if !predicted.hypothesis.continuous {
            continue;
        }
        let (from, to) = (&whitened[index - 1], &whitened[index]);
        let (mut along, mut length) = (0.0, 0.0);
        for ((from, to), target) in from.iter().zip(to).zip(target) {
            along += (target - from) * (to - from);
            length += (to - from) * (to - from);
        }
        let share = along / length;
        if share > 0.0 && share < 1.0 {
            let whitened: Vec<f64> = from
                .iter()
                .zip(to)
                .map(|(from, to)| from + share * (to - from))
                .collect();
            let misfit = squared_distance(target, &whitened);
            if misfit < best.misfit {
                let (a, b) = (predicted.sizes[index - 1].size, predicted.sizes[index].size);
                best = Fit {
                    size: a * (share * (b / a).ln()).exp(),
                    misfit,
                    whitened,
                    place: (index - 1, share),
                };
            }
        }
    }
    best
}

/// The prediction of a hypothesis at a place between its sizes.
#[must_use]
pub fn between(predicted: &Predicted, (index, share): (usize, f64)) -> Vec<f64> {
    let from = &predicted.sizes[index].readings;
    match predicted.sizes.get(index + 1) {
        Some(to) if share > 0.0 => from
            .iter()
            .zip(&to.readings)
            .map(|(from, to)| from + share * (to - from))
            .collect(),
        _ => from.clone(),
    }
}

/// Squared distance of two whitened vectors.
#[must_use]
pub fn squared_distance(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum()
}

/// Standard deviation of one reading: meter and straying together.
#[must_use]
pub fn spread(library: &Library<'_>, position: usize, value: f64, by: &Uncertainty) -> f64 {
    let meter = by.meter(library.measurements[position].quantity, value);
    let strayed: f64 = library
        .ways
        .iter()
        .map(|effects| effects[position] * effects[position])
        .sum();
    (meter * meter + strayed).sqrt()
}

/// Cholesky factor of a positive definite matrix given by its lower triangle, in place.
fn cholesky(matrix: &mut [f64], n: usize) {
    for i in 0..n {
        let row = i * (i + 1) / 2;
        for j in 0..=i {
            let other = j * (j + 1) / 2;
            let dot: f64 = (0..j).map(|k| matrix[row + k] * matrix[other + k]).sum();
            let rest = matrix[row + j] - dot;
            matrix[row + j] = if i == j {
                rest.max(f64::MIN_POSITIVE).sqrt()
            } else {
                rest / matrix[other + j]
            };
        }
    }
}

/// Solves `L x = values` in place.
fn forward(factor: &[f64], values: &mut [f64]) {
    for i in 0..values.len() {
        let row = i * (i + 1) / 2;
        let (known, rest) = values.split_at_mut(i);
        let dot: f64 = factor[row..row + i]
            .iter()
            .zip(&*known)
            .map(|(l, x)| l * x)
            .sum();
        rest[0] = (rest[0] - dot) / factor[row + i];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whitening_undoes_the_covariance() {
        // [[4, 2], [2, 5]] = L Lᵀ with L = [[2, 0], [1, 2]].
        let mut matrix = vec![4.0, 2.0, 5.0];
        cholesky(&mut matrix, 2);
        assert_eq!(matrix, [2.0, 1.0, 2.0]);
        let mut values = [2.0, 5.0];
        forward(&matrix, &mut values);
        assert_eq!(values, [1.0, 2.0]);
    }
}
