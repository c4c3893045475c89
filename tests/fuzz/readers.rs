//! The readers of the library, each with sound texts to break.

use duskwright_solver::check::verify;
use duskwright_solver::ids::PlacedId;
use duskwright_solver::job::{self, Job, JobText, Layout};
use duskwright_solver::plan::Plan;
use duskwright_solver::plan::json::{PlanHeader, from_json, to_json};
use duskwright_solver::service::diagnose::{Library, sheet};
use duskwright_solver::service::fault::Controls;
use duskwright_solver::service::uncertainty::Uncertainty;
use duskwright_solver::{alternative, decision};
use duskwright_tests::build::{chain, row};
use duskwright_tests::full_job;

/// One reader: broken bytes in, what it said out.
pub struct Reader {
    /// Its name, for `READER=`.
    pub name: &'static str,
    /// Reads.
    pub read: fn(&World, &[u8]) -> String,
    sound: fn(&World) -> &Vec<Vec<u8>>,
}

/// Every reader of the library.
pub const READERS: [Reader; 6] = [
    Reader {
        name: "settings",
        read: settings,
        sound: |world| &world.settings,
    },
    Reader {
        name: "tables",
        read: tables,
        sound: |world| &world.tables,
    },
    Reader {
        name: "plan",
        read: plan,
        sound: |world| &world.plans,
    },
    Reader {
        name: "decisions",
        read: decisions,
        sound: |world| &world.decisions,
    },
    Reader {
        name: "alternatives",
        read: alternatives,
        sound: |world| &world.alternatives,
    },
    Reader {
        name: "readings",
        read: readings,
        sound: |world| &world.readings,
    },
];

/// What the readers read against, and the sound texts.
pub struct World {
    text: JobText,
    names: Vec<String>,
    job: &'static Job,
    plan: &'static Plan,
    library: Library<'static>,
    settings: Vec<Vec<u8>>,
    tables: Vec<Vec<u8>>,
    plans: Vec<Vec<u8>>,
    decisions: Vec<Vec<u8>>,
    alternatives: Vec<Vec<u8>>,
    readings: Vec<Vec<u8>>,
}

impl World {
    /// The full job, and the plan of three fixtures in a row.
    pub fn new() -> Self {
        let text = full_job();
        // They live as long as the tests do.
        let job: &'static Job = Box::leak(Box::new(row()));
        let plan: &'static Plan = Box::leak(Box::new(chain()));
        let header = PlanHeader {
            program_version: "0.0.0".to_owned(),
            input_hash: "00".to_owned(),
            effort: "quick".to_owned(),
            seed: 1,
            layout: Layout::Mixed,
            objective: Some("installed".to_owned()),
            status: "feasible".to_owned(),
            lower_bound_cost: Some(1.5),
        };
        let results = verify(job, plan).figures.results(job);
        let written = to_json(job, plan, &header, &results).into_bytes();
        let is_table = |name: &str| name.ends_with(".csv");
        Self {
            settings: vec![text.get("job.toml").unwrap_or_default().to_vec()],
            names: text.iter().map(|(name, _)| name.to_owned()).filter(|name| is_table(name)).collect(),
            tables: text.iter().filter(|(name, _)| is_table(name)).map(|(_, bytes)| bytes.to_vec()).collect(),
            text,
            job,
            plan,
            library: Library::of(job, plan, PlacedId(0), Controls::UNKNOWN, &Uncertainty::default()),
            plans: vec![written],
            decisions: vec![
                b"decision,subject,object\nsame_circuit,F1,F2\nother_circuit,F1,F3\nsite,F2,S\ntransformer,T,S\ncircuit,F3,C1\n".to_vec(),
            ],
            alternatives: vec![
                b"[[alternative]]\nname = \"one\"\nlayout = \"chain\"\ncables = [\"4mm2\"]\nsites = [\"S\"]\nmost_fixtures_per_circuit = 2\nlabour_rate = 95\ndigging_factor = 1.2\ncable_price_factor = 0.9\n".to_vec(),
            ],
            readings: vec![
                b"stage,place,quantity,reading\nall on,C1,amps,3.0\nall on,F1,volts,11.7\nall on,F2,volts,11.5\n,F3,volts,11.4\nall on,F3,lit,yes\nall on,T1,VA,36\n".to_vec(),
            ],
        }
    }

    /// Sound texts of a reader.
    pub fn sound(&self, reader: &Reader) -> &Vec<Vec<u8>> {
        (reader.sound)(self)
    }
}

fn said<T>(answer: Result<T, impl std::fmt::Display>) -> String {
    answer.map_or_else(|faults| faults.to_string(), |_| "read".to_owned())
}

fn lossy(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn settings(world: &World, bytes: &[u8]) -> String {
    let wanted = job::files_wanted(bytes);
    format!(
        "{wanted:?}\n{}",
        said(job::read(&world.text.clone().with("job.toml", bytes)))
    )
}

/// The table is found again by its heading, or stands for the first.
fn tables(world: &World, bytes: &[u8]) -> String {
    let of = |at: &usize| {
        world.tables[*at]
            .iter()
            .zip(bytes)
            .take_while(|(a, b)| a == b)
            .count()
    };
    let at = (0..world.tables.len()).max_by_key(of).unwrap_or(0);
    said(job::read(
        &world.text.clone().with(world.names[at].as_str(), bytes),
    ))
}

fn plan(world: &World, bytes: &[u8]) -> String {
    match from_json(world.job, &lossy(bytes)) {
        // What can be read must be something that can be checked.
        Ok(file) => format!("{:?}", verify(world.job, &file.plan).violations),
        Err(faults) => faults.to_string(),
    }
}

fn decisions(world: &World, bytes: &[u8]) -> String {
    let read = decision::read(world.job, Some(world.plan), &lossy(bytes));
    said(read.map_err(|faults| faults.iter().map(ToString::to_string).collect::<String>()))
}

fn alternatives(world: &World, bytes: &[u8]) -> String {
    match alternative::read(&lossy(bytes)) {
        Ok(named) => named.iter().map(|one| said(one.of(world.job))).collect(),
        Err(fault) => fault.to_string(),
    }
}

fn readings(world: &World, bytes: &[u8]) -> String {
    let read = sheet::read(std::slice::from_ref(&world.library), bytes);
    said(read.map_err(|faults| faults.iter().map(ToString::to_string).collect::<String>()))
}
