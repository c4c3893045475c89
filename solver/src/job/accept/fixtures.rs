//! Fixture models, fixtures and zones.

use super::names::{Names, asker};
use super::site::NodeNames;
use super::{gather, whole};
use crate::ids::{CableId, ModelId, ZoneId};
use crate::job::error::{Code, Ledger, Notice, Reported};
use crate::job::raw::{FixtureModelRow, FixtureRow, RawJob};
use crate::job::value::YesNo;
use crate::job::{Fixture, FixtureModel, Lead, LoadExponent, Window, Zone};
use crate::units::{Hours, VoltAmperes, Volts, Watts};

/// Power factor that makes VA from W, or W from VA, where a model gives only
/// one. Common practice for rectifier loads, no source.
const DEFAULT_POWER_FACTOR: f64 = 0.8;
/// Rated voltage of a 12 V-class fixture.
const DEFAULT_RATED: Volts = Volts::new(12.0);

/// All fixture models.
pub(super) fn models(
    raw: &RawJob,
    cables: &Names<'_>,
    ledger: &mut Ledger,
) -> Result<Vec<FixtureModel>, Reported> {
    let rows = raw.models.rows.iter();
    whole(
        gather(rows.map(|row| model(row, raw, cables, ledger))),
        raw.models.whole,
    )
}

fn model(
    row: &FixtureModelRow,
    raw: &RawJob,
    cables: &Names<'_>,
    ledger: &mut Ledger,
) -> Result<FixtureModel, Reported> {
    let power = power(row, raw, ledger);
    let window = window(row, ledger);
    let lead = lead(row, raw, cables, ledger);
    let exponent = exponent(row);
    let power = power?;
    Ok(FixtureModel {
        tag: row.tag.get()?.0,
        apparent: power.apparent,
        real: power.real,
        power_factor_assumed: power.assumed,
        rated: row.rated.or(DEFAULT_RATED)?,
        exponent: exponent?,
        window: window?,
        lead: lead?,
        price: row.price.get()?,
        hours: row.hours.or(Hours::ZERO)?,
    })
}

fn exponent(row: &FixtureModelRow) -> Result<LoadExponent, Reported> {
    let exponent = row.exponent.or(0.0)?;
    Ok(LoadExponent::new(exponent).expect("the column accepts numbers from 0 to 10"))
}

/// Apparent and real power.
struct Power {
    apparent: VoltAmperes,
    real: Watts,
    assumed: bool,
}

fn power(row: &FixtureModelRow, raw: &RawJob, ledger: &mut Ledger) -> Result<Power, Reported> {
    let (va, w) = (row.va.get(), row.w.get());
    let factor = raw.rules.power_factor.or(DEFAULT_POWER_FACTOR);
    let who = asker("fixture model", &row.tag);
    let (apparent, real) = match (va?, w?) {
        (Some(va), Some(w)) if w.value() <= va.value() => {
            return Ok(Power {
                apparent: va,
                real: w,
                assumed: false,
            });
        }
        (Some(_), Some(_)) => {
            let fault = row
                .w
                .cell
                .fault(Code::PowerUpsideDown, format!("{who} has more W than VA"));
            return Err(ledger.fault(
                fault.accepted(format!("at most the va of the row, {}", row.va.cell.text)),
            ));
        }
        (None, None) => {
            let fault = row
                .va
                .cell
                .fault(Code::PowerMissing, format!("{who} has neither va nor w"));
            return Err(ledger.fault(fault.accepted("va, or w, or both; numbers above 0")));
        }
        (Some(va), None) => (va, Watts::new(va.value() * factor?)),
        (None, Some(w)) => (VoltAmperes::new(w.value() / factor?), w),
    };
    let factor = factor?;
    let given = if row.va.cell.text.is_empty() {
        "W"
    } else {
        "VA"
    };
    ledger.notice(Notice::new(
        Code::PowerFactorAssumed,
        &row.place,
        format!(
            "{who} gives only {given}; with the default power factor {factor} it is taken as {:.4} VA, {:.4} W",
            apparent.value(),
            real.value()
        ),
    ));
    Ok(Power {
        apparent,
        real,
        assumed: true,
    })
}

fn window(row: &FixtureModelRow, ledger: &mut Ledger) -> Result<Window, Reported> {
    let (low, high) = (row.window_low.get()?, row.window_high.get()?);
    Window::new(low, high).ok_or_else(|| {
        let who = asker("fixture model", &row.tag);
        let message = format!("the voltage window of {who} is upside down");
        ledger.fault(
            row.window_high
                .cell
                .fault(Code::WindowUpsideDown, message)
                .accepted(format!(
                    "a number above window_low_v, {}",
                    row.window_low.cell.text
                )),
        )
    })
}

fn lead(
    row: &FixtureModelRow,
    raw: &RawJob,
    cables: &Names<'_>,
    ledger: &mut Ledger,
) -> Result<Option<Lead>, Reported> {
    let who = asker("fixture model", &row.tag);
    let cable = cables.optional(&row.lead_cable, &who, ledger);
    let (cable, length) = (cable?, row.lead_length.get()?);
    let (cable, length) = match (cable, length) {
        (Some(cable), Some(length)) => (cable, length),
        (None, None) => return Ok(None),
        (Some(_), None) => {
            let fault = row.lead_length.cell.fault(
                Code::LeadIncomplete,
                format!("{who} has a lead cable without a length"),
            );
            return Err(ledger.fault(fault.accepted("a number, 0 or more")));
        }
        (None, Some(_)) => {
            let fault = row.lead_cable.cell.fault(
                Code::LeadIncomplete,
                format!("{who} has a lead length without a cable"),
            );
            return Err(ledger.fault(fault.accepted("a tag in cables.csv, or no length either")));
        }
    };
    if !raw.cables.rows[cable].lead.or(YesNo(true))?.0 {
        let fault = row.lead_cable.cell.fault(
            Code::CableNotAllowed,
            format!(
                "{who} has a lead of cable `{}`, which is not allowed as a lead",
                row.lead_cable.cell.text
            ),
        );
        return Err(ledger.fault(
            fault
                .accepted("a cable with lead = yes")
                .help("set lead = yes for it in cables.csv, or name another cable"),
        ));
    }
    Ok(Some(Lead {
        cable: CableId::new(cable),
        length,
    }))
}

/// All fixtures.
pub(super) fn fixtures(
    raw: &RawJob,
    nodes: &NodeNames<'_>,
    models: &Names<'_>,
    zones: &Names<'_>,
    ledger: &mut Ledger,
) -> Result<Vec<Fixture>, Reported> {
    Names::of("fixture", &raw.fixtures, |row| &row.tag, ledger);
    let rows = raw.fixtures.rows.iter();
    whole(
        gather(rows.map(|row| fixture(row, nodes, models, zones, ledger))),
        raw.fixtures.whole,
    )
}

fn fixture(
    row: &FixtureRow,
    nodes: &NodeNames<'_>,
    models: &Names<'_>,
    zones: &Names<'_>,
    ledger: &mut Ledger,
) -> Result<Fixture, Reported> {
    let who = asker("fixture", &row.tag);
    let node = nodes.of_row(&row.node, &row.tag, &who, ledger);
    let model = models.required(&row.model, &who, ledger);
    let zone = zones.optional(&row.zone, &who, ledger);
    Ok(Fixture {
        tag: row.tag.get()?.0,
        node: node?,
        model: ModelId::new(model?),
        zone: zone?.map(ZoneId::new),
        section: row.section.get()?.map(|section| section.0),
        existing: row.existing.or(YesNo(false))?.0,
    })
}

/// All zones; says which have no fixture.
pub(super) fn zones(raw: &RawJob, ledger: &mut Ledger) -> Result<Vec<Zone>, Reported> {
    for row in &raw.zones.rows {
        let Ok(tag) = &row.tag.value else { continue };
        let used = |zone: &Result<Option<crate::job::value::Tag>, Reported>| {
            zone.as_ref().is_ok_and(|zone| zone.as_ref() == Some(tag))
        };
        let by_fixture = raw.fixtures.rows.iter().any(|row| used(&row.zone.value));
        let by_existing = raw.existing.rows.iter().any(|row| used(&row.zone.value));
        if !by_fixture && !by_existing {
            let message = format!("no fixture belongs to zone `{}`", tag.0);
            ledger.notice(Notice::new(Code::ZoneUnused, &row.place, message));
        }
    }
    let zones = raw.zones.rows.iter().map(|row| {
        Ok(Zone {
            tag: row.tag.get()?.0,
            switched: row.switched.get()?,
        })
    });
    whole(gather(zones), raw.zones.whole)
}
