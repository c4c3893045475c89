//! Numbers: binary for physics, decimal for money and percentages of it.

use super::{Kind, Refusal, Typed, Value};
use crate::job::column::{LARGEST, Range, Unit, UnitFamily};
use crate::job::error::Code;
use crate::job::value::size::looks_like_a_date;
use crate::units::{
    Amperes, Celsius, Hours, Metres, Money, Ohms, OhmsPerMetre, PerCelsius, Ratio,
    SquareMillimetres, UnitSystem, VoltAmperes, Volts, Watts,
};
use rust_decimal::Decimal;

/// Most decimal places of an exact amount: money times length times two rates stays exact within 28 digits.
const MOST_DECIMALS: u32 = 9;

/// The number with a point, when a decimal comma was allowed and used.
fn with_point(text: &str, typed: &Typed) -> String {
    let one_comma = text.matches(',').count() == 1 && !text.contains('.');
    if typed.decimal_comma && one_comma {
        text.replace(',', ".")
    } else {
        text.to_owned()
    }
}

/// Whether the text is built like a decimal number: sign, digits, point, power of ten.
fn built_like_a_number(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.'))
        && text
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | 'e' | 'E'))
}

/// What to do about a text that is not a number.
fn hint(text: &str, typed: &Typed) -> Option<String> {
    let word = if text.contains(',') && !typed.decimal_comma {
        "write a decimal point and no thousands separator; a decimal comma is read in semicolon-separated files"
    } else if text.contains(',') {
        "write no thousands separator"
    } else if text.contains(['$', '€', '£', '¥']) {
        "write the amount alone; the currency stands in job.toml"
    } else if looks_like_a_date(text) {
        "a spreadsheet may have turned the number into a date; format the column as text"
    } else if text.chars().any(|c| c.is_ascii_digit()) {
        "write the number alone; its unit is in the name of the column"
    } else {
        return None;
    };
    Some(word.to_owned())
}

fn not_a_number(text: &str, typed: &Typed) -> Refusal {
    Refusal::new(Code::BadNumber, "is not a number", typed.range.in_words()).help(hint(text, typed))
}

fn in_range(number: f64, typed: &Typed) -> Result<f64, Refusal> {
    if !number.is_finite() {
        return Err(Refusal::new(
            Code::NotFinite,
            "is not a finite number",
            typed.range.in_words(),
        ));
    }
    if typed.range.holds(number) {
        // Minus nought reads as nought, so that it prints as people expect.
        return Ok(number + 0.0);
    }
    let huge = number.abs() > LARGEST;
    Err(Refusal::new(
        Code::OutOfRange,
        "is out of range",
        if huge {
            typed.range.in_full()
        } else {
            typed.range.in_words()
        },
    ))
}

/// Reads a finite number in range, in the unit typed.
fn number(text: &str, typed: &Typed) -> Result<f64, Refusal> {
    let with_point = with_point(text, typed);
    let word = with_point
        .trim_start_matches(['+', '-'])
        .to_ascii_lowercase();
    if matches!(word.as_str(), "nan" | "inf" | "infinity") {
        return in_range(f64::NAN, typed);
    }
    if !built_like_a_number(&with_point) {
        return Err(not_a_number(text, typed));
    }
    match with_point.parse::<f64>() {
        Ok(number) => in_range(number, typed),
        Err(_) => Err(not_a_number(text, typed)),
    }
}

/// Reads an exact decimal in range, as typed.
fn decimal(text: &str, typed: &Typed) -> Result<Decimal, Refusal> {
    number(text, typed)?;
    let with_point = with_point(text, typed);
    let plain = with_point.strip_prefix('+').unwrap_or(&with_point);
    let exact = Decimal::from_str_exact(plain)
        .or_else(|_| Decimal::from_scientific(plain))
        .map_err(|_| not_a_number(text, typed))?;
    if exact.normalize().scale() > MOST_DECIMALS {
        return Err(Refusal::new(
            Code::BadNumber,
            "has too many decimal places",
            format!("at most {MOST_DECIMALS} decimal places"),
        ));
    }
    Ok(if exact.is_zero() {
        Decimal::ZERO
    } else {
        exact
    })
}

/// Declares `Value` for a quantity read as a binary number.
macro_rules! numeric {
    ($($type:ty, $family:ident, $shape:literal, |$n:ident, $typed:ident| $make:expr;)*) => {$(
        impl Value for $type {
            const UNIT: UnitFamily = UnitFamily::$family;
            const KIND: Kind = Kind::Number;
            const SHAPE: &'static str = $shape;
            fn accepted(range: Range) -> String {
                range.in_words()
            }
            fn read(text: &str, $typed: &Typed) -> Result<Self, Refusal> {
                let $n = number(text, $typed)?;
                Ok($make)
            }
        }
    )*};
}

/// A share of one, typed as a percentage: 0.8 for 80.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::job) struct Percent(pub f64);

/// Hours per length unit of the job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::job) struct HoursPerLength(pub f64);

/// A resistance typed in milliohm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::job) struct MilliOhms(pub Ohms);

numeric! {
    f64, Fixed, "number", |n, _typed| n;
    Percent, Fixed, "percent", |n, _typed| Self(n / 100.0);
    Volts, Fixed, "V", |n, _typed| Self::new(n);
    Amperes, Fixed, "A", |n, _typed| Self::new(n);
    VoltAmperes, Fixed, "VA", |n, _typed| Self::new(n);
    Watts, Fixed, "W", |n, _typed| Self::new(n);
    Hours, Fixed, "hours", |n, _typed| Self::new(n);
    Celsius, Fixed, "degrees Celsius", |n, _typed| Self::new(n);
    PerCelsius, Fixed, "per degree Celsius", |n, _typed| Self::new(n);
    MilliOhms, Fixed, "milliohm", |n, _typed| Self(Ohms::new(n / 1000.0));
    Metres, Length, "length", |n, typed| Self::new(n * typed.unit.in_si());
    SquareMillimetres, Area, "area", |n, typed| Self::new(n * typed.unit.in_si());
    OhmsPerMetre, OhmPerLength, "resistance of one conductor per length",
        |n, typed| Self::new(n * typed.unit.in_si());
    HoursPerLength, PerLength, "hours per length",
        |n, typed| Self(n * typed.unit.in_si() * typed.system.metres_per_unit());
}

/// A count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) struct Whole(pub u32);

impl Value for Whole {
    const KIND: Kind = Kind::Number;
    const SHAPE: &'static str = "whole number";
    fn accepted(range: Range) -> String {
        range.in_words().replacen("a number", "a whole number", 1)
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        let number = number(text, typed).map_err(|refusal| Refusal {
            accepted: refusal.accepted.replacen("a number", "a whole number", 1),
            ..refusal
        })?;
        if number.fract() != 0.0 {
            let accepted = Self::accepted(typed.range);
            return Err(Refusal::new(
                Code::NotWhole,
                "is not a whole number",
                accepted,
            ));
        }
        // In range: at most 1e8, and every count's range starts at 0 or above.
        Ok(Self(number as u32))
    }
}

impl Value for Money {
    const KIND: Kind = Kind::Number;
    const SHAPE: &'static str = "money";
    fn accepted(range: Range) -> String {
        range.in_words()
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        decimal(text, typed).map(Self::new)
    }
}

impl Value for Ratio {
    const KIND: Kind = Kind::Number;
    const SHAPE: &'static str = "percent";
    fn accepted(range: Range) -> String {
        range.in_words()
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        decimal(text, typed).map(|percent| Self::new((percent / Decimal::ONE_HUNDRED).normalize()))
    }
}

/// Money per length unit of the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) struct MoneyPerLength(pub Money);

/// Metres in a foot, exact.
const METRES_PER_FOOT: Decimal = Decimal::from_parts(3048, 0, 0, false, 4);

impl Value for MoneyPerLength {
    const UNIT: UnitFamily = UnitFamily::PerLength;
    const KIND: Kind = Kind::Number;
    const SHAPE: &'static str = "money per length";
    fn accepted(range: Range) -> String {
        range.in_words()
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        let amount = decimal(text, typed)?;
        let per_unit = match (typed.unit, typed.system) {
            (Unit::PerFoot, UnitSystem::Metric) => amount / METRES_PER_FOOT,
            (Unit::PerMetre, UnitSystem::Us) => amount * METRES_PER_FOOT,
            _ => amount,
        };
        Ok(Self(Money::new(per_unit)))
    }
}
