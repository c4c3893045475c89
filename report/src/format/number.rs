//! Plain numbers and lengths.

use duskwright_solver::units::Volts;

/// What is printed for a number that is not one.
const NOT_A_NUMBER: &str = "n/a";

/// Groups the integer part of a plain decimal numeral by threes with commas.
#[must_use]
pub fn grouped(numeral: &str) -> String {
    let (sign, digits) = match numeral.strip_prefix('-') {
        Some(rest) => ("-", rest),
        None => ("", numeral),
    };
    let (whole, fraction) = match digits.split_once('.') {
        Some((whole, fraction)) => (whole, Some(fraction)),
        None => (digits, None),
    };
    let mut out = String::with_capacity(numeral.len() + 4);
    out.push_str(sign);
    for (position, digit) in whole.chars().enumerate() {
        if position > 0 && (whole.len() - position).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if let Some(fraction) = fraction {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

/// A number with `decimals` places, grouped by threes; a rounded zero has no sign.
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return NOT_A_NUMBER.to_owned();
    }
    let numeral = format!("{value:.decimals$}");
    let is_zero = numeral.chars().all(|c| matches!(c, '-' | '0' | '.'));
    grouped(if is_zero {
        numeral.trim_start_matches('-')
    } else {
        &numeral
    })
}

/// A number of no known size with about three significant places.
#[must_use]
pub fn significant(value: f64) -> String {
    let size = value.abs();
    let decimals = if size >= 100.0 {
        0
    } else if size >= 10.0 {
        1
    } else {
        2
    };
    fixed(value, decimals)
}

/// A number with up to `decimals` places and no useless zeros.
#[must_use]
pub fn trimmed(value: f64, decimals: usize) -> String {
    let full = fixed(value, decimals);
    if full.contains('.') {
        full.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        full
    }
}

/// A voltage window: `9–15`.
#[must_use]
pub fn window(min: Volts, max: Volts) -> String {
    format!("{}–{}", trimmed(min.value(), 2), trimmed(max.value(), 2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_grouped_and_zero_has_no_sign() {
        assert_eq!(fixed(1_234_567.891, 2), "1,234,567.89");
        assert_eq!(fixed(-1234.5, 1), "-1,234.5");
        assert_eq!(fixed(-0.001, 2), "0.00");
        assert_eq!(fixed(999.0, 0), "999");
        assert_eq!(fixed(f64::NAN, 1), NOT_A_NUMBER);
    }

    #[test]
    fn useless_zeros_go() {
        assert_eq!(trimmed(1.05, 3), "1.05");
        assert_eq!(trimmed(20.0, 1), "20");
        assert_eq!(trimmed(1200.0, 0), "1,200");
        assert_eq!(window(Volts::new(10.8), Volts::new(15.0)), "10.8–15");
    }
}
