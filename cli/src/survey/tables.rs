//! The tables of the job folder that a survey derives.

use crate::papers::NamedFile;
use crate::survey::OVERRIDES;
use duskwright_solver::cells::{names, table};
use duskwright_solver::units::{Metres, UnitSystem};
use duskwright_survey::plan::SitePlan;
use duskwright_survey::{NodeKind, Survey};

/// Columns of sites.csv that a site's properties fill, beside its name and node.
const SITE_COLUMNS: [&str; 8] = [
    "cost",
    "mains_va",
    "outlets",
    "places",
    "further_price",
    "further_va",
    "further_outlets",
    "further_most",
];
/// Properties without which no transformer can stand at a site.
pub(crate) const SITE_NEEDS: [&str; 2] = ["mains_va", "outlets"];

/// Nodes, paths, fixtures and sites.
pub(crate) fn all(plan: &SitePlan, survey: &Survey, units: UnitSystem) -> Vec<NamedFile> {
    let tables = [
        ("nodes.csv", nodes(plan, survey, units)),
        ("paths.csv", paths(survey, units)),
        ("fixtures.csv", fixtures(plan)),
        ("sites.csv", sites(plan)),
    ];
    let named = tables.map(|(name, text)| (name.to_owned(), text.into_bytes()));
    named.into_iter().collect()
}

/// A table of hand edits with nothing in it yet.
pub(crate) fn no_overrides(units: UnitSystem) -> NamedFile {
    let symbol = units.length_symbol();
    let heading = format!("what,from,to,length_{symbol},surface,most_cables,note\n");
    (OVERRIDES.to_owned(), heading.into_bytes())
}

/// A length in the unit of the job's tables, to a few millimetres, without a tail of zeros.
fn length(metres: f64, units: UnitSystem) -> String {
    let digits = match units {
        UnitSystem::Us => 2,
        UnitSystem::Metric => 3,
    };
    let text = format!("{:.digits$}", units.from_metres(Metres::new(metres)));
    match text.trim_end_matches('0').trim_end_matches('.') {
        "-0" => "0".to_owned(),
        short => short.to_owned(),
    }
}

fn blank_or(value: Option<String>) -> String {
    value.unwrap_or_default()
}

fn nodes(plan: &SitePlan, survey: &Survey, units: UnitSystem) -> String {
    let symbol = units.length_symbol();
    let lengths = ["x", "y", "rise", "water"].map(|name| format!("{name}_{symbol}"));
    let header: Vec<String> = ["node".to_owned()].into_iter().chain(lengths).collect();
    let rows = survey.graph.nodes.iter().enumerate();
    let rows = rows.map(|(number, node)| {
        let rise_m = match node.kind {
            NodeKind::Fixture(fixture) => plan.fixtures[fixture].rise_m,
            NodeKind::Site(site) => plan.sites[site].rise_m,
            NodeKind::Mouth(_) | NodeKind::Turn => 0.0,
        };
        vec![
            survey.tags[number].clone(),
            length(node.at.x, units),
            length(node.at.y, units),
            blank_or((rise_m > 0.0).then(|| length(rise_m, units))),
            blank_or(survey.water_m[number].map(|far| length(far, units))),
        ]
    });
    table(&header, rows)
}

fn paths(survey: &Survey, units: UnitSystem) -> String {
    let mut header = names(["from", "to", "", "surface", "most_cables", "utility"]);
    header[2] = format!("length_{}", units.length_symbol());
    let rows = survey.graph.segments.iter().map(|segment| {
        let [from, to] = segment.ends.map(|end| survey.tags[end].clone());
        vec![
            from,
            to,
            length(segment.length_m, units),
            segment.surface.clone(),
            blank_or(segment.most_cables.map(|most| most.to_string())),
            blank_or(segment.utility.clone()),
        ]
    });
    table(&header, rows)
}

fn fixtures(plan: &SitePlan) -> String {
    let header = names(["tag", "model", "zone", "section", "existing"]);
    let rows = plan.fixtures.iter().map(|fixture| {
        vec![
            fixture.tag.clone(),
            fixture.model.clone(),
            blank_or(fixture.zone.clone()),
            blank_or(fixture.section.clone()),
            blank_or(fixture.existing.then(|| "yes".to_owned())),
        ]
    });
    table(&header, rows)
}

fn sites(plan: &SitePlan) -> String {
    let header: Vec<String> = ["tag"]
        .into_iter()
        .chain(SITE_COLUMNS)
        .map(str::to_owned)
        .collect();
    let rows = plan.sites.iter().map(|site| {
        let cells = SITE_COLUMNS.iter().map(|&column| site.columns.get(column));
        [site.tag.clone()]
            .into_iter()
            .chain(cells.map(|cell| blank_or(cell.cloned())))
            .collect()
    });
    table(&header, rows)
}
