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

/// Largest multiple of the present load that is tried, a power of two.
pub const LARGEST_FACTOR: f64 = 524_288.0;

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
    use super::super::specimen::{load_on_12_v, one_load};
    use super::*;

    /// Constant power behind a resistance folds at `V0² / 4 R`: 144 / 4 = 36 W. Of 9 W that is
    /// four times, of 10 W 3.6 times, of 30 W 1.2 times, of 0.09 mW 400,000 times.
    #[test]
    fn constant_power_folds_where_its_closed_form_does() {
        for load_w in [30.0, 10.0, 9.0, 9e-5] {
            let feeder = one_load((1.0, 0.0), load_on_12_v(load_w, 0.0, 0.0));
            for physics in [Physics::Arithmetic, Physics::Phasor] {
                let margin = loading_margin(physics, &feeder, 12.0).expect("it holds");
                let LoadingMargin::Fold { share } = margin else {
                    panic!("{load_w} W has no fold");
                };
                let exact = 36.0 / load_w - 1.0;
                assert!((share / exact - 1.0).abs() < 1e-8, "{load_w}: {share}");
                assert!(share <= exact, "a multiple that was solved");
            }
        }
        let beyond = one_load((1.0, 0.0), load_on_12_v(37.0, 0.0, 0.0));
        loading_margin(Physics::Arithmetic, &beyond, 12.0).expect_err("it does not hold");
        let resistance = one_load((1.0, 0.0), load_on_12_v(10.0, 0.0, 2.0));
        let margin = loading_margin(Physics::Arithmetic, &resistance, 12.0);
        assert_eq!(margin, Ok(LoadingMargin::NoneFound));
    }

    #[test]
    fn a_margin_is_told_in_percent_of_the_present_load() {
        assert_eq!(LoadingMargin::Fold { share: 0.25 }.percent(), Some(25.0));
        assert_eq!(LoadingMargin::Fold { share: 4.0 }.percent(), Some(400.0));
        assert_eq!(LoadingMargin::NoneFound.percent(), None);
    }

    /// The last power of two that is tried is 2^19 = 524,288. A fold at 700,000 times the load
    /// (36 W) is not looked for, one at 500,000 is.
    #[test]
    fn doubling_ends_with_the_largest_factor() {
        let margin = |times: f64| {
            let feeder = one_load((1.0, 0.0), load_on_12_v(36.0 / times, 0.0, 0.0));
            loading_margin(Physics::Arithmetic, &feeder, 12.0).expect("it holds")
        };
        assert_eq!(margin(700_000.0), LoadingMargin::NoneFound);
        assert!(matches!(margin(500_000.0), LoadingMargin::Fold { .. }));
    }

    /// From 1 to 2 in 33 halvings: a width of 2^-33 is a 1e-10th of 1e10 / 2^33 = 1.164..., and
    /// enough. A fold three quarters of that width further on would let one halving more raise
    /// the lower end.
    #[test]
    fn a_bisection_ends_at_a_width_of_just_the_resolution() {
        let halvings = 2.0_f64.powi(33);
        let load_w = 36.0 * halvings / (1e10 + 0.75);
        let feeder = one_load((1.0, 0.0), load_on_12_v(load_w, 0.0, 0.0));
        for physics in [Physics::Arithmetic, Physics::Phasor] {
            let share = 1e10 / halvings - 1.0;
            let margin = loading_margin(physics, &feeder, 12.0);
            assert_eq!(margin, Ok(LoadingMargin::Fold { share }));
        }
    }
}
