//! The readers of the library, each with sound texts to break.

use crate::{picture, survey};
use duskwright_report::Logo;
use duskwright_solver::check::verify;
use duskwright_solver::ids::PlacedId;
use duskwright_solver::job::{self, Job, JobText};
use duskwright_solver::plan::Plan;
use duskwright_solver::plan::json::from_json;
use duskwright_solver::service::diagnose::{Library, sheet};
use duskwright_solver::service::fault::Controls;
use duskwright_solver::service::uncertainty::Uncertainty;
use duskwright_solver::{alternative, decision};
use duskwright_tests::build::{chain, plan_json, row};
use duskwright_tests::fuzz::{Reader, Sound, World, said};
use duskwright_tests::{FULL_JOB_TOML, JOB_TOML, full_job};
use std::collections::BTreeMap;

const DECISIONS: [&str; 2] = [
    "decision,subject,object\nsame_circuit,F1,F2\nother_circuit,F1,F3\nsite,F2,garage\ntransformer,100VA,garage\n",
    "decision,subject,object\nsame_circuit,F1,F2\ncircuit,F3,C1\n",
];
const ALTERNATIVES: &str = "[[alternative]]\nname = \"one\"\nlayout = \"chain\"\ncables = [\"4mm2\"]\nsites = [\"garage\"]\nmost_fixtures_per_circuit = 2\nlabour_rate = 95\ndigging_factor = 1.2\ncable_price_factor = 0.9\n";
const READINGS: &str = "stage,place,quantity,reading\nall on,C1 home run,amps,3.0\nall on,fixture F1,volts,11.7\nall on,fixture F2,volts,11.5\n,fixture F3,volts,11.4\nall on,fixture F3,lit,yes\nhome run,fixture F1,volts,12\n";
const LOGO: &str = include_str!("../../samples/logo.svg");

const fn reader(name: &'static str, read: fn(&Desk, &[u8]) -> String) -> Reader<Desk> {
    Reader { name, read }
}

/// Every reader of the libraries.
pub const READERS: [Reader<Desk>; 13] = [
    reader("settings", settings),
    reader("tables", tables),
    reader("plan", plan),
    reader("decisions", decisions),
    reader("alternatives", alternatives),
    reader("readings", readings),
    reader("geojson", |_, bytes| survey::geojson(bytes)),
    reader("dxf", |_, bytes| survey::dxf(bytes)),
    reader("survey-settings", |_, bytes| survey::settings(bytes)),
    reader("survey-fixtures", |_, bytes| survey::fixtures(bytes)),
    reader("survey-edits", |_, bytes| survey::edits(bytes)),
    reader("logo", logo),
    reader("logo-png", |_, bytes| picture::logo(bytes)),
];

/// What the readers read against, and the sound texts.
pub struct Desk {
    text: JobText,
    names: Vec<String>,
    job: &'static Job,
    plan: &'static Plan,
    library: Library<'static>,
    sound: BTreeMap<&'static str, Sound>,
}

impl Desk {
    /// The full job, and the plan of three fixtures in a row.
    pub fn new() -> Self {
        // They live as long as the tests do.
        let job: &'static Job = Box::leak(Box::new(row()));
        let plan: &'static Plan = Box::leak(Box::new(chain()));
        // Where the hours of light follow from a place, a year of nights is counted for each text.
        let (placeless, _) = FULL_JOB_TOML
            .split_once("\n[place]")
            .expect("the full job has a place");
        let text = full_job().with("job.toml", placeless);
        let is_table = |(name, _): &(&str, &[u8])| name.ends_with(".csv");
        let tables = text.iter().filter(is_table);
        let (names, tables): (Vec<_>, Vec<Vec<u8>>) = tables
            .map(|(name, bytes)| (name.to_owned(), bytes.to_vec()))
            .unzip();
        let library = Library::of(
            job,
            plan,
            PlacedId(0),
            Controls::UNKNOWN,
            &Uncertainty::default(),
        );
        let sound = BTreeMap::from([
            (
                "settings",
                Sound {
                    usual: vec![placeless.into(), JOB_TOML.into()],
                    costly: Some(FULL_JOB_TOML.into()),
                },
            ),
            ("tables", Sound::several(tables)),
            ("plan", Sound::one(plan_json(job, plan, Some(1.5)))),
            ("decisions", Sound::several(DECISIONS)),
            ("alternatives", Sound::one(ALTERNATIVES)),
            ("readings", Sound::one(READINGS)),
            (
                "geojson",
                Sound::several([survey::GEOJSON, survey::DEGREES]),
            ),
            ("dxf", Sound::one(survey::drawing())),
            ("survey-settings", Sound::one(survey::SETTINGS)),
            ("survey-fixtures", Sound::one(survey::FIXTURES)),
            ("survey-edits", Sound::one(survey::OVERRIDES)),
            ("logo", Sound::one(LOGO)),
            (
                "logo-png",
                Sound {
                    usual: picture::small(),
                    costly: Some(picture::costly()),
                },
            ),
        ]);
        Self {
            text,
            names,
            job,
            plan,
            library,
            sound,
        }
    }
}

impl World for Desk {
    fn sound(&self, reader: &str) -> &Sound {
        &self.sound[reader]
    }
}

fn lossy(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn settings(world: &Desk, bytes: &[u8]) -> String {
    let said = said(job::read(&world.text.clone().with("job.toml", bytes)));
    format!("{said}\n{:?}", job::files_wanted(bytes))
}

/// The table is found again by its heading, or stands for the first.
fn tables(world: &Desk, bytes: &[u8]) -> String {
    let tables = &world.sound("tables").usual;
    let of = |at: &usize| {
        tables[*at]
            .iter()
            .zip(bytes)
            .take_while(|(a, b)| a == b)
            .count()
    };
    let at = (0..tables.len()).max_by_key(of).unwrap_or(0);
    said(job::read(
        &world.text.clone().with(world.names[at].as_str(), bytes),
    ))
}

fn plan(world: &Desk, bytes: &[u8]) -> String {
    match from_json(world.job, &lossy(bytes)) {
        // What can be read must be something that can be checked.
        Ok(file) => format!("read {:?}", verify(world.job, &file.plan).violations),
        Err(faults) => faults.to_string(),
    }
}

fn decisions(world: &Desk, bytes: &[u8]) -> String {
    let read = decision::read(world.job, Some(world.plan), &lossy(bytes));
    said(read.map_err(|faults| faults.iter().map(ToString::to_string).collect::<String>()))
}

fn alternatives(world: &Desk, bytes: &[u8]) -> String {
    match alternative::read(&lossy(bytes)) {
        Ok(named) => named.iter().map(|one| said(one.of(world.job))).collect(),
        Err(fault) => fault.to_string(),
    }
}

fn readings(world: &Desk, bytes: &[u8]) -> String {
    let read = sheet::read(std::slice::from_ref(&world.library), bytes);
    said(read.map_err(|faults| faults.iter().map(ToString::to_string).collect::<String>()))
}

fn logo(_: &Desk, bytes: &[u8]) -> String {
    said(Logo::read(bytes))
}
