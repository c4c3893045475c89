//! Loading margin: how much more load a feeder would bear before it collapses.

use super::feeder::Feeder;
use super::source::Physics;
use super::sweep::{NoSolution, Sweep};

/// How far a feeder is from its fold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LoadingMargin {
    /// It collapses when every load is multiplied by `1 + share`.
    Fold {
        /// More load borne, as a share of the present load, > 0.
        share: f64,
    },
    /// No fold within [`LARGEST_FACTOR`] times the present load; with every exponent
    /// at 1 or above there is no fold of power at all.
    NoneFound,
}

impl LoadingMargin {
    /// The margin in percent of the present load; `None` when no fold was found.
    #[must_use]
    pub fn percent(self) -> Option<f64> {
        match self {
            Self::Fold { share } => Some(100.0 * share),
            Self::NoneFound => None,
        }
    }
}

/// Largest multiple of the present load that is tried.
pub const LARGEST_FACTOR: f64 = 1e6;

/// Relative width at which the bisection stops.
const RESOLUTION: f64 = 1e-10;

/// Finds the multiple of all loads at which the feeder has no operating point any more.
///
/// Doubles, then bisects to 1e-10 of the multiple: about 40 solutions. The lower end is
/// returned, a multiple that was solved. `source_v`: voltage held at the source, V.
/// # Errors
/// [`NoSolution`] when there is no operating point at the present load.
pub fn loading_margin(
    physics: Physics,
    feeder: &Feeder,
    source_v: f64,
) -> Result<LoadingMargin, NoSolution> {
    let mut sweep = Sweep::new();
    let mut scaled = Feeder::new();
    let mut holds = |factor: f64| {
        scaled.copy_scaled(feeder, factor);
        match physics {
            Physics::Arithmetic => sweep.solve_arithmetic(&scaled, source_v),
            Physics::Phasor => sweep.solve_phasor(&scaled, source_v),
        }
    };
    holds(1.0)?;
    let (mut low, mut high) = (1.0, 2.0);
    while holds(high).is_ok() {
        (low, high) = (high, 2.0 * high);
        if high > LARGEST_FACTOR {
            return Ok(LoadingMargin::NoneFound);
        }
    }
    while high - low > RESOLUTION * low {
        let middle = f64::midpoint(low, high);
        if holds(middle).is_ok() {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(LoadingMargin::Fold { share: low - 1.0 })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_margin_is_told_in_percent_of_the_present_load() {
        assert_eq!(LoadingMargin::Fold { share: 0.25 }.percent(), Some(25.0));
        assert_eq!(LoadingMargin::Fold { share: 4.0 }.percent(), Some(400.0));
        assert_eq!(LoadingMargin::NoneFound.percent(), None);
    }
}
