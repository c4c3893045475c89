//! Cables with their spools and stock.

use super::names::{Names, asker};
use super::{gather, whole};
use crate::job::conductors::{coefficient, published};
use crate::job::error::{Code, Fault, Ledger, Place, Reported};
use crate::job::raw::{CableRow, RawJob};
use crate::job::value::{Goal, Material, Strand, YesNo};
use crate::job::{Cable, CablePrice, CableUse, Conductor, Remnant, Spool};
use crate::units::{OhmsPerMetre, SquareMillimetres, UnitSystem};

/// All cables.
pub(super) fn cables(
    raw: &RawJob,
    names: &Names<'_>,
    ledger: &mut Ledger,
) -> Result<Vec<Cable>, Reported> {
    let grid = raw.top.units.get()?.grid();
    let mut spools: Vec<Vec<Spool>> = vec![Vec::new(); raw.cables.rows.len()];
    let mut stock: Vec<Vec<Remnant>> = vec![Vec::new(); raw.cables.rows.len()];
    let spool_rows = gather(raw.spools.rows.iter().map(|row| {
        let cable = names.required(&row.cable, "a spool", ledger);
        let spool = Spool {
            length: grid.floor(row.length.get()?),
            price: row.price.get()?,
        };
        Ok((cable?, spool))
    }));
    let stock_rows = gather(raw.stock.rows.iter().map(|row| {
        let cable = names.required(&row.cable, "a remnant", ledger);
        let remnant = Remnant {
            length: grid.floor(row.length.get()?),
            count: row.count.get()?.map_or(1, |count| count.0),
        };
        Ok((cable?, remnant))
    }));
    for (cable, spool) in spool_rows.iter().flatten().filter(|row| row.1.length.0 > 0) {
        spools[*cable].push(*spool);
    }
    for (cable, remnant) in stock_rows.iter().flatten().filter(|row| row.1.length.0 > 0) {
        stock[*cable].push(*remnant);
    }
    let rows = raw.cables.rows.iter().zip(spools).zip(stock);
    let cables = gather(rows.map(|((row, spools), stock)| {
        let cable = cable(row, raw, ledger);
        Ok(Cable {
            spools,
            stock,
            ..cable?
        })
    }));
    let some_home_run = check_home_run(raw, ledger);
    let enough_spools = check_spools(raw, names, ledger);
    raw.spools.whole.and(raw.stock.whole)?;
    spool_rows?;
    stock_rows?;
    some_home_run?;
    enough_spools?;
    whole(cables, raw.cables.whole)
}

fn uses(row: &CableRow) -> Result<CableUse, Reported> {
    Ok(CableUse {
        home_run: row.home_run.or(YesNo(true))?.0,
        branch: row.branch.or(YesNo(true))?.0,
        lead: row.lead.or(YesNo(true))?.0,
    })
}

fn cable(row: &CableRow, raw: &RawJob, ledger: &mut Ledger) -> Result<Cable, Reported> {
    let allowed = uses(row);
    let price = price(row, allowed, ledger);
    let outer = outer(row, raw, ledger);
    let conductor = conductor(row, ledger);
    let gauge = row.size.get()?;
    Ok(Cable {
        tag: row.tag.get()?.0,
        gauge: gauge.to_string(),
        size: gauge.area(),
        outer: outer?,
        conductor: conductor?,
        price: price?,
        ampacity: row.ampacity.get()?,
        allowed: allowed?,
        spools: Vec::new(),
        stock: Vec::new(),
    })
}

/// A price by length is needed wherever the cable may be bought by length.
fn price(
    row: &CableRow,
    allowed: Result<CableUse, Reported>,
    ledger: &mut Ledger,
) -> Result<Option<CablePrice>, Reported> {
    let price = row.price.get()?;
    let allowed = allowed?;
    if price.is_none() && (allowed.home_run || allowed.branch) {
        let fault = row.price.cell.fault(
            Code::PriceMissing,
            format!("{} has no price", asker("cable", &row.tag)),
        );
        return Err(ledger.fault(
            fault
                .accepted("a number, 0 or more")
                .help("a cable used only as a lead needs none: home_run = no, branch = no"),
        ));
    }
    Ok(price.map(|price| CablePrice { per_unit: price.0 }))
}

/// The first path with a fill limit.
fn fill_limit(raw: &RawJob) -> Option<&Place> {
    let limited = |most: &Option<SquareMillimetres>| most.is_some();
    raw.paths
        .rows
        .iter()
        .find(|row| row.most_fill.value.as_ref().is_ok_and(limited))
        .map(|row| &row.place)
}

/// The outer cross-section; nobody reads it where no path has a fill limit.
fn outer(row: &CableRow, raw: &RawJob, ledger: &mut Ledger) -> Result<SquareMillimetres, Reported> {
    match (row.outer.get()?, fill_limit(raw)) {
        (Some(outer), _) => Ok(outer),
        (None, None) => Ok(SquareMillimetres::ZERO),
        (None, Some(place)) => {
            let line = place.line.unwrap_or_default();
            let message = format!(
                "{} has no outer cross-section, which the fill limit in {} line {line} needs",
                asker("cable", &row.tag),
                place.file
            );
            let fault = row.outer.cell.fault(Code::OuterMissing, message);
            Err(ledger.fault(fault.accepted("a number above 0")))
        }
    }
}

/// The stated resistance, or the published one.
fn conductor(row: &CableRow, ledger: &mut Ledger) -> Result<Conductor, Reported> {
    let stated = row.resistance.get();
    let at = row.resistance_at.get();
    let given_coefficient = row.coefficient.get();
    let reactance = row.reactance.or(OhmsPerMetre::ZERO);
    let material = row.material.or(Material::Copper);
    let (stated, at, material) = (stated?, at?, material?);
    let mut conductor = match (stated, at) {
        (Some(resistance), Some(at)) => {
            // Every accepted temperature is far above the -230 °C where this ends.
            let own = coefficient(material, at).unwrap_or_default();
            Conductor {
                resistance,
                at,
                coefficient: own,
                reactance: OhmsPerMetre::ZERO,
            }
        }
        (None, None) => listed_conductor(row, material, ledger)?,
        (Some(_), None) | (None, Some(_)) => {
            let fault = row.resistance_at.cell.fault(
                Code::ResistanceIncomplete,
                format!(
                    "{} states a resistance or its temperature, not both",
                    asker("cable", &row.tag)
                ),
            );
            return Err(ledger.fault(
                fault
                    .accepted("resistance_ohm_per_kft|km together with resistance_at_c")
                    .help("leave both blank to take the published resistance of size, material and strand"),
            ));
        }
    };
    if let Some(coefficient) = given_coefficient? {
        conductor.coefficient = coefficient;
    }
    conductor.reactance = reactance?;
    Ok(conductor)
}

fn listed_conductor(
    row: &CableRow,
    material: Material,
    ledger: &mut Ledger,
) -> Result<Conductor, Reported> {
    let gauge = row.size.get()?;
    let strand = row.strand.or(Strand::Stranded)?;
    published(&gauge, material, strand).ok_or_else(|| {
        let message = format!(
            "no published table gives the resistance of {} ({gauge})",
            asker("cable", &row.tag)
        );
        ledger.fault(
            row.size
                .cell
                .fault(Code::ResistanceUnknown, message)
                .accepted("AWG 18, 16, 14, 12, 10, 8, 6, 4, 2, or 0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35 mm²; not every material and make-up in every size")
                .help("state resistance_ohm_per_kft or resistance_ohm_per_km, and resistance_at_c"),
        )
    })
}

/// At least one cable must be allowed as a home run.
fn check_home_run(raw: &RawJob, ledger: &mut Ledger) -> Result<(), Reported> {
    let may = |row: &CableRow| uses(row).map_or(true, |allowed| allowed.home_run);
    if raw.cables.whole.is_err() || raw.cables.rows.iter().any(may) {
        return Ok(());
    }
    let fault = Fault::new(
        Code::NoHomeRunCable,
        &Place::file(&raw.cables.file),
        "no cable may be used as a home run",
    );
    Err(ledger.fault(fault.accepted("at least one cable with home_run = yes")))
}

/// With "whole spools" every cable that is bought needs a spool.
fn check_spools(raw: &RawJob, names: &Names<'_>, ledger: &mut Ledger) -> Result<(), Reported> {
    let goal = raw.objective.minimise.or(Goal::Installed)?;
    if goal != Goal::WholeSpools || raw.spools.whole.is_err() {
        return Ok(());
    }
    let spooled = |position: usize| {
        raw.spools.rows.iter().any(|spool| {
            let cable = spool.cable.value.as_ref().ok();
            // A spool whose cable cannot be told may be the one that is missed.
            cable.is_none_or(|cable| names.position(&cable.0) == Some(position))
        })
    };
    let unit = raw.top.units.get().map_or("m", UnitSystem::length_symbol);
    let mut enough = Ok(());
    for (position, row) in raw.cables.rows.iter().enumerate() {
        let bought = uses(row).is_ok_and(|allowed| allowed.home_run || allowed.branch);
        if bought && !spooled(position) {
            let message = format!(
                "{} has no spool, which \"whole spools\" needs",
                asker("cable", &row.tag)
            );
            let fault = row.tag.cell.fault(Code::SpoolsMissing, message);
            enough = Err(ledger.fault(
                fault
                    .accepted(format!(
                        "a row in spools.csv with cable, length_{unit} and price"
                    ))
                    .help("or set minimise = \"installed\""),
            ));
        }
    }
    enough
}
