//! Rates, bid and rules from the sections of `job.toml`.

use super::names::Names;
use super::transformers::HIGHEST_TAP;
use super::{gather, whole};
use crate::ids::CableId;
use crate::job::column::Optional;
use crate::job::error::{Code, Ledger, Notice, Reported};
use crate::job::raw::{RatesSection, RawJob};
use crate::job::value::{LayoutList, Percent, Whole, YesNo};
use crate::job::{
    Bid, Layouts, LineBand, LumpSum, Margins, Rates, Rules, Slack, Spare, TaxClass, Temperatures,
};
use crate::units::{Amperes, Celsius, Hours, Metres, Money, Ratio, UnitSystem, VoltAmperes, Volts};

/// Shortest remnant worth keeping where the job names none, in its length unit: common practice, no source.
const fn shortest_useful(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Us => 10.0,
        UnitSystem::Metric => 3.0,
    }
}

/// Labour, waste, slack.
pub(super) fn rates(section: &RatesSection, units: UnitSystem) -> Result<Rates, Reported> {
    let slack = |slot: &Optional<Metres>| slot.or(Metres::ZERO);
    Ok(Rates {
        labour: section.labour.get()?,
        waste: section.waste.or(Ratio::ZERO)?,
        slack: Slack {
            transformer: slack(&section.slack_transformer)?,
            fixture: slack(&section.slack_fixture)?,
            hub: slack(&section.slack_hub)?,
            splice: slack(&section.slack_splice)?,
        },
        shortest_useful: section
            .shortest_useful
            .or(units.to_metres(shortest_useful(units)))?,
    })
}

/// Commercial terms.
pub(super) fn bid(raw: &RawJob) -> Result<Bid, Reported> {
    let section = &raw.bid;
    let taxes = [
        (TaxClass::Material, &raw.tax.material),
        (TaxClass::Labour, &raw.tax.labour),
        (TaxClass::Subcontract, &raw.tax.subcontract),
    ];
    let tax = gather(taxes.map(|(class, slot)| Ok((class, slot.get()?))))?;
    let lumps = gather(raw.lumps.rows.iter().map(|row| {
        Ok(LumpSum {
            name: row.name.get()?.0,
            amount: row.amount.get()?,
        })
    }));
    let controls = gather(raw.controls.rows.iter().map(|row| {
        Ok(LumpSum {
            name: row.name.get()?.0,
            amount: row.amount.get()?,
        })
    }));
    Ok(Bid {
        sundries: section.sundries.or(Ratio::ZERO)?,
        overhead: section.overhead.or(Ratio::ZERO)?,
        markup: section.markup.or(Ratio::ZERO)?,
        tax: tax
            .into_iter()
            .filter_map(|(class, rate)| rate.map(|rate| (class, rate)))
            .collect(),
        permit: section.permit.or(Money::ZERO)?,
        mobilisation: section.mobilisation.or(Money::ZERO)?,
        minimum_charge: section.minimum_charge.or(Money::ZERO)?,
        lumps: whole(lumps, raw.lumps.whole)?,
        controls: whole(controls, raw.controls.whole)?,
        night_visit: section.night_visit.or(Hours::ZERO)?,
    })
}

/// Engineering rules.
pub(super) fn rules(
    raw: &RawJob,
    cables: &Names<'_>,
    ledger: &mut Ledger,
) -> Result<Rules, Reported> {
    let section = &raw.rules;
    let home_run_cable = home_run_cable(raw, cables, ledger);
    let temperatures = temperatures(raw, ledger);
    let layouts = layouts(raw, ledger);
    let highest_tap = highest_tap(raw, ledger);
    let behind_breaker = gather(
        raw.breaker_rules
            .rows
            .iter()
            .map(|row| Ok((row.breaker.get()?, row.size.get()?.area()))),
    );
    let count = |slot: &Optional<Whole>| slot.get().map(|count| count.map(|count| count.0));
    Ok(Rules {
        loading_limit: section.loading.or(Percent(0.8))?.0,
        mains_fraction: section.mains.or(Percent(0.8))?.0,
        spare: spare(raw)?,
        most_fixtures_per_circuit: count(&section.most_per_circuit)?,
        most_fixtures_per_hub: count(&section.most_per_hub)?,
        home_run_cable: home_run_cable?,
        common_home_run: section.common_home_run.or(YesNo(false))?.0,
        joints_at_fixtures_and_hubs: section.joints_restricted.or(YesNo(false))?.0,
        layouts: layouts?,
        smallest_behind_breaker: whole(behind_breaker, raw.breaker_rules.whole)?,
        line: LineBand {
            low: raw.line.low.or(Percent(1.0))?.0,
            high: raw.line.high.or(Percent(1.0))?.0,
        },
        margins: Margins {
            low: section.margin_low.or(Volts::new(0.5))?,
            high: section.margin_high.or(Volts::ZERO)?,
        },
        length_growth: 1.0 + section.length_growth.or(Percent(0.05))?.0,
        temperatures: temperatures?,
        highest_tap: highest_tap?,
        water_distance: water_distance(raw)?,
    })
}

/// Usual least distance of low-voltage lighting from a pool, spa or fountain, in the job's
/// units: 10 ft or 3.0 m (NEC 411, from memory; local codes come first).
const fn usual_water_distance(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Us => 10.0,
        UnitSystem::Metric => 3.0,
    }
}

pub(super) fn water_distance(raw: &RawJob) -> Result<Metres, Reported> {
    let units = raw.top.units.get()?;
    let usual = units.to_metres(usual_water_distance(units));
    raw.rules.water_distance.or(usual)
}

fn spare(raw: &RawJob) -> Result<Spare, Reported> {
    let section = &raw.rules;
    Ok(Spare {
        fraction: section.spare.or(Percent(0.0))?.0,
        apparent: section.spare_va.or(VoltAmperes::ZERO)?,
        current: section.spare_a.or(Amperes::ZERO)?,
        ports: section.spare_ports.or(Whole(0))?.0,
        lugs: section.spare_lugs.or(Whole(0))?.0,
    })
}

/// The cable of all home runs, which must be allowed as one.
fn home_run_cable(
    raw: &RawJob,
    cables: &Names<'_>,
    ledger: &mut Ledger,
) -> Result<Option<CableId>, Reported> {
    let slot = &raw.rules.home_run_cable;
    let Some(cable) = cables.optional(slot, "the job", ledger)? else {
        return Ok(None);
    };
    if !raw.cables.rows[cable].home_run.or(YesNo(true))?.0 {
        let message = format!(
            "the job asks for home runs of cable `{}`, which is not allowed as a home run",
            slot.cell.text
        );
        let fault = slot.cell.fault(Code::CableNotAllowed, message);
        return Err(ledger.fault(fault.accepted("a cable with home_run = yes in cables.csv")));
    }
    Ok(Some(CableId::new(cable)))
}

fn temperatures(raw: &RawJob, ledger: &mut Ledger) -> Result<Temperatures, Reported> {
    let section = &raw.rules;
    let temperatures = Temperatures {
        low_case: section.low_case.or(Celsius::new(30.0))?,
        high_case: section.high_case.or(Celsius::new(5.0))?,
        expected: section.expected.or(Celsius::new(15.0))?,
    };
    if temperatures.low_case.value() >= temperatures.high_case.value() {
        return Ok(temperatures);
    }
    let slot = if section.low_case.cell.text.is_empty() {
        &section.high_case
    } else {
        &section.low_case
    };
    let fault = slot.cell.fault(
        Code::TemperaturesUpsideDown,
        format!(
            "the low-voltage case has colder conductors ({}) than the high-voltage case ({})",
            temperatures.low_case, temperatures.high_case
        ),
    );
    Err(ledger.fault(
        fault
            .accepted("temperature_low_case_c at or above temperature_high_case_c")
            .help("hot conductors resist more: the low case is the hot one"),
    ))
}

fn layouts(raw: &RawJob, ledger: &mut Ledger) -> Result<Layouts, Reported> {
    let slot = &raw.rules.layouts;
    let all = LayoutList(Layouts {
        chain: true,
        hub: true,
        mixed: true,
    });
    let layouts = slot.or(all)?.0;
    if layouts.chain || layouts.hub || layouts.mixed {
        return Ok(layouts);
    }
    let fault = slot.cell.fault(Code::NoLayout, "no layout is allowed");
    Err(ledger.fault(fault.accepted("at least one of \"chain\", \"hub\", \"mixed\"")))
}

fn highest_tap(raw: &RawJob, ledger: &mut Ledger) -> Result<Volts, Reported> {
    let slot = &raw.rules.highest_tap;
    let highest = slot.or(HIGHEST_TAP)?;
    if highest.value() > HIGHEST_TAP.value() {
        let message = format!(
            "taps up to {highest} may be used; above 15 V ac is beyond the wet-contact class: check code and listing of every part"
        );
        ledger.notice(Notice::new(Code::HighTapAllowed, &slot.cell.place, message));
    }
    Ok(highest)
}
