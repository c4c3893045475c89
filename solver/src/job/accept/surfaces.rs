//! Surfaces.

use super::{gather, whole};
use crate::job::column::Optional;
use crate::job::error::Reported;
use crate::job::raw::{RawJob, SurfaceRow};
use crate::job::value::{HoursPerLength, MoneyPerLength, YesNo};
use crate::job::{Surface, SurfaceWork};
use crate::units::Money;

/// All surfaces.
pub(super) fn surfaces(raw: &RawJob) -> Result<Vec<Surface>, Reported> {
    whole(
        gather(raw.surfaces.rows.iter().map(surface)),
        raw.surfaces.whole,
    )
}

/// Work per length when either part is given.
fn work(
    hours: &Optional<HoursPerLength>,
    money: &Optional<MoneyPerLength>,
) -> Result<Option<SurfaceWork>, Reported> {
    let (hours, money) = (hours.get()?, money.get()?);
    let given = hours.is_some() || money.is_some();
    Ok(given.then(|| SurfaceWork {
        hours_per_unit: hours.map_or(0.0, |hours| hours.0),
        money_per_unit: money.map_or(Money::ZERO, |money| money.0),
    }))
}

fn surface(row: &SurfaceRow) -> Result<Surface, Reported> {
    Ok(Surface {
        tag: row.tag.get()?.0,
        open: work(&row.open_hours, &row.open_price_by_length)?.unwrap_or_default(),
        open_fixed: row.open_price.or(Money::ZERO)?,
        per_cable: work(&row.cable_hours, &row.cable_price)?.unwrap_or_default(),
        beyond_limit: work(&row.beyond_hours, &row.beyond_price)?,
        joints: row.joints.or(YesNo(false))?.0,
    })
}
