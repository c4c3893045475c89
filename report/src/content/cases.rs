//! The conditions that stand with every schedule: cases and conductor temperatures.

use crate::format;
use duskwright_solver::schedule::Header;

fn celsius(value: duskwright_solver::units::Celsius) -> String {
    format!("{}\u{a0}°C", format::trimmed(value.value(), 1))
}

/// Line voltage of a factor: `nominal line`, `line at 95 %`.
fn line(factor: f64) -> String {
    if (factor - 1.0).abs() < 1e-9 {
        "nominal line".to_owned()
    } else {
        format!("line at {}\u{a0}%", format::trimmed(factor * 100.0, 1))
    }
}

/// The low case in one sentence.
pub fn low(header: &Header) -> String {
    format!(
        "Low case: all fixtures on, conductors at {}, cable lengths x {}, {}, every load at its full VA.",
        celsius(header.low_case),
        format::trimmed(header.length_growth, 3),
        line(header.line_low),
    )
}

/// The high case in one sentence.
pub fn high(header: &Header) -> String {
    format!(
        "High case: each zone alone and all on, conductors at {}, lengths as drawn, {}.",
        celsius(header.high_case),
        line(header.line_high),
    )
}

/// The expected case in one sentence.
pub fn expected(header: &Header) -> String {
    format!(
        "Expected case, for the meter on site: all on, conductors at {}, nominal line.",
        celsius(header.expected_case),
    )
}

/// The margins in one sentence.
pub fn margins(header: &Header) -> String {
    format!(
        "Margins asked: {}\u{a0}V above the low end of each window in the low case, {}\u{a0}V below its high end in the high case.",
        format::fixed(header.low_margin.value(), 2),
        format::fixed(header.high_margin.value(), 2),
    )
}

/// All cases: the note under a schedule of voltages.
pub fn all(header: &Header) -> String {
    [low(header), high(header), expected(header)].join(" ")
}

/// Short reminder for schedules whose figures do not depend on a load case.
pub fn lengths(header: &Header) -> String {
    format!(
        "Lengths in {}, as cut; they do not depend on temperature. Currents are of the low case (conductors at {}).",
        header.length_unit,
        celsius(header.low_case),
    )
}
