//! Uncertainties as typed, given their meaning.

use crate::args::MeterArguments;
use crate::failure::Failure;
use duskwright_solver::service::uncertainty::Uncertainty;

/// Largest share that is taken for an uncertainty rather than a slip, percent.
const MOST_PERCENT: f64 = 50.0;

/// Reads the uncertainties.
///
/// # Errors
/// [`Failure::Refused`] naming the option, its value and what is accepted.
pub(crate) fn read(typed: &MeterArguments) -> Result<Uncertainty, Failure> {
    Ok(Uncertainty {
        volts_share: share("--volts-error", typed.volts_error)?,
        amps_share: share("--amps-error", typed.amps_error)?,
        amps_floor: within("--amps-floor", typed.amps_floor, 10.0, "A")?,
        line_share: share("--line-error", typed.line_error)?,
        length_share: share("--length-error", typed.length_error)?,
        load_share: share("--load-error", typed.load_error)?,
        temperature_c: within("--temperature-error", typed.temperature_error, 50.0, "°C")?,
        ..Uncertainty::default()
    })
}

fn share(option: &str, percent: f64) -> Result<f64, Failure> {
    within(option, percent, MOST_PERCENT, "%").map(|percent| percent / 100.0)
}

fn within(option: &str, value: f64, most: f64, unit: &str) -> Result<f64, Failure> {
    if (0.0..=most).contains(&value) {
        return Ok(value);
    }
    Err(Failure::Refused(format!(
        "{option}: {value} is not between 0 and {most} {unit}"
    )))
}
