//! `duskwright survey`: from a site plan to the job folder of its possible trenches.

use crate::args::SurveyArguments;
use crate::command::{print, print_json};
use crate::console;
use crate::digest;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::folder::{Folder, read_plain, read_plain_up_to};
use crate::origin::Origin;
use crate::papers::NamedFile;
use crate::reading;
use crate::staging::{self, SURVEY};
use crate::summary::counted;
use crate::survey::beginning::{self, Beginning};
use crate::survey::earlier::{self, Earlier};
use crate::survey::{OVERRIDES, tables};
use duskwright_solver::job::{self, Terms};
use duskwright_solver::tariff::ground_rates;
use duskwright_survey as survey;
use duskwright_survey::plan::{Rate, SitePlan};
use duskwright_survey::{Drawing, Fault, Known, LARGEST_PLAN, Overrides, PlanText, Survey};
use serde::Serialize;
use std::path::Path;

/// Settings that are read unless others are named.
const SETTINGS: &str = "survey.toml";

/// What a survey found.
#[derive(Debug, Serialize)]
struct Summary {
    result: &'static str,
    job: String,
    areas: usize,
    lines: usize,
    fixtures: usize,
    sites: usize,
    nodes: usize,
    segments: usize,
    length_unit: &'static str,
    /// Length of all segments.
    segment_length: f64,
    lengths_measured: usize,
    segments_forbidden: usize,
    segments_added: usize,
    own_catalogue: bool,
    notes: Vec<String>,
}

/// Surveys the plan and writes the job folder.
///
/// # Errors
/// [`Failure`] when the plan, the settings, the hand edits or the job are refused, or the
/// folder may not or cannot be written; nothing is written then.
pub(crate) fn run(arguments: &SurveyArguments) -> Result<Exit, Failure> {
    let out = staging::settle(&arguments.out, &SURVEY)?;
    let earlier = earlier::look(&out, &arguments.out, arguments.allow_outside)?;
    let beginning = beginning::find(arguments, &out)?;
    let (terms, _) = job::read_terms(&beginning.text).map_err(job_refused)?;
    let input = Input::open(arguments)?;
    let (plan, mut notes) = plan(arguments, &input, &terms, &earlier)?;
    let made = survey_of(arguments, &plan, &terms, &earlier, &mut notes)?;
    let title = arguments.out.file_name().unwrap_or_default();
    let drawing = survey::drawing(Drawing {
        title: &title.to_string_lossy(),
        plan: &plan,
        survey: &made,
        unit: unit(&terms),
        water_m: terms.water_distance.value(),
        made: &made_of(&input, &beginning, &earlier, &terms),
    });
    let mut files = tables::all(&plan, &made, terms.units);
    files.push(("survey.svg".to_owned(), drawing.into_bytes()));
    sound(&beginning, &files)?;
    if !arguments.replace_edited {
        earlier.spare_edits(&arguments.out, &files)?;
    }
    let record = earlier::record(&files, made.numbered, plan.origin)?;
    files.push(record);
    write(&out, &beginning, &earlier, &terms, files)?;
    let summary = Summary::of(arguments, &plan, &made, &terms, &beginning, &notes);
    if arguments.json {
        print_json(&summary)?;
    } else {
        for note in &notes {
            console::talk(&format!("{note}\n\n"));
        }
        print(&summary.text(&arguments.out))?;
    }
    Ok(Exit::Feasible)
}

fn job_refused(faults: job::Faults) -> Failure {
    Failure::Job(Box::new(faults))
}

fn plan_refused(faults: survey::Faults) -> Failure {
    Failure::SitePlan(Box::new(faults))
}

fn unit(terms: &Terms) -> (f64, &'static str) {
    (terms.units.metres_per_unit(), terms.units.length_symbol())
}

/// The files named, and the settings beside the plan.
struct Input {
    plan: Vec<u8>,
    drawn: bool,
    settings: Option<NamedFile>,
    fixtures: Option<NamedFile>,
}

impl Input {
    fn open(arguments: &SurveyArguments) -> Result<Self, Failure> {
        let path = &arguments.plan;
        let extension = path.extension().unwrap_or_default().to_ascii_lowercase();
        let drawn = match extension.to_string_lossy().as_ref() {
            "geojson" | "json" => false,
            "dxf" => true,
            _ => {
                return Err(Failure::Refused(format!(
                    "{}: the kind of plan is told by the end of its name; accepted: .geojson, .json, .dxf",
                    path.display()
                )));
            }
        };
        let plan = read_plain_up_to(LARGEST_PLAN as u64, path, path)?;
        let settings = settings(arguments)?;
        let fixtures = match &arguments.fixtures {
            Some(path) => Some((path.display().to_string(), read_plain(path, path)?)),
            None => None,
        };
        Ok(Self {
            plan,
            drawn,
            settings,
            fixtures,
        })
    }
}

/// How the drawing was made: version of the program, and SHA-256 of plan, settings, further
/// fixtures, hand edits and the files that the job begins with, each by the part it plays. What
/// an earlier survey derived is no input, and an empty table of hand edits is as good as none:
/// a survey made again of the same files says the same.
fn made_of(input: &Input, beginning: &Beginning, earlier: &Earlier, terms: &Terms) -> String {
    let (overrides, blank) = tables::no_overrides(terms.units);
    let edits = earlier.overrides().unwrap_or(&blank);
    let further = [("settings", &input.settings), ("fixtures", &input.fixtures)];
    let further = further.into_iter().filter_map(|(part, file)| {
        let (_, bytes) = file.as_ref()?;
        Some((part, bytes.as_slice()))
    });
    let parts = [("plan", input.plan.as_slice()), (overrides.as_str(), edits)];
    let parts = parts
        .into_iter()
        .chain(further)
        .chain(beginning.text.iter());
    let hash = digest::of(parts.flat_map(|(part, bytes)| [part.as_bytes(), bytes]));
    let origin = Origin::new(hash, []);
    format!(
        "Duskwright {}, input {}",
        origin.version, origin.input_sha256
    )
}

/// Reads the plan with its settings and further fixtures.
fn plan(
    arguments: &SurveyArguments,
    input: &Input,
    terms: &Terms,
    earlier: &Earlier,
) -> Result<(SitePlan, Vec<Fault>), Failure> {
    let text = if input.drawn {
        PlanText::Dxf(&input.plan)
    } else {
        PlanText::GeoJson(&input.plan)
    };
    let surfaces: Vec<String> = terms.surfaces.iter().map(|one| one.tag.clone()).collect();
    let known = Known {
        surfaces: &surfaces,
        models: &terms.models,
        zones: &terms.zones,
        site_needs: &tables::SITE_NEEDS,
        origin: earlier.origin(),
    };
    survey::read(
        &arguments.plan.display().to_string(),
        text,
        input.settings.as_ref().map(as_named),
        input.fixtures.as_ref().map(as_named),
        known,
    )
    .map_err(plan_refused)
}

fn as_named(file: &NamedFile) -> survey::Named<'_> {
    (&file.0, &file.1)
}

/// The settings named, or those beside the plan.
fn settings(arguments: &SurveyArguments) -> Result<Option<NamedFile>, Failure> {
    if let Some(path) = &arguments.settings {
        return Ok(Some((path.display().to_string(), read_plain(path, path)?)));
    }
    let beside = match arguments.plan.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let bytes = Folder::open(beside, arguments.allow_outside)?.bytes(SETTINGS)?;
    Ok(bytes.map(|bytes| (beside.join(SETTINGS).display().to_string(), bytes)))
}

/// Derives the graph and makes the hand edits.
fn survey_of(
    arguments: &SurveyArguments,
    plan: &SitePlan,
    terms: &Terms,
    earlier: &Earlier,
    notes: &mut Vec<Fault>,
) -> Result<Survey, Failure> {
    let shown = arguments.out.join(OVERRIDES).display().to_string();
    let overrides = match earlier.overrides() {
        Some(bytes) => survey::overrides((&shown, bytes)).map_err(plan_refused)?,
        None => Overrides::default(),
    };
    let rates: Vec<Rate> = ground_rates(terms)
        .into_iter()
        .map(|rate| Rate {
            surface: rate.surface,
            per_m: rate.per_metre,
            fixed: rate.fixed,
        })
        .collect();
    let needed = survey::Terms {
        rates: &rates,
        water_m: terms.water_distance.value(),
        unit: unit(terms),
        file: &arguments.plan.display().to_string(),
    };
    let (made, further) =
        Survey::of(plan, needed, &earlier.nodes(terms.units), &overrides).map_err(plan_refused)?;
    notes.extend(further);
    Ok(made)
}

/// Refuses a job that the reader would refuse.
fn sound(beginning: &Beginning, files: &[NamedFile]) -> Result<(), Failure> {
    let text = files
        .iter()
        .fold(beginning.text.clone(), |text, (name, bytes)| {
            text.with(name.as_str(), bytes.as_slice())
        });
    reading::of_text(&text).map(|_| ())
}

fn write(
    out: &Path,
    beginning: &Beginning,
    earlier: &Earlier,
    terms: &Terms,
    mut files: Vec<NamedFile>,
) -> Result<(), Failure> {
    if earlier.overrides().is_none() {
        files.insert(0, tables::no_overrides(terms.units));
    }
    if earlier.occupied {
        let all: Vec<(&Path, &[u8])> = files
            .iter()
            .map(|(name, bytes)| (Path::new(name), bytes.as_slice()))
            .collect();
        return staging::replace_all(out, &all);
    }
    let all: Vec<(&str, &[u8])> = beginning
        .new
        .iter()
        .chain(&files)
        .map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
        .collect();
    staging::make(out, &all)
}

impl Summary {
    fn of(
        arguments: &SurveyArguments,
        plan: &SitePlan,
        made: &Survey,
        terms: &Terms,
        beginning: &Beginning,
        notes: &[Fault],
    ) -> Self {
        let length_m: f64 = made.graph.segments.iter().map(|one| one.length_m).sum();
        Self {
            result: "surveyed",
            job: arguments.out.display().to_string(),
            areas: plan.areas.len(),
            lines: plan.lines.len(),
            fixtures: plan.fixtures.len(),
            sites: plan.sites.len(),
            nodes: made.graph.nodes.len(),
            segments: made.graph.segments.len(),
            length_unit: terms.units.length_symbol(),
            segment_length: length_m / terms.units.metres_per_unit(),
            lengths_measured: made.applied.measured,
            segments_forbidden: made.applied.forbidden,
            segments_added: made.applied.added,
            own_catalogue: beginning.own_catalogue,
            notes: notes.iter().map(ToString::to_string).collect(),
        }
    }

    fn text(&self, out: &Path) -> String {
        let shown = out.display();
        let catalogue = if self.own_catalogue {
            "  catalogue   copied into the job, which would not find the other one\n"
        } else {
            ""
        };
        format!(
            "{shown}: surveyed\n\n  \
             site plan   {}, {}, {}, {}\n  \
             graph       {}, {}, {:.0} {} of possible trench\n  \
             hand edits  {} measured, {} forbidden, {} added\n\
             {catalogue}\n\
             Look at {shown}/survey.svg, then:\n  duskwright plan {shown} --out {shown}-plan\n",
            counted(self.areas, "area"),
            counted(self.lines, "line"),
            counted(self.fixtures, "fixture"),
            counted(self.sites, "site"),
            counted(self.nodes, "node"),
            counted(self.segments, "segment"),
            self.segment_length,
            self.length_unit,
            self.lengths_measured,
            self.segments_forbidden,
            self.segments_added,
        )
    }
}
