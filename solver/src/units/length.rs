//! Lengths, the two unit systems, and the purchasing grid.

use super::quantity;
use rust_decimal::{Decimal, RoundingStrategy};

quantity!(
    /// Length, m.
    Metres, "m"
);

/// Metres in one foot, exact by definition (international foot, 1959).
const METRES_PER_FOOT: f64 = 0.3048;

/// Tolerance, in grid steps, within which a length counts as lying on the grid.
///
/// A length typed on the grid must not be pushed one step up by the rounding
/// error of its conversion to metres (about 1e-13 relative).
const GRID_TOLERANCE_STEPS: f64 = 1e-6;

/// The units a job is written and reported in.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    Hash,
    serde::Serialize,
    serde::Deserialize,
    schemars::JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum UnitSystem {
    /// Feet and AWG.
    Us,
    /// Metres and mm².
    Metric,
}

impl UnitSystem {
    /// Metres in one length unit of the job: 0.3048 (ft) or 1 (m).
    #[must_use]
    pub const fn metres_per_unit(self) -> f64 {
        match self {
            Self::Us => METRES_PER_FOOT,
            Self::Metric => 1.0,
        }
    }
    /// Symbol of the length unit: `ft` or `m`.
    #[must_use]
    pub const fn length_symbol(self) -> &'static str {
        match self {
            Self::Us => "ft",
            Self::Metric => "m",
        }
    }
    /// A number in the job's length unit as metres.
    #[must_use]
    pub fn to_metres(self, in_job_units: f64) -> Metres {
        Metres::new(in_job_units * self.metres_per_unit())
    }
    /// Metres as a number in the job's length unit.
    #[must_use]
    pub fn from_metres(self, length: Metres) -> f64 {
        length.value() / self.metres_per_unit()
    }
    /// The grid on which cable lengths are bought and cut.
    #[must_use]
    pub const fn grid(self) -> LengthGrid {
        LengthGrid { system: self }
    }
}

/// A whole number of grid steps (1 cm, or 0.1 ft): the exact length of a cable piece.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    serde::Serialize,
    serde::Deserialize,
)]
#[serde(transparent)]
pub struct GridSteps(pub i64);

impl std::ops::Add for GridSteps {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl std::ops::Sub for GridSteps {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl std::iter::Sum for GridSteps {
    fn sum<I: Iterator<Item = Self>>(values: I) -> Self {
        Self(values.map(|steps| steps.0).sum())
    }
}

/// The purchasing grid of a unit system: 1 cm or 0.1 ft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LengthGrid {
    system: UnitSystem,
}

impl LengthGrid {
    const fn steps_per_unit(self) -> i64 {
        match self.system {
            UnitSystem::Us => 10,
            UnitSystem::Metric => 100,
        }
    }
    fn steps(self, length: Metres) -> f64 {
        self.system.from_metres(length) * self.steps_per_unit() as f64
    }
    /// Rounds up to the grid; a length on the grid within 1e-6 of a step stays.
    #[must_use]
    pub fn ceil(self, length: Metres) -> GridSteps {
        GridSteps((self.steps(length) - GRID_TOLERANCE_STEPS).ceil() as i64)
    }
    /// Rounds down to the grid; a length on the grid within 1e-6 of a step stays.
    #[must_use]
    pub fn floor(self, length: Metres) -> GridSteps {
        GridSteps((self.steps(length) + GRID_TOLERANCE_STEPS).floor() as i64)
    }
    /// Length of a whole number of steps.
    #[must_use]
    pub fn metres(self, steps: GridSteps) -> Metres {
        self.system
            .to_metres(steps.0 as f64 / self.steps_per_unit() as f64)
    }
    /// Decimals of a length on the grid.
    const fn places(self) -> u32 {
        match self.system {
            UnitSystem::Us => 1,
            UnitSystem::Metric => 2,
        }
    }
    /// The exact decimal number in the job's length unit.
    #[must_use]
    pub fn decimal(self, steps: GridSteps) -> Decimal {
        Decimal::new(steps.0, self.places())
    }
    /// A number in the job's length unit, rounded half-even to the grid.
    #[must_use]
    pub fn rounded(self, exact: Decimal) -> Decimal {
        let places = self.places();
        let mut rounded =
            exact.round_dp_with_strategy(places, RoundingStrategy::MidpointNearestEven);
        rounded.rescale(places);
        rounded
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rust_decimal::dec;

    #[test]
    fn a_typed_length_on_the_grid_stays_and_a_longer_one_goes_up() {
        let feet = UnitSystem::Us.grid();
        for tenths in 0..20_000 {
            let typed = UnitSystem::Us.to_metres(f64::from(tenths) / 10.0);
            assert_eq!(feet.ceil(typed), GridSteps(i64::from(tenths)));
            assert_eq!(feet.floor(typed), GridSteps(i64::from(tenths)));
        }
        assert_eq!(
            UnitSystem::Metric.grid().ceil(Metres::new(1.2301)),
            GridSteps(124)
        );
        assert_eq!(
            UnitSystem::Metric.grid().floor(Metres::new(1.2399)),
            GridSteps(123)
        );
    }

    #[test]
    fn the_decimal_of_a_grid_length_is_exact() {
        assert_eq!(
            UnitSystem::Us.grid().decimal(GridSteps(1234)).to_string(),
            "123.4"
        );
        assert_eq!(
            UnitSystem::Metric
                .grid()
                .decimal(GridSteps(1234))
                .to_string(),
            "12.34"
        );
    }

    #[test]
    fn a_number_is_rounded_to_the_grid_half_to_even() {
        let (feet, metres) = (UnitSystem::Us.grid(), UnitSystem::Metric.grid());
        assert_eq!(feet.rounded(dec!(2.35)).to_string(), "2.4");
        assert_eq!(feet.rounded(dec!(2.45)).to_string(), "2.4");
        assert_eq!(metres.rounded(dec!(1.4555)).to_string(), "1.46");
        assert_eq!(metres.rounded(dec!(3)).to_string(), "3.00");
    }
}
