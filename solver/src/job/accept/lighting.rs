//! Place, times and controls from `[place]` and `zones.csv`.

use super::{gather, whole};
use crate::job::error::{Code, Ledger, Reported};
use crate::job::lighting::{Lighting, Place, Rule, Times};
use crate::job::raw::RawJob;

/// Everything about time and energy.
pub(super) fn lighting(raw: &RawJob, ledger: &mut Ledger) -> Result<Lighting, Reported> {
    let section = &raw.place;
    let usual = Rule {
        times: section.times.or(Times::ALL_NIGHT)?,
        control: section.control.get()?,
    };
    let zones = raw.zones.rows.iter().map(|row| {
        Ok(Rule {
            times: row.times.or(usual.times)?,
            control: row.control.get()?.or(usual.control),
        })
    });
    Ok(Lighting {
        place: place(raw, ledger)?,
        energy_price: section.energy_price.get()?,
        usual,
        zones: whole(gather(zones), raw.zones.whole)?,
    })
}

fn place(raw: &RawJob, ledger: &mut Ledger) -> Result<Option<Place>, Reported> {
    let section = &raw.place;
    let latitude = section.latitude.get()?;
    let longitude = section.longitude.get()?;
    let time_zone = section.time_zone.get()?;
    match (latitude, longitude, time_zone) {
        (Some(latitude_deg), Some(longitude_deg), Some(time_zone)) => Ok(Some(Place {
            latitude_deg,
            longitude_deg,
            time_zone,
        })),
        (None, None, None) => Ok(None),
        _ => {
            let cells = [
                &section.latitude.cell,
                &section.longitude.cell,
                &section.time_zone.cell,
            ];
            let given = cells.iter().find(|cell| !cell.text.is_empty());
            let cell = given.unwrap_or(&cells[0]);
            let fault = cell.fault(
                Code::PlaceIncomplete,
                format!("`{}` stands without the other parts of a place", cell.name),
            );
            Err(ledger.fault(
                fault.accepted(
                    "latitude_deg, longitude_deg and time_zone together, or none of them",
                ),
            ))
        }
    }
}
