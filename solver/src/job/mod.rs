//! The job: what there is to light, where cable may run, what may be bought,
//! and the rules. Facts only, no formulas.
//!
//! [`Job`] is what every later room reads; [`read`] turns file text into a
//! [`Job`] or into the list of everything wrong with it. Inside: `column` and
//! `value` say what a table may hold, `read` splits text, `raw` declares every
//! table and section, `accept` resolves names and checks what no single cell
//! can show.

mod accept;
mod catalogue;
mod column;
mod conductors;
mod error;
mod model;
pub(crate) mod nearest;
mod raw;
mod read;
mod rules;
mod schema;
mod settings_schema;
mod text;
mod toml_words;
mod value;

pub use crate::calendar::rule as lighting;
pub use catalogue::{
    Cable, CablePrice, CableUse, Common, Conductor, ContactResistance, FixtureModel, HubKind,
    JointKind, Lead, LoadExponent, PortGroup, Remnant, Secondary, SizeRange, Spool, Surface,
    SurfaceWork, Tap, TransformerModel, Window, WireSet,
};
pub use conductors::least_copper_gauge;
pub use error::{Code, Fault, Faults, Notice};
pub use model::{
    Existing, Fixture, FurtherCircuit, Job, Node, Point, Segment, SegmentLimit, Site, Switched,
    Terms, Zone,
};
pub(crate) use nearest::did_you_mean_numbered;
pub(crate) use nearest::nearest as nearest_name;
pub use nearest::{did_you_mean, listed};
pub use rules::{
    Bid, EnergyTerms, HoursFrom, Layout, Layouts, LineBand, LumpSum, Margins, Objective, Rates,
    Rules, Slack, Spare, TaxClass, Temperatures,
};
pub use schema::schema_text;
pub use settings_schema::settings_json_schema;
pub use text::{FileWanted, JobText, SETTINGS_FILE, files_wanted};
pub use toml_words::in_plain_words;

/// Reads the files of a job.
///
/// Units: whatever the headings say; the [`Job`] is in SI. Deterministic; time
/// linear in the text apart from the search for near names.
///
/// # Errors
/// [`Faults`] with every mistake that can be told apart from the echo of
/// another, in the order of the files and lines.
///
/// ```
/// use duskwright_solver::job;
/// let faults = job::read(&job::JobText::new()).expect_err("there is no job.toml");
/// assert_eq!(faults.faults[0].code.as_str(), "J001");
/// ```
pub fn read(text: &JobText) -> Result<(Job, Vec<Notice>), Faults> {
    let mut ledger = error::Ledger::default();
    let job = raw::read(text, raw::Extent::Whole, &mut ledger)
        .and_then(|raw| accept::job(&raw, &mut ledger));
    ledger.close(job, &order(text))
}

/// Files in the order in which they are read.
fn order(text: &JobText) -> Vec<String> {
    let mut order = vec![SETTINGS_FILE.to_owned()];
    let settings = text.get(SETTINGS_FILE).unwrap_or_default();
    order.extend(files_wanted(settings).into_iter().map(|file| file.name));
    order
}

/// Reads `job.toml`, the catalogue and the zones: all that is known before there is a site.
/// Tables of the job folder may be absent; those of the site are not looked at.
///
/// # Errors
/// As [`read`].
///
/// ```
/// use duskwright_solver::job;
/// let faults = job::read_terms(&job::JobText::new()).expect_err("there is no job.toml");
/// assert_eq!(faults.faults[0].code.as_str(), "J001");
/// ```
pub fn read_terms(text: &JobText) -> Result<(Terms, Vec<Notice>), Faults> {
    let mut ledger = error::Ledger::default();
    let terms = raw::read(text, raw::Extent::Terms, &mut ledger)
        .and_then(|raw| accept::terms(&raw, &mut ledger));
    ledger.close(terms, &order(text))
}
