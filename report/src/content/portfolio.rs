//! The pages of a portfolio: sums, jobs, failures, exceptions.

use super::block::{Block, Column, Orientation, Section, Table};
use crate::format;
use crate::options::PaperOptions;
use duskwright_solver::portfolio::{Fate, JobFigures, Portfolio};
use duskwright_solver::schedule::general_cautions;
use duskwright_solver::units::Cost;

/// All sections in reading order.
pub fn sections(portfolio: &Portfolio, options: &PaperOptions) -> Vec<Section> {
    let mut sections = vec![summary(portfolio, options)];
    let section = |title: &str, blocks: Vec<Block>| Section {
        title: title.to_owned(),
        orientation: Orientation::Landscape,
        new_page: false,
        blocks,
    };
    if portfolio.planned > 0 {
        sections.push(Section {
            new_page: true,
            ..section("Jobs", vec![Block::Table(jobs(portfolio))])
        });
    }
    if portfolio.failed + portfolio.missing > 0 {
        sections.push(section(
            "Without a plan",
            vec![Block::Table(failures(portfolio))],
        ));
    }
    let exceptions = exceptions(portfolio);
    if !exceptions.rows.is_empty() {
        sections.push(section(
            "Exceptions",
            vec![
                Block::Note(
                    "What the papers of each job warn of; they say what each word means."
                        .to_owned(),
                ),
                Block::Table(exceptions),
            ],
        ));
    }
    sections
}

fn summary(portfolio: &Portfolio, options: &PaperOptions) -> Section {
    let mut facts = vec![
        ("Date".to_owned(), options.date.to_string()),
        ("Jobs planned".to_owned(), portfolio.planned.to_string()),
        (
            "Jobs without a plan".to_owned(),
            portfolio.failed.to_string(),
        ),
    ];
    if portfolio.missing > 0 {
        facts.push((
            "Jobs not planned yet".to_owned(),
            portfolio.missing.to_string(),
        ));
    }
    facts.extend([
        ("Fixtures".to_owned(), portfolio.fixtures.to_string()),
        (
            "Labour".to_owned(),
            format!("{} h", format::quantity(portfolio.hours)),
        ),
    ]);
    let mut blocks = vec![Block::Title("Portfolio".to_owned()), Block::Facts(facts)];
    if portfolio.planned > 0 {
        blocks.extend([
            Block::Heading("Money".to_owned()),
            Block::Table(money(portfolio)),
            Block::Note(
                "Gap: by how much all direct costs together could at most be lower, as a share of them; bounds are proved job by job.".to_owned(),
            ),
            Block::Heading("Cable by gauge".to_owned()),
            Block::Table(cable(portfolio)),
        ]);
    }
    if !portfolio.transformers.is_empty() {
        blocks.push(Block::Heading("Transformers to buy".to_owned()));
        blocks.push(Block::Table(transformers(portfolio)));
    }
    blocks.push(Block::Cautions {
        heading: "Before anyone digs or wires".to_owned(),
        items: general_cautions().into_iter().map(|one| one.text).collect(),
    });
    Section {
        title: "Portfolio".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks,
    }
}

fn money(portfolio: &Portfolio) -> Table {
    let mut table = Table::new(vec![
        Column::words("Currency"),
        Column::figures("Jobs"),
        Column::figures("Price before tax"),
        Column::figures("Price with tax"),
        Column::figures("Direct cost"),
        Column::figures("Bound"),
        Column::figures("Gap"),
    ]);
    for sum in &portfolio.money {
        table.row([
            sum.currency.clone(),
            sum.jobs.to_string(),
            format::money("", sum.price),
            format::money("", sum.total),
            format::cost("", Cost::new(sum.direct_cost)),
            bound(sum.bound),
            gap(sum.gap()),
        ]);
    }
    table
}

fn bound(bound: Option<f64>) -> String {
    bound.map_or_else(
        || "none".to_owned(),
        |bound| format::cost("", Cost::new(bound)),
    )
}

fn gap(gap: Option<f64>) -> String {
    gap.map_or_else(|| "not known".to_owned(), format::percent)
}

fn cable(portfolio: &Portfolio) -> Table {
    let mut table = Table::new(vec![
        Column::words("Gauge"),
        Column::figures("Length"),
        Column::words("Unit"),
    ]);
    for sum in &portfolio.cable {
        table.row([
            sum.gauge.clone(),
            format::length(sum.length),
            sum.unit.clone(),
        ]);
    }
    table
}

fn transformers(portfolio: &Portfolio) -> Table {
    let mut table = Table::new(vec![Column::words("Model"), Column::figures("Count")]);
    for row in &portfolio.transformers {
        table.row([row.model.clone(), row.count.to_string()]);
    }
    table
}

fn jobs(portfolio: &Portfolio) -> Table {
    let mut table = Table::new(vec![
        Column::words("Folder"),
        Column::words("Name"),
        Column::figures("Fixtures"),
        Column::figures("Circuits"),
        Column::words("Transformers"),
        Column::words("Cable"),
        Column::figures("Ground opened"),
        Column::figures("Hours"),
        Column::figures("Price before tax"),
        Column::figures("Direct cost"),
        Column::figures("Gap"),
    ]);
    for (job, figures) in portfolio.planned_rows() {
        table.row([
            job.to_owned(),
            figures.name.clone(),
            figures.fixtures.to_string(),
            figures.circuits.to_string(),
            transformer_words(figures),
            cable_words(figures),
            format!("{} {}", format::length(figures.trench), figures.length_unit),
            format::quantity(figures.hours),
            format::money(&figures.currency, figures.price),
            format::cost(&figures.currency, Cost::new(figures.direct_cost)),
            gap(figures.gap()),
        ]);
    }
    table
}

fn transformer_words(figures: &JobFigures) -> String {
    let bought = figures.transformers.iter();
    let bought = bought.map(|row| format!("{} x {}", row.count, row.model));
    let standing = (figures.standing > 0).then(|| format!("{} standing", figures.standing));
    bought.chain(standing).collect::<Vec<_>>().join(", ")
}

fn cable_words(figures: &JobFigures) -> String {
    let gauges = figures.cable.iter();
    let gauges = gauges.map(|row| {
        format!(
            "{}: {} {}",
            row.gauge,
            format::length(row.length),
            figures.length_unit
        )
    });
    gauges.collect::<Vec<_>>().join(", ")
}

fn failures(portfolio: &Portfolio) -> Table {
    let mut table = Table::new(vec![
        Column::words("Folder"),
        Column::words("Result"),
        Column::words("Reason"),
    ]);
    for row in &portfolio.rows {
        match &row.fate {
            Fate::Planned(_) => {}
            Fate::Failed { result, reason } => {
                table.row([row.job.clone(), result.clone(), reason.clone()]);
            }
            Fate::Missing => table.row([row.job.clone(), "not planned yet".to_owned()]),
        }
    }
    table
}

fn exceptions(portfolio: &Portfolio) -> Table {
    let mut table = Table::new(vec![Column::words("Folder"), Column::words("Exception")]);
    for (job, figures) in portfolio.planned_rows() {
        for exception in &figures.exceptions {
            table.row([job.to_owned(), exception.clone()]);
        }
    }
    table
}
