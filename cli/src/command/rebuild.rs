//! `duskwright rebuild`: what was measured on site, folded back into job and plan.
//!
//! The result is a job folder of its own beside the old one, with a plan that fits it, so
//! that plan, bill and expected readings follow what is in the ground. `changes.csv` in it
//! holds every change, numbered, those of an earlier rebuild first.

use crate::args::{JobArguments, RebuildArguments};
use crate::claims;
use crate::command::print;
use crate::command::verify::Opinion;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::folder::{Folder, read_plain};
use crate::plan_file;
use crate::staging::{self, REBUILT};
use crate::{reading, supply};
use duskwright_solver::check;
use duskwright_solver::ids::{CircuitId, FixtureId, NodeId, PlacedId};
use duskwright_solver::job::{self, Job, JobText};
use duskwright_solver::plan::{Plan, json};
use duskwright_solver::schedule::{Dossier, Findings, Standing, Status};
use duskwright_solver::service::circuitry::Circuitry;
use duskwright_solver::service::point::Names;
use duskwright_solver::site::{Reach, ShortestRoutes, SiteGraph};
use std::path::Path;

/// Tables that changes touch.
const PATHS: &str = "paths.csv";
const FIXTURES: &str = "fixtures.csv";
/// The numbered history.
const HISTORY: &str = "changes.csv";

/// One change as typed.
struct Change {
    line: u64,
    what: String,
    name: String,
    to: String,
}

impl Change {
    fn refused(&self, path: &Path, reason: &str) -> Failure {
        Failure::Refused(format!(
            "{}: line {}: {} `{}` to `{}`: {reason}",
            path.display(),
            self.line,
            self.what,
            self.name,
            self.to
        ))
    }
}

/// Folds the changes in.
///
/// # Errors
/// [`Failure`] when job, plan or changes are refused, or the new folder cannot be written.
pub(crate) fn run(arguments: &RebuildArguments) -> Result<Exit, Failure> {
    let text = reading::text(&arguments.job)?;
    let before = reading::of_text(&text)?;
    let mut file = plan_file::read(&before.job, &arguments.plan)?.0;
    let path = &arguments.changes;
    let changes = changes(path)?;
    let mut built = text;
    for change in &changes {
        built = match change.what.as_str() {
            "path" => edit(built, PATHS, change, path)?,
            "fixture" => edit(built, FIXTURES, change, path)?,
            "tap" => {
                move_tap(&before.job, &mut file.plan, change, path)?;
                built
            }
            _ => return Err(change.refused(path, "accepted: path, fixture, tap")),
        };
    }
    let after = reading::of_text(&built)?;
    follow_fixtures(&before.job, &after.job, &mut file.plan)?;
    let verdict = check::verify(&after.job, &file.plan);
    let standing = Standing {
        status: Status::Unbounded,
        bound: None,
        gap: None,
        remarks: vec!["As built: changed on site after it was planned.".to_owned()],
    };
    let cuttings = supply::cuttings(&after.job, &file.plan)?;
    let findings =
        Findings::of(&after.job, &file.plan, cuttings, None, standing).map_err(|collapsed| {
            Failure::Refused(format!("as built the load collapses: {collapsed}"))
        })?;
    let dossier = Dossier::of(&after.job, &file.plan, &findings);
    let stated = claims::of(&after.job, &file.plan, &findings.cases, &dossier);
    file.header.input_hash.clone_from(&after.input_hash);
    file.header.status = "as built".to_owned();
    file.header.lower_bound_cost = None;
    let plan_json = json::to_json(&after.job, &file.plan, &file.header, &stated);
    let history = history(&arguments.job, &changes)?;
    let tables = built
        .iter()
        .filter(|(name, _)| !name.contains('/'))
        .map(|(name, bytes)| (name.to_owned(), bytes.to_vec()))
        .chain([
            ("plan.json".to_owned(), plan_json.into_bytes()),
            ("bill.csv".to_owned(), dossier.bill_csv().into_bytes()),
            (HISTORY.to_owned(), history.into_bytes()),
        ]);
    write(&arguments.out, &tables.collect::<Vec<_>>())?;
    let misstated = claims::misstated(&after.job, &stated, &verdict.figures);
    let opinion = Opinion::of(&verdict, misstated);
    print(&format!(
        "{} changes folded into {}\n{}",
        changes.len(),
        arguments.out.display(),
        opinion.text("as built", &after.job)
    ))?;
    Ok(opinion.exit())
}

fn changes(path: &Path) -> Result<Vec<Change>, Failure> {
    let bytes = read_plain(path, path)?;
    let refused = |reason: String| Failure::Refused(format!("{}: {reason}", path.display()));
    let text = String::from_utf8(bytes).map_err(|error| {
        refused(format!(
            "byte {} is not text in UTF-8; accepted: a table saved as CSV UTF-8",
            error.utf8_error().valid_up_to()
        ))
    })?;
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let heading = reader
        .headers()
        .map_err(|error| refused(error.to_string()))?
        .clone();
    let column = |name: &str| {
        heading
            .iter()
            .position(|cell| cell.eq_ignore_ascii_case(name))
            .ok_or_else(|| {
                refused(format!(
                    "line 1: the column `{name}` is missing; accepted: what, name, to"
                ))
            })
    };
    let (what, name, to) = (column("what")?, column("name")?, column("to")?);
    let mut found = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| refused(error.to_string()))?;
        let cell = |index: usize| record.get(index).unwrap_or_default().to_owned();
        if record.len() != heading.len() {
            return Err(refused(format!(
                "line {}: {} cells; accepted: {}, as in the heading line",
                record.position().map_or(0, csv::Position::line),
                record.len(),
                heading.len()
            )));
        }
        found.push(Change {
            line: record.position().map_or(0, csv::Position::line),
            what: cell(what).to_lowercase(),
            name: cell(name),
            to: cell(to),
        });
    }
    if found.is_empty() {
        return Err(refused(
            "no change in it; accepted: at least one row below the heading line what,name,to"
                .to_owned(),
        ));
    }
    Ok(found)
}

/// Replaces one cell of a table: the length of a path or the node of a fixture.
fn edit(text: JobText, table: &str, change: &Change, path: &Path) -> Result<JobText, Failure> {
    let bytes = text.get(table).unwrap_or_default();
    let first = bytes
        .split(|&byte| byte == b'\n')
        .next()
        .unwrap_or_default();
    let separator = [b';', b'\t', b',']
        .into_iter()
        .find(|mark| first.contains(mark))
        .unwrap_or(b',');
    let refused = |reason: &str| change.refused(path, reason);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .from_reader(bytes);
    let mut rows: Vec<csv::StringRecord> = Vec::new();
    for record in reader.records() {
        rows.push(record.map_err(|error| refused(&error.to_string()))?);
    }
    let heading = rows.first().cloned().unwrap_or_default();
    let column = |begin: &str| {
        heading.iter().position(|cell| {
            cell.trim()
                .trim_start_matches('\u{feff}')
                .to_lowercase()
                .starts_with(begin)
        })
    };
    let wanted: Vec<(usize, &str)> = if table == PATHS {
        let Some((from, to)) = change.name.split_once('/') else {
            return Err(refused("a path is named node/node"));
        };
        vec![
            (column("from").unwrap_or(0), from.trim()),
            (column("to").unwrap_or(1), to.trim()),
        ]
    } else {
        vec![(column("tag").unwrap_or(0), change.name.as_str())]
    };
    let Some(target) = column(if table == PATHS { "length" } else { "node" }) else {
        return Err(refused("the table has no column for it"));
    };
    let cell = |row: &csv::StringRecord, index: usize| {
        row.get(index).unwrap_or_default().trim().to_owned()
    };
    let names = |row: &csv::StringRecord| {
        let is = |order: &[usize]| {
            wanted
                .iter()
                .zip(order)
                .all(|((_, name), &of)| cell(row, wanted[of].0) == *name)
        };
        if wanted.len() == 2 {
            is(&[0, 1]) || is(&[1, 0])
        } else {
            is(&[0])
        }
    };
    let hits: Vec<usize> = (1..rows.len()).filter(|&row| names(&rows[row])).collect();
    let [hit] = hits.as_slice() else {
        return Err(refused(match hits.len() {
            0 => return Err(refused(&unnamed(table, &rows, &wanted))),
            _ => "several rows are named so; change the table itself",
        }));
    };
    let changed: csv::StringRecord = (0..heading.len())
        .map(|index| {
            if index == target {
                change.to.clone()
            } else {
                cell(&rows[*hit], index)
            }
        })
        .collect();
    rows[*hit] = changed;
    let mut writer = csv::WriterBuilder::new()
        .delimiter(separator)
        .flexible(true)
        .from_writer(Vec::new());
    for row in &rows {
        writer
            .write_record(row)
            .map_err(|error| refused(&error.to_string()))?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|error| refused(&error.to_string()))?;
    Ok(text.with(table, bytes))
}

/// Says that no row has the name, and which are near it.
fn unnamed(table: &str, rows: &[csv::StringRecord], wanted: &[(usize, &str)]) -> String {
    let mut near = Vec::new();
    for &(column, name) in wanted {
        let cells = || {
            rows.iter()
                .skip(1)
                .filter_map(|row| row.get(column))
                .map(str::trim)
        };
        if cells().all(|cell| cell != name) {
            near.extend(job::did_you_mean(name, cells()));
        }
    }
    let near = if near.is_empty() {
        String::new()
    } else {
        format!("; {}", near.join(" "))
    };
    format!("no row of {table} is named so{near}; accepted: a name that stands in {table}")
}

fn move_tap(job: &Job, plan: &mut Plan, change: &Change, path: &Path) -> Result<(), Failure> {
    for transformer in (0..plan.transformers.len()).map(PlacedId::new) {
        let wiring = Circuitry::of(job, plan, transformer);
        let names = Names::of(job, plan, transformer, &wiring);
        let Some(run) = (0..wiring.runs.len()).find(|&run| names.circuit(run) == change.name)
        else {
            continue;
        };
        let (id, secondary) = (wiring.runs[run].id, wiring.runs[run].secondary);
        let model = job.transformer(plan.transformers[transformer.index()].model(job));
        let taps = &model.secondaries[secondary].taps;
        let Some(tap) = taps.iter().position(|tap| tap.tag == change.to) else {
            let known: Vec<&str> = taps.iter().map(|tap| tap.tag.as_str()).collect();
            return Err(change.refused(
                path,
                &format!("no such tap; accepted: {}", known.join(", ")),
            ));
        };
        plan.circuits[id.index()].tap = tap;
        return Ok(());
    }
    let known: Vec<String> = (0..plan.circuits.len())
        .map(|index| CircuitId::new(index).to_string())
        .collect();
    Err(change.refused(
        path,
        &format!("no circuit is named so; accepted: {}", known.join(", ")),
    ))
}

/// Leads of fixtures that stand elsewhere now go the shortest way to the joint that they land in.
fn follow_fixtures(before: &Job, after: &Job, plan: &mut Plan) -> Result<(), Failure> {
    let graph = SiteGraph::new(after);
    let mut routes = ShortestRoutes::new(after.nodes.len());
    let moved = |id: FixtureId| -> Option<NodeId> {
        let tag = |job: &Job| job.node(job.fixture(id).node).tag.clone();
        (tag(before) != tag(after)).then(|| after.fixture(id).node)
    };
    for circuit in &mut plan.circuits {
        for lead in &mut circuit.leads {
            let Some(node) = moved(lead.fixture) else {
                continue;
            };
            let tag = &after.fixture(lead.fixture).tag;
            if after.model_of(lead.fixture).lead.is_none() {
                return Err(Failure::Refused(format!(
                    "fixture `{tag}` has no lead: its joint would have to move with it; plan again"
                )));
            }
            let joint = circuit.joints[lead.joint.index()].node;
            routes.search(
                &graph,
                [(joint, 0.0)],
                |id| after.segment(id).length.value(),
                |settled, _| {
                    if settled == node {
                        Reach::Enough
                    } else {
                        Reach::Further
                    }
                },
            );
            lead.route.segments.clear();
            routes.route_back(node, &mut lead.route.segments);
        }
    }
    Ok(())
}

/// Changes of earlier rebuilds, then these, numbered through.
fn history(job: &JobArguments, changes: &[Change]) -> Result<String, Failure> {
    let folder = Folder::open(&job.job, job.allow_outside)?;
    let earlier = folder.bytes(HISTORY)?.unwrap_or_default();
    let earlier = String::from_utf8_lossy(&earlier);
    let mut rows: Vec<String> = earlier.lines().skip(1).map(str::to_owned).collect();
    for change in changes {
        let mut writer = csv::Writer::from_writer(Vec::new());
        let number = (rows.len() + 1).to_string();
        let written =
            writer.write_record([number.as_str(), &change.what, &change.name, &change.to]);
        let bytes = written
            .map_err(|error| error.to_string())
            .and_then(|()| writer.into_inner().map_err(|error| error.to_string()))
            .map_err(|reason| Failure::Paper {
                paper: HISTORY,
                reason,
            })?;
        rows.push(String::from_utf8_lossy(&bytes).trim_end().to_owned());
    }
    Ok(format!("number,what,name,to\n{}\n", rows.join("\n")))
}

/// Writes a folder that must not be there yet, whole or not at all.
fn write(out: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Failure> {
    let folder = staging::settle(out, &REBUILT)?;
    if folder.exists() {
        return Err(Failure::Refused(format!(
            "--out {}: it is there already; name a folder that is missing",
            out.display()
        )));
    }
    let named: Vec<(&str, &[u8])> = files
        .iter()
        .map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
        .collect();
    staging::make(&folder, &named)
}
