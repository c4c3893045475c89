//! From declared rows to the checked job: names become ids, and what no single
//! cell can show is checked. Every absent value is a fault already written down.

mod cables;
mod energy;
mod existing;
mod fixtures;
mod joints;
mod lighting;
mod names;
mod reach;
mod settings;
mod site;
mod surfaces;
mod transformers;

use super::error::{Ledger, Reported};
use super::raw::RawJob;
use super::{Job, Terms};
use names::Names;

/// The value of every row, or proof that one is absent. Unlike collecting into
/// a `Result`, every row is looked at.
fn gather<T>(rows: impl IntoIterator<Item = Result<T, Reported>>) -> Result<Vec<T>, Reported> {
    let mut values = Ok(Vec::new());
    for row in rows {
        match row {
            Ok(value) => {
                if let Ok(values) = &mut values {
                    values.push(value);
                }
            }
            Err(reported) => values = Err(reported),
        }
    }
    values
}

/// Rows that could be read, provided none was lost.
fn whole<T>(
    rows: Result<Vec<T>, Reported>,
    table: Result<(), Reported>,
) -> Result<Vec<T>, Reported> {
    table.and(rows)
}

/// Checks what stands before there is a site.
pub(super) fn terms(raw: &RawJob, ledger: &mut Ledger) -> Result<Terms, Reported> {
    let surface_names = Names::of("surface", &raw.surfaces, |row| &row.tag, ledger);
    let cable_names = Names::of("cable", &raw.cables, |row| &row.tag, ledger);
    let model_names = Names::of("fixture model", &raw.models, |row| &row.tag, ledger);
    let zone_names = Names::of("zone", &raw.zones, |row| &row.tag, ledger);
    let surfaces = surfaces::surfaces(raw);
    let cables = cables::cables(raw, &cable_names, ledger);
    let models = fixtures::models(raw, &cable_names, ledger);
    let units = raw.top.units.get();
    let rates = units.and_then(|units| settings::rates(&raw.rates, units));
    surface_names.sound()?;
    model_names.sound()?;
    zone_names.sound()?;
    Ok(Terms {
        units: units?,
        rates: rates?,
        surfaces: surfaces?,
        cables: cables?,
        models: models?.into_iter().map(|model| model.tag).collect(),
        zones: zone_names.tags(),
        water_distance: settings::water_distance(raw)?,
    })
}

/// Checks a raw job.
pub(super) fn job(raw: &RawJob, ledger: &mut Ledger) -> Result<Job, Reported> {
    let surface_names = Names::of("surface", &raw.surfaces, |row| &row.tag, ledger);
    let cable_names = Names::of("cable", &raw.cables, |row| &row.tag, ledger);
    let model_names = Names::of("fixture model", &raw.models, |row| &row.tag, ledger);
    let zone_names = Names::of("zone", &raw.zones, |row| &row.tag, ledger);
    let site_names = Names::of("site", &raw.sites, |row| &row.tag, ledger);
    let transformer_names = Names::of(
        "transformer model",
        &raw.transformers,
        |row| &row.tag,
        ledger,
    );

    let surfaces = surfaces::surfaces(raw);
    let cables = cables::cables(raw, &cable_names, ledger);
    let models = fixtures::models(raw, &cable_names, ledger);
    let transformers = transformers::transformers(raw, &transformer_names, ledger);
    let hubs = joints::hubs(raw, ledger);
    let joints = joints::joints(raw, ledger);
    let zones = fixtures::zones(raw, ledger);
    let nodes = site::NodeNames::of(raw, ledger);
    let segments = site::segments(raw, &nodes, &surface_names, ledger);
    let fixtures = fixtures::fixtures(raw, &nodes, &model_names, &zone_names, ledger);
    let sites = site::sites(raw, &nodes, ledger);
    let points = site::nodes(raw, &nodes);
    let existing = existing::existing(
        raw,
        &existing::Known {
            sites: &site_names,
            zones: &zone_names,
            models: &transformer_names,
            transformers: &transformers,
        },
        ledger,
    );
    let units = raw.top.units.get();
    let rates = units.and_then(|units| settings::rates(&raw.rates, units));
    let bid = settings::bid(raw);
    let rules = settings::rules(raw, &cable_names, ledger);
    let lighting = lighting::lighting(raw, ledger);
    let lamps = energy::Lamps {
        lighting: &lighting,
        fixtures: &fixtures,
        models: &models,
    };
    let objective = energy::objective(raw, &lamps, ledger);
    let transformers = whole(gather(transformers), raw.transformers.whole);

    let mut job = Job {
        name: raw.top.name.get()?.0,
        currency: raw.top.currency.get()?.0,
        units: raw.top.units.get()?,
        nodes: points?,
        segments: segments?,
        fixtures: fixtures?,
        zones: zones?,
        sites: sites?,
        existing: existing?,
        surfaces: surfaces?,
        cables: cables?,
        models: models?,
        transformers: transformers?,
        hubs: hubs?,
        joints: joints?,
        rates: rates?,
        bid: bid?,
        rules: rules?,
        objective: objective?,
        lighting: lighting?,
    };
    site::default_joints(&nodes, &mut job);
    reach::check(raw, &job, ledger)?;
    Ok(job)
}
