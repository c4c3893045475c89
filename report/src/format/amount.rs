//! Money, hours, quantities and shares.

use super::number::{fixed, grouped, trimmed};
use duskwright_solver::units::{Cost, Money};
use rust_decimal::Decimal;

/// Money to the cent with the job's currency in front: `$1,234.50`, `EUR 1,234.50`.
#[must_use]
pub fn money(currency: &str, amount: Money) -> String {
    let cents = amount.cents();
    let numeral = grouped(&cents.to_string());
    let currency = currency.trim();
    if currency.is_empty() {
        return numeral;
    }
    let (sign, plain) = match numeral.strip_prefix('-') {
        Some(plain) => ("-", plain.to_owned()),
        None => ("", numeral),
    };
    let gap = if currency.chars().any(char::is_alphanumeric) {
        "\u{a0}"
    } else {
        ""
    };
    format!("{sign}{currency}{gap}{plain}")
}

/// A unit price with all the places it has, at least two: `0.4175`.
#[must_use]
pub fn money_exact(amount: Money) -> String {
    two_places(amount.decimal())
}

/// A bought quantity without useless zeros: `12`, `1,250.5`.
#[must_use]
pub fn quantity(quantity: Decimal) -> String {
    grouped(&quantity.normalize().to_string())
}

/// An exact length in the job's unit, with its own places: `1,234.5`.
#[must_use]
pub fn length(length: Decimal) -> String {
    grouped(&length.to_string())
}

/// An unrounded cost to the cent with the job's currency in front.
#[must_use]
pub fn cost(currency: &str, cost: Cost) -> String {
    Decimal::from_f64_retain(cost.value()).map_or_else(
        || fixed(cost.value(), 2),
        |amount| money(currency, Money::new(amount)),
    )
}

/// A figure rounded half-even to `places`, for sums of what is shown; not a number becomes zero.
#[must_use]
pub fn rounded(value: f64, places: u32) -> Decimal {
    let mut exact = Decimal::from_f64_retain(value)
        .unwrap_or_default()
        .round_dp(places);
    exact.rescale(places);
    if exact.is_zero() { exact.abs() } else { exact }
}

/// Hours with all the places they have, at least two: `0.50`.
#[must_use]
pub fn hours(hours: Decimal) -> String {
    two_places(hours)
}

/// A number with all the places it has, at least two.
fn two_places(exact: Decimal) -> String {
    let mut exact = exact.normalize();
    if exact.scale() < 2 {
        exact.rescale(2);
    }
    grouped(&exact.to_string())
}

/// An exact share as percent without useless zeros: `8.25 %`.
#[must_use]
pub fn decimal_percent(share: Decimal) -> String {
    let percent = share.checked_mul(Decimal::ONE_HUNDRED).unwrap_or(share);
    format!("{}\u{a0}%", quantity(percent))
}

/// A share as percent with at most one place.
#[must_use]
pub fn percent(share: f64) -> String {
    format!("{}\u{a0}%", trimmed(share * 100.0, 1))
}

/// A counted thing: `1 circuit`, `1,250 circuits`.
#[must_use]
pub fn counted(count: usize, thing: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{} {thing}{ending}", grouped(&count.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use rust_decimal::dec;

    #[test]
    fn a_sign_hugs_its_amount_and_a_code_stands_apart() {
        assert_eq!(money("$", Money::new(dec!(1234.5))), "$1,234.50");
        assert_eq!(money("EUR", Money::new(dec!(-3))), "-EUR\u{a0}3.00");
        assert_eq!(money("", Money::ZERO), "0.00");
    }

    #[test]
    fn unit_prices_keep_their_places() {
        assert_eq!(money_exact(Money::new(dec!(0.41750))), "0.4175");
        assert_eq!(money_exact(Money::new(dec!(12))), "12.00");
        assert_eq!(quantity(dec!(12345.60)), "12,345.6");
        assert_eq!(quantity(dec!(100)), "100");
        assert_eq!(percent(0.8), "80\u{a0}%");
        assert_eq!(hours(dec!(1)), "1.00");
        assert_eq!(rounded(-0.01, 1).to_string(), "0.0");
        assert_eq!(decimal_percent(dec!(0.0825)), "8.25\u{a0}%");
        assert_eq!(cost("$", Cost::new(1234.567)), "$1,234.57");
    }
}
