//! Money as people add it up, and cost as the optimiser weighs it.

use super::quantity;
use rust_decimal::prelude::ToPrimitive;
use rust_decimal::{Decimal, RoundingStrategy};

quantity!(
    /// Unrounded direct cost in the job's currency, as the optimiser weighs it.
    Cost, "(currency)"
);

/// An exact amount of money in the job's currency.
///
/// Decimal, never made from `f64`: sums of rounded lines are exact. Arithmetic
/// saturates at about 7.9e28 instead of panicking; no lawful job comes near it.
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
pub struct Money(Decimal);

impl Money {
    /// No money.
    pub const ZERO: Self = Self(Decimal::ZERO);
    /// Wraps a decimal amount.
    #[must_use]
    pub const fn new(amount: Decimal) -> Self {
        Self(amount)
    }
    /// The decimal amount.
    #[must_use]
    pub const fn decimal(self) -> Decimal {
        self.0
    }
    /// Rounded half-even to the cent (each bill line is rounded so), always two decimals.
    #[must_use]
    pub fn cents(self) -> Self {
        let mut rounded = self
            .0
            .round_dp_with_strategy(2, RoundingStrategy::MidpointNearestEven);
        rounded.rescale(2);
        Self(rounded)
    }
    /// Exact product with a decimal quantity (a count, a length, hours, a factor).
    #[must_use]
    pub fn times(self, quantity: Decimal) -> Self {
        Self(self.0.saturating_mul(quantity))
    }
    /// The amount as an unrounded cost for the optimiser.
    #[must_use]
    pub fn cost(self) -> Cost {
        Cost::new(self.0.to_f64().unwrap_or(0.0))
    }
}

impl std::fmt::Display for Money {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        std::fmt::Display::fmt(&self.0, f)
    }
}
impl std::ops::Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}
impl std::ops::AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        self.0 = self.0.saturating_add(other.0);
    }
}
impl std::ops::Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}
impl std::iter::Sum for Money {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        amounts.fold(Self::ZERO, |total, amount| total + amount)
    }
}

/// A dimensionless decimal factor given as a percentage in files: 0.15 for 15 %.
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
pub struct Ratio(Decimal);

impl Ratio {
    /// Nothing.
    pub const ZERO: Self = Self(Decimal::ZERO);
    /// Wraps a factor (0.15 for 15 %).
    #[must_use]
    pub const fn new(factor: Decimal) -> Self {
        Self(factor)
    }
    /// The factor (0.15 for 15 %).
    #[must_use]
    pub const fn decimal(self) -> Decimal {
        self.0
    }
    /// The factor as a bare number.
    #[must_use]
    pub fn value(self) -> f64 {
        self.0.to_f64().unwrap_or(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rust_decimal::dec;

    #[test]
    fn cents_round_half_to_even() {
        assert_eq!(Money::new(dec!(0.125)).cents(), Money::new(dec!(0.12)));
        assert_eq!(Money::new(dec!(0.135)).cents(), Money::new(dec!(0.14)));
        assert_eq!(Money::new(dec!(-0.125)).cents(), Money::new(dec!(-0.12)));
        assert_eq!(Money::new(dec!(7)).cents().to_string(), "7.00");
    }

    #[test]
    fn absurd_amounts_saturate() {
        let most = Money::new(Decimal::MAX);
        assert_eq!(most + most, most);
        assert_eq!(most.times(dec!(1e6)), most);
        assert_eq!(most.cents(), most);
    }
}
