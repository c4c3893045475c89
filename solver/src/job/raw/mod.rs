//! The job as its files state it: one declared row type for each table and
//! each section of `job.toml`. Values are read, references are still names.

mod catalogue;
mod job;
mod settings;

pub(in crate::job) use catalogue::{
    CableRow, CommonRow, FixtureModelRow, HubRow, JointRow, SecondaryRow, SpoolRow, StockRow,
    SurfaceRow, TapRow, TransformerRow,
};
pub(in crate::job) use job::{ExistingRow, FixtureRow, NodeRow, PathRow, SiteRow, ZoneRow};
pub(in crate::job) use settings::{
    BidSection, BreakerRuleSection, CatalogueSection, ControlSection, LineSection, LumpSection,
    ObjectiveSection, PlaceSection, RatesSection, RulesSection, TaxSection, TopSection,
};

use super::column::{Home, Record, Table};
use super::error::{Code, Fault, Ledger, Place, Reported};
use super::read::{Policy, Rows, Settings, rows, text_of};
use super::text::{JobText, SETTINGS_FILE, path_of};
use super::value::Kind;
use crate::units::UnitSystem;
use std::rc::Rc;

/// Every declared table with the shapes and kinds of its columns, in documented order.
pub(in crate::job) const TABLES: &[(Table, &[&str], &[Kind])] = &[
    (TopSection::TABLE, TopSection::SHAPES, TopSection::KINDS),
    (
        CatalogueSection::TABLE,
        CatalogueSection::SHAPES,
        CatalogueSection::KINDS,
    ),
    (LineSection::TABLE, LineSection::SHAPES, LineSection::KINDS),
    (
        RatesSection::TABLE,
        RatesSection::SHAPES,
        RatesSection::KINDS,
    ),
    (BidSection::TABLE, BidSection::SHAPES, BidSection::KINDS),
    (TaxSection::TABLE, TaxSection::SHAPES, TaxSection::KINDS),
    (LumpSection::TABLE, LumpSection::SHAPES, LumpSection::KINDS),
    (
        ControlSection::TABLE,
        ControlSection::SHAPES,
        ControlSection::KINDS,
    ),
    (
        RulesSection::TABLE,
        RulesSection::SHAPES,
        RulesSection::KINDS,
    ),
    (
        BreakerRuleSection::TABLE,
        BreakerRuleSection::SHAPES,
        BreakerRuleSection::KINDS,
    ),
    (
        PlaceSection::TABLE,
        PlaceSection::SHAPES,
        PlaceSection::KINDS,
    ),
    (
        ObjectiveSection::TABLE,
        ObjectiveSection::SHAPES,
        ObjectiveSection::KINDS,
    ),
    (FixtureRow::TABLE, FixtureRow::SHAPES, FixtureRow::KINDS),
    (PathRow::TABLE, PathRow::SHAPES, PathRow::KINDS),
    (NodeRow::TABLE, NodeRow::SHAPES, NodeRow::KINDS),
    (SiteRow::TABLE, SiteRow::SHAPES, SiteRow::KINDS),
    (ZoneRow::TABLE, ZoneRow::SHAPES, ZoneRow::KINDS),
    (ExistingRow::TABLE, ExistingRow::SHAPES, ExistingRow::KINDS),
    (CableRow::TABLE, CableRow::SHAPES, CableRow::KINDS),
    (SpoolRow::TABLE, SpoolRow::SHAPES, SpoolRow::KINDS),
    (StockRow::TABLE, StockRow::SHAPES, StockRow::KINDS),
    (
        FixtureModelRow::TABLE,
        FixtureModelRow::SHAPES,
        FixtureModelRow::KINDS,
    ),
    (
        TransformerRow::TABLE,
        TransformerRow::SHAPES,
        TransformerRow::KINDS,
    ),
    (
        SecondaryRow::TABLE,
        SecondaryRow::SHAPES,
        SecondaryRow::KINDS,
    ),
    (TapRow::TABLE, TapRow::SHAPES, TapRow::KINDS),
    (CommonRow::TABLE, CommonRow::SHAPES, CommonRow::KINDS),
    (HubRow::TABLE, HubRow::SHAPES, HubRow::KINDS),
    (JointRow::TABLE, JointRow::SHAPES, JointRow::KINDS),
    (SurfaceRow::TABLE, SurfaceRow::SHAPES, SurfaceRow::KINDS),
];

/// Everything the files state.
pub(in crate::job) struct RawJob {
    pub top: TopSection,
    pub line: LineSection,
    pub rates: RatesSection,
    pub bid: BidSection,
    pub tax: TaxSection,
    pub lumps: Rows<LumpSection>,
    pub controls: Rows<ControlSection>,
    pub rules: RulesSection,
    pub breaker_rules: Rows<BreakerRuleSection>,
    pub place: PlaceSection,
    pub objective: ObjectiveSection,
    pub fixtures: Rows<FixtureRow>,
    pub paths: Rows<PathRow>,
    pub nodes: Rows<NodeRow>,
    pub sites: Rows<SiteRow>,
    pub zones: Rows<ZoneRow>,
    pub existing: Rows<ExistingRow>,
    pub cables: Rows<CableRow>,
    pub spools: Rows<SpoolRow>,
    pub stock: Rows<StockRow>,
    pub models: Rows<FixtureModelRow>,
    pub transformers: Rows<TransformerRow>,
    pub secondaries: Rows<SecondaryRow>,
    pub taps: Rows<TapRow>,
    pub commons: Rows<CommonRow>,
    pub hubs: Rows<HubRow>,
    pub joints: Rows<JointRow>,
    pub surfaces: Rows<SurfaceRow>,
}

/// The newest version of the format.
pub(in crate::job) const SCHEMA: u32 = 1;
/// Where the catalogue lies when `job.toml` does not say.
const DEFAULT_CATALOGUE: &str = "../catalogue";

/// How much of a job there is to read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) enum Extent {
    /// All of it.
    Whole,
    /// `job.toml` and the catalogue; tables of the job folder may be absent.
    Terms,
}

/// Reads the files of a job.
///
/// # Errors
/// [`Reported`] when `job.toml` is absent or no text, is of another version, or
/// does not say its units: nothing else could be read with sense.
pub(in crate::job) fn read(
    text: &JobText,
    extent: Extent,
    ledger: &mut Ledger,
) -> Result<RawJob, Reported> {
    let file: Rc<str> = SETTINGS_FILE.into();
    let Some(bytes) = text.get(SETTINGS_FILE) else {
        let fault = Fault::new(
            Code::FileMissing,
            &Place::file(&file),
            "`job.toml` is missing",
        );
        return Err(ledger.fault(fault.accepted("a job folder with a file job.toml")));
    };
    let settings = Settings::parse(&file, text_of(&file, bytes, ledger)?, ledger);
    // Until the units are known nothing at the top depends on them.
    let top: TopSection = settings.top().read(UnitSystem::Us, ledger);
    check_schema(&top, ledger)?;
    let system = top.units.get()?;
    let folder = folder(&settings, system, ledger);
    let tables = Tables {
        text,
        folder,
        system,
        extent,
    };
    Ok(RawJob {
        line: settings.section::<LineSection>(ledger).read(system, ledger),
        rates: settings
            .section::<RatesSection>(ledger)
            .read(system, ledger),
        bid: settings.section::<BidSection>(ledger).read(system, ledger),
        tax: settings.section::<TaxSection>(ledger).read(system, ledger),
        lumps: settings.list(system, ledger),
        controls: settings.list(system, ledger),
        rules: settings
            .section::<RulesSection>(ledger)
            .read(system, ledger),
        breaker_rules: settings.list(system, ledger),
        place: settings
            .section::<PlaceSection>(ledger)
            .read(system, ledger),
        objective: settings
            .section::<ObjectiveSection>(ledger)
            .read(system, ledger),
        fixtures: tables.rows(ledger),
        paths: tables.rows(ledger),
        nodes: tables.rows(ledger),
        sites: tables.rows(ledger),
        zones: tables.rows(ledger),
        existing: tables.rows(ledger),
        cables: tables.rows(ledger),
        spools: tables.rows(ledger),
        stock: tables.rows(ledger),
        models: tables.rows(ledger),
        transformers: tables.rows(ledger),
        secondaries: tables.rows(ledger),
        taps: tables.rows(ledger),
        commons: tables.rows(ledger),
        hubs: tables.rows(ledger),
        joints: tables.rows(ledger),
        surfaces: tables.rows(ledger),
        top,
    })
}

/// The tables of the two folders.
struct Tables<'a> {
    text: &'a JobText,
    /// Catalogue folder, or proof that it is unusable.
    folder: Result<String, Reported>,
    system: UnitSystem,
    extent: Extent,
}

impl Tables<'_> {
    fn rows<R: Record>(&self, ledger: &mut Ledger) -> Rows<R> {
        let folder = match (R::TABLE.home, &self.folder) {
            (Home::Catalogue, Err(reported)) => {
                return Rows::lost(&R::TABLE.name.into(), *reported);
            }
            (_, folder) => folder.as_deref().unwrap_or_default(),
        };
        let policy = match R::TABLE.home {
            Home::Catalogue => Policy::Either,
            Home::JobFolder | Home::Settings | Home::Entries => Policy::JobUnits(self.system),
        };
        let path: Rc<str> = path_of(R::TABLE.home, folder, R::TABLE.name).into();
        let own = R::TABLE.home == Home::JobFolder;
        if own && self.extent == Extent::Terms && self.text.get(&path).is_none() {
            return Rows::none(&path);
        }
        rows(&path, self.text.get(&path), policy, self.system, ledger)
    }
}

fn check_schema(top: &TopSection, ledger: &mut Ledger) -> Result<(), Reported> {
    if top.schema.get()?.0 == SCHEMA {
        return Ok(());
    }
    let fault = top
        .schema
        .cell
        .fault(
            Code::SchemaUnknown,
            format!(
                "schema {} is not known to this program",
                top.schema.cell.text
            ),
        )
        .accepted(format!("{SCHEMA}"));
    Err(ledger.fault(fault.help("use a program of the version that wrote the job")))
}

/// The catalogue folder, checked.
fn folder(
    settings: &Settings<'_>,
    system: UnitSystem,
    ledger: &mut Ledger,
) -> Result<String, Reported> {
    let section: CatalogueSection = settings
        .section::<CatalogueSection>(ledger)
        .read(system, ledger);
    let Some(folder) = section.folder.get()? else {
        return Ok(DEFAULT_CATALOGUE.to_owned());
    };
    tidy(&folder.0).ok_or_else(|| {
        ledger.fault(
            section
                .folder
                .cell
                .fault(
                    Code::FolderRefused,
                    "the catalogue folder is not a relative path",
                )
                .accepted(
                    "a folder relative to job.toml with forward slashes, such as \"../catalogue\"",
                ),
        )
    })
}

/// A relative path without trailing slash; `None` for anything else.
fn tidy(folder: &str) -> Option<String> {
    let absolute = folder.starts_with('/') || folder.contains(['\\', ':']);
    let tidy = folder.trim_end_matches('/');
    (!absolute && !tidy.is_empty()).then(|| tidy.to_owned())
}

/// The catalogue folder of a `job.toml`; the default when it cannot be told.
pub(in crate::job) fn catalogue_folder(job_toml: &[u8]) -> String {
    let mut unheard = Ledger::default();
    let file: Rc<str> = SETTINGS_FILE.into();
    text_of(&file, job_toml, &mut unheard)
        .and_then(|text| {
            let settings = Settings::parse(&file, text, &mut unheard);
            folder(&settings, UnitSystem::Us, &mut unheard)
        })
        .unwrap_or_else(|_| DEFAULT_CATALOGUE.to_owned())
}
