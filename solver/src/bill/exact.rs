//! From binary numbers to the exact decimals that papers show.
//!
//! A number typed as `0.145` is stored in binary as 0.1449999...; rounding that
//! half-even to cents would give 0.14 by accident. Every bare number is
//! therefore turned into the decimal of 15 significant digits that it was typed
//! as, and everything after that is exact decimal arithmetic.

use crate::job::Job;
use crate::units::Metres;
use rust_decimal::prelude::FromPrimitive;
use rust_decimal::{Decimal, RoundingStrategy};

/// The decimal of a bare number, to 15 significant digits; zero for a number that no decimal holds.
///
/// The readers keep every number of a job finite and far below 7.9e28, where
/// decimals end.
pub(crate) fn decimal(number: f64) -> Decimal {
    Decimal::from_f64(number).unwrap_or_default().normalize()
}

/// Rounded half-even to 0.01, always two decimals.
pub(crate) fn hundredths(exact: Decimal) -> Decimal {
    let mut rounded = exact.round_dp_with_strategy(2, RoundingStrategy::MidpointNearestEven);
    rounded.rescale(2);
    rounded
}

/// A measured length in the job's length unit, rounded half-even to 0.01.
pub(crate) fn shown_length(job: &Job, length: Metres) -> Decimal {
    hundredths(decimal(job.units.from_metres(length)))
}

/// Shares of a total that add up to the rounded total: each is the difference
/// of two rounded running sums, so it is within 0.01 of its exact value.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct RunningShare {
    exact: Decimal,
}

impl RunningShare {
    /// The share of the next exact amount, a multiple of 0.01.
    pub(crate) fn next(&mut self, amount: Decimal) -> Decimal {
        let before = hundredths(self.exact);
        self.exact += amount;
        hundredths(self.exact) - before
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rust_decimal::dec;

    #[test]
    fn a_typed_number_comes_back_as_typed() {
        for thousandths in 0..20_000_i64 {
            let typed = thousandths as f64 / 1000.0;
            assert_eq!(decimal(typed), Decimal::new(thousandths, 3));
        }
    }

    #[test]
    fn a_length_typed_in_feet_survives_the_way_through_metres() {
        let units = crate::units::UnitSystem::Us;
        for hundredth in 0..20_000_i64 {
            let metres = units.to_metres(hundredth as f64 / 100.0);
            assert_eq!(
                hundredths(decimal(units.from_metres(metres))),
                Decimal::new(hundredth, 2)
            );
        }
    }

    #[test]
    fn hundredths_round_half_to_even() {
        assert_eq!(hundredths(decimal(0.145)), dec!(0.14));
        assert_eq!(hundredths(decimal(0.155)), dec!(0.16));
        assert_eq!(hundredths(dec!(3)).to_string(), "3.00");
    }

    /// ISO 80000-1:2009, annex B, rule A: 12.25 gives 12.2 and 12.35 gives 12.4 at
    /// a rounding range of 0.1 (examples from memory, here a tenth of them).
    #[test]
    fn hundredths_follow_the_standard_rule_for_the_middle() {
        assert_eq!(hundredths(decimal(1.225)), dec!(1.22));
        assert_eq!(hundredths(decimal(1.235)), dec!(1.24));
    }

    #[test]
    fn running_shares_add_up_to_the_rounded_total() {
        let mut share = RunningShare::default();
        let shares: Vec<Decimal> = (0..7).map(|_| share.next(dec!(0.333))).collect();
        assert_eq!(shares.iter().copied().sum::<Decimal>(), dec!(2.33));
        assert!(
            shares
                .iter()
                .all(|part| (*part - dec!(0.333)).abs() <= dec!(0.01))
        );
    }
}
