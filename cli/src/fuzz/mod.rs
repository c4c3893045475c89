//! The readers inside the command against text broken at random: from files, as the command
//! reads them, and as far as what was read is used before anything is written.

mod batch;
mod site;

use crate::args::{JobArguments, SurveyArguments};
use crate::as_built::change::{Change, changes};
use crate::as_built::history::{self, history};
use crate::as_built::wiring;
use crate::batch::list;
use crate::command::rebuild::fold;
use crate::failure::Failure;
use crate::origin::facts;
use crate::reading::Reading;
use crate::survey::beginning;
use crate::{firm, plan_file, reading};
use batch::Batch;
use duskwright_solver::job::{self, JobText, SETTINGS_FILE};
use duskwright_solver::plan::Plan;
use duskwright_tests::fuzz::{
    OF_COMMAND, Reader, Sound, World, long_run, refused, said, short_run,
};
use site::Site;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Everything that a crew may write down, of the job that [`built_job`] is.
const CHANGES: &str =
    "what,name,to\npath,garage/corner,4.25\nfixture,F3,gate\ntap,C1,13\npath,gate/hedge/bed,7\n";
/// What earlier rebuilds left: of this version, and of one that did not tell how it was made.
const HISTORIES: [&str; 2] = [
    "number,date,what,name,was,to\n1,2026-04-01,path,a/b,3,4.2\nmade,,version,,,0.1.0\nmade,,input_sha256,,,ab\nmade,,search,,,\"effort quick, seed 1\"\n",
    "number,date,what,name,was,to\n1,2026-04-01,path,a/b,3,4.2\n2,2026-04-01,tap,C1,12,13\n",
];
/// Jobs of a batch.
const LIST: &str = "\u{feff}# this week\none\n\n two/job.toml \r\nthree\n";
/// The firm of the samples, and its logo.
const FIRM: &str = include_str!("../../../samples/firm.toml");
const LOGO: &str = include_str!("../../../samples/logo.svg");
/// Date of everything.
const DATE: &str = "2026-05-02";

/// Every reader inside the command.
const READERS: [Reader<Desk>; 9] = [
    reader("firm", |desk, bytes| desk.firm(bytes)),
    reader("list", |desk, bytes| desk.list(bytes)),
    reader("changes", |desk, bytes| desk.changes(bytes)),
    reader("history", |desk, bytes| desk.history(bytes)),
    reader("batch-card", |desk, bytes| desk.batch.card(bytes)),
    reader("batch-record", |desk, bytes| desk.batch.record(bytes)),
    reader("survey-record", |desk, bytes| desk.site.record(bytes)),
    reader("survey-nodes", |desk, bytes| desk.site.nodes(bytes)),
    reader("survey-beginning", |desk, bytes| desk.beginning(bytes)),
];

const fn reader(name: &'static str, read: fn(&Desk, &[u8]) -> String) -> Reader<Desk> {
    Reader { name, read }
}

/// A job with its plan, written by the first version and read since.
fn built_job() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/command/fixtures/schema-1")
}

/// Writes a file, with the folders that it stands in. One that is there goes first: some file
/// systems flush a file that is cut to nothing and written again, which takes longer than
/// reading it.
fn put(path: &Path, bytes: impl AsRef<[u8]>) {
    let folder = path.parent().expect("a file stands in a folder");
    fs::create_dir_all(folder).expect("the temporary folder can be written");
    let _there_or_not = fs::remove_file(path);
    fs::write(path, bytes).expect("the temporary folder can be written");
}

/// A folder with everything that the readers read beside the broken text.
struct Desk {
    home: TempDir,
    text: JobText,
    built: Reading,
    plan: Plan,
    made: Vec<(Change, String)>,
    batch: Batch,
    site: Site,
    survey: SurveyArguments,
    sound: BTreeMap<&'static str, Sound>,
}

impl Desk {
    fn new() -> Self {
        let home = tempfile::tempdir().expect("a temporary folder");
        let at = |name: &str| home.path().join(name);
        put(&at("logo.svg"), LOGO);
        for job in ["one", "two", "three"] {
            put(&at(job).join(SETTINGS_FILE), "");
        }
        let text = reading::text(&JobArguments {
            job: built_job(),
            allow_outside: false,
        });
        let text = text.expect("readable");
        let built = reading::of_text(&text).expect("a sound job");
        let (file, _) =
            plan_file::read(&built.job, &built_job().join("plan.json")).expect("a sound plan");
        put(&at("changes.csv"), CHANGES);
        let made = changes(&at("changes.csv")).expect("sound changes");
        let made = made.into_iter().map(|change| (change, "before".to_owned()));
        for (name, bytes) in text.iter().filter(|(name, _)| name.contains('/')) {
            put(&at(name), bytes);
        }
        // A survey that writes elsewhere takes the catalogue along.
        let settings = text.get(SETTINGS_FILE).expect("a job has settings");
        let settings = String::from_utf8(settings.to_vec()).expect("text");
        let settings = settings.replace("\"catalogue\"", "\"../catalogue\"");
        let (batch, site) = (Batch::new(&at("batch")), Site::new(home.path()));
        let sound = BTreeMap::from([
            ("firm", Sound::one(FIRM)),
            ("list", Sound::one(LIST)),
            ("changes", Sound::one(CHANGES)),
            ("history", Sound::several(HISTORIES)),
            ("batch-card", batch.sound_cards()),
            ("batch-record", batch.sound_records()),
            ("survey-record", site.sound_record()),
            ("survey-nodes", site.sound_nodes()),
            ("survey-beginning", Sound::one(settings)),
        ]);
        let survey = SurveyArguments {
            plan: at("plans/plan.geojson"),
            out: at("far/away/job"),
            settings: None,
            fixtures: None,
            job_file: None,
            replace_edited: false,
            allow_outside: false,
            json: false,
        };
        Self {
            text,
            built,
            plan: file.plan,
            made: made.collect(),
            batch,
            site,
            survey,
            sound,
            home,
        }
    }

    /// Lays the text under a name; where.
    fn lay(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.home.path().join(name);
        put(&path, bytes);
        path
    }

    fn firm(&self, bytes: &[u8]) -> String {
        said(firm::read(&self.lay("firm.toml", bytes), false))
    }

    fn list(&self, bytes: &[u8]) -> String {
        let list = self.lay("week.txt", bytes);
        let found = |away| said(list::find(&list, away));
        format!("{}\n{}", found(false), found(true))
    }

    /// The list, folded into job and plan.
    fn changes(&self, bytes: &[u8]) -> String {
        let fold_in = || -> Result<(), Failure> {
            let mut plan = self.plan.clone();
            let changes = changes(&self.lay("changes.csv", bytes))?;
            let (text, _) = fold(self.text.clone(), &self.built.job, &mut plan, changes)?;
            let after = reading::of_text(&text)?;
            wiring::follow_fixtures(&self.built.job, &after.job, &mut plan)
        };
        said(fold_in())
    }

    fn history(&self, bytes: &[u8]) -> String {
        let path = self.lay(&format!("built/{}", history::FILE), bytes);
        let job = path.parent().expect("it stands in a folder");
        let origin = facts("0.1.0", "ab", "effort quick, seed 1");
        let told = history(job, &self.made, DATE, &origin);
        // What was written must be read the next time.
        if let Ok(text) = &told {
            put(&path, text);
            history(job, &self.made, DATE, &origin).expect("its own file");
        }
        said(told)
    }

    /// The job.toml beside a plan, taken along into a job elsewhere.
    fn beginning(&self, bytes: &[u8]) -> String {
        self.lay(&format!("plans/{SETTINGS_FILE}"), bytes);
        let begun = || -> Result<bool, Failure> {
            let found = beginning::find(&self.survey, &self.survey.out)?;
            job::read_terms(&found.text).map_err(|faults| Failure::Job(Box::new(faults)))?;
            Ok(found.own_catalogue)
        };
        match begun() {
            Ok(own) => format!("read, catalogue taken along: {own}"),
            Err(failure) => failure.to_string(),
        }
    }
}

impl World for Desk {
    fn sound(&self, reader: &str) -> &Sound {
        &self.sound[reader]
    }
}

#[test]
fn no_reader_panics_or_says_two_things() {
    short_run(&Desk::new(), &READERS);
}

#[test]
fn every_reader_reads_its_sound_texts() {
    let refused = refused(&Desk::new(), &READERS);
    assert!(refused.is_empty(), "{}", refused.join("\n"));
}

#[test]
fn every_reader_goes_by_its_name() {
    assert_eq!(READERS.map(|reader| reader.name), OF_COMMAND);
}

#[test]
#[ignore = "runs for SECONDS or EXECUTIONS a reader: make fuzz"]
fn no_reader_panics_hangs_or_hoards_for_long() {
    long_run(&Desk::new(), &READERS);
}
