//! The reading that best parts the explanations left.

use super::evidence::spread;
use super::library::Library;
use super::rank::Ranking;

/// Groups compared.
const COMPARED: usize = 8;
/// Least share that keeps a group in the comparison: the runner-up always stays.
const LEAST_SHARE: f64 = 0.002;
/// Least separation worth a walk: a bad chance of telling anything apart.
const WORTH: f64 = 0.02;

/// A reading to take next.
#[derive(Clone, Debug, PartialEq)]
pub struct Next {
    /// Position of the measurement in the library.
    pub measurement: usize,
    /// Each group compared (by position) and what it predicts.
    pub predictions: Vec<(usize, f64)>,
    /// 0 none, 1 parts all for certain.
    pub separation: f64,
}

/// Chooses among what was not yet read and can be reached.
///
/// Two predictions `d` standard deviations apart overlap by `exp(-d²/8)` (A.
/// Bhattacharyya, 1943: normal distributions of equal spread); a reading is worth the sum
/// over pairs of groups of the product of their shares times what does not overlap.
#[must_use]
pub fn next(library: &Library<'_>, ranking: &Ranking) -> Option<Next> {
    let groups = ranking.groups();
    let shares = ranking.shares();
    let weight = |group: &[usize]| group.iter().map(|&index| shares[index]).sum::<f64>();
    let compared: Vec<(usize, f64, &[f64])> = groups
        .iter()
        .enumerate()
        .take(COMPARED)
        .map(|(position, group)| {
            let first = &ranking.explanations[group[0]];
            (
                position,
                weight(group).max(LEAST_SHARE),
                first.prediction.as_slice(),
            )
        })
        .collect();
    // Within the first group too: readings not yet taken may part what those taken cannot.
    let inside: Vec<(usize, f64, &[f64])> = groups
        .first()
        .into_iter()
        .flatten()
        .take(COMPARED)
        .map(|&index| {
            let explanation = &ranking.explanations[index];
            (
                0,
                shares[index].max(LEAST_SHARE),
                explanation.prediction.as_slice(),
            )
        })
        .collect();
    let mut best: Option<Next> = None;
    for position in 0..library.measurements.len() {
        if !library.reachable[position] || ranking.evidence.positions.contains(&position) {
            continue;
        }
        let worth = worth(library, position, &compared) + worth(library, position, &inside);
        if worth > best.as_ref().map_or(WORTH * WORTH, |best| best.separation) {
            best = Some(Next {
                measurement: position,
                predictions: compared
                    .iter()
                    .map(|&(group, _, prediction)| (group, prediction[position]))
                    .collect(),
                separation: worth,
            });
        }
    }
    best
}

fn worth(library: &Library<'_>, position: usize, among: &[(usize, f64, &[f64])]) -> f64 {
    let total: f64 = among.iter().map(|&(_, weight, _)| weight).sum();
    let mut worth = 0.0;
    for (index, &(_, weight, prediction)) in among.iter().enumerate() {
        for &(_, other_weight, other) in &among[index + 1..] {
            let (a, b) = (prediction[position], other[position]);
            let apart = (a - b) / spread(library, position, a.max(b), &library.by);
            let parted = 1.0 - (-apart * apart / 8.0).exp();
            worth += weight * other_weight * parted;
        }
    }
    worth / (total * total)
}
