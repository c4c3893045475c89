//! What to minimise, and the terms of energy in it.

use crate::calendar::rule::Lighting;
use crate::calendar::{LightingError, Settings, Year, hours_on};
use crate::job::catalogue::FixtureModel;
use crate::job::column::Optional;
use crate::job::error::{Code, Ledger, Notice, Reported};
use crate::job::model::Fixture;
use crate::job::raw::{ObjectiveSection, RawJob};
use crate::job::rules::{EnergyTerms, HoursFrom, Objective};
use crate::job::value::Goal;
use crate::units::Hours;

/// The year whose nights are counted where the hours follow from the times: an ordinary
/// one. A leap year has one night more, three in a thousand.
const YEAR: i32 = 2026;
const ACCEPTED: &str = "years, discount_percent, energy_price_per_kwh (here or under [place]), and lighting_hours_per_year or a complete [place]";

/// What the hours follow from.
pub(super) struct Lamps<'a> {
    /// Place, times, controls.
    pub(super) lighting: &'a Result<Lighting, Reported>,
    /// Fixtures, for their zones.
    pub(super) fixtures: &'a Result<Vec<Fixture>, Reported>,
    /// Models, for their power.
    pub(super) models: &'a Result<Vec<FixtureModel>, Reported>,
}

/// What to minimise.
pub(super) fn objective(
    raw: &RawJob,
    lamps: &Lamps<'_>,
    ledger: &mut Ledger,
) -> Result<Objective, Reported> {
    let section = &raw.objective;
    match section.minimise.or(Goal::Installed)? {
        Goal::WithLosses => terms(raw, lamps, ledger).map(Objective::WithLosses),
        Goal::Installed => {
            unused(section, ledger);
            Ok(Objective::Installed)
        }
        Goal::WholeSpools => {
            unused(section, ledger);
            Ok(Objective::WholeSpools)
        }
    }
}

/// A term that "with losses" needs.
fn term<T: Clone>(slot: &Optional<T>, ledger: &mut Ledger) -> Result<T, Reported> {
    slot.get()?.ok_or_else(|| missing(slot, ledger))
}

fn missing<T>(slot: &Optional<T>, ledger: &mut Ledger) -> Reported {
    let message = format!("\"with losses\" needs `{}`", slot.cell.name);
    let fault = slot.cell.fault(Code::EnergyTermsMissing, message);
    ledger.fault(fault.accepted(ACCEPTED))
}

fn terms(raw: &RawJob, lamps: &Lamps<'_>, ledger: &mut Ledger) -> Result<EnergyTerms, Reported> {
    let section = &raw.objective;
    let years = term(&section.years, ledger);
    let discount = term(&section.discount, ledger);
    let price_per_kwh = match raw.place.energy_price.get()? {
        Some(price) => section.energy_price.or(price),
        None => term(&section.energy_price, ledger),
    };
    let hours = hours(&section.lighting_hours, lamps, ledger);
    let (hours_per_year, hours_from) = hours?;
    Ok(EnergyTerms {
        years: years?,
        discount: discount?,
        price_per_kwh: price_per_kwh?,
        hours_per_year,
        hours_from,
    })
}

/// The hours stated, else those of the times at the place.
fn hours(
    slot: &Optional<f64>,
    lamps: &Lamps<'_>,
    ledger: &mut Ledger,
) -> Result<(Hours, HoursFrom), Reported> {
    if let Some(stated) = slot.get()? {
        return Ok((Hours::new(stated), HoursFrom::Stated));
    }
    let echo = |reported: &Reported| *reported;
    let lighting = lamps.lighting.as_ref().map_err(echo)?;
    let fixtures = lamps.fixtures.as_ref().map_err(echo)?;
    let models = lamps.models.as_ref().map_err(echo)?;
    match of_times(lighting, fixtures, models) {
        Ok(Some(hours)) => Ok((hours, HoursFrom::Times)),
        Ok(None) => Err(missing(slot, ledger)),
        Err(error) => {
            let fault = slot.cell.fault(Code::EnergyTermsMissing, error.to_string());
            Err(ledger.fault(fault.accepted(ACCEPTED)))
        }
    }
}

/// Hours a year of each zone, weighted by the rated real power of its fixtures, so that
/// hours times power is the energy of all of them; `None` without a place.
fn of_times(
    lighting: &Lighting,
    fixtures: &[Fixture],
    models: &[FixtureModel],
) -> Result<Option<Hours>, LightingError> {
    let Some(place) = &lighting.place else {
        return Ok(None);
    };
    let year = Year::of(place, YEAR)?;
    let usual = hours_on(&Settings::of(&year, &lighting.usual)).value();
    let zones: Vec<f64> = lighting
        .zones
        .iter()
        .map(|rule| hours_on(&Settings::of(&year, rule)).value())
        .collect();
    let (mut watts, mut watt_hours) = (0.0, 0.0);
    for fixture in fixtures {
        let real = models[fixture.model.index()].real.value();
        let zone = fixture.zone.and_then(|zone| zones.get(zone.index()));
        watts += real;
        watt_hours += real * zone.copied().unwrap_or(usual);
    }
    let mean = if watts > 0.0 {
        watt_hours / watts
    } else {
        usual
    };
    Ok(Some(Hours::new(mean)))
}

/// Says which energy terms are given in vain.
fn unused(section: &ObjectiveSection, ledger: &mut Ledger) {
    let cells = [
        &section.years.cell,
        &section.discount.cell,
        &section.energy_price.cell,
        &section.lighting_hours.cell,
    ];
    for cell in cells.into_iter().filter(|cell| !cell.text.is_empty()) {
        let message = format!(
            "`{}` is used only with minimise = \"with losses\"",
            cell.name
        );
        ledger.notice(Notice::new(Code::TermsUnused, &cell.place, message));
    }
}
