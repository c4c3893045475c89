//! The cover: totals, what is proved about the cost, and what to mind.

use super::bill;
use super::block::{Block, Column, Orientation, Section, Table};
use super::cases;
use crate::format;
use crate::options::PaperOptions;
use duskwright_solver::schedule::{Dossier, Status};

/// The section.
pub fn section(dossier: &Dossier, options: &PaperOptions) -> Section {
    let header = &dossier.header;
    let mut facts = totals(dossier);
    facts.extend(bill::per_fixture(header, &dossier.bill));
    let mut blocks = vec![
        Block::Title(header.job.clone()),
        Block::Paragraph(
            "Wiring plan for low-voltage outdoor lighting: bid, drawings and schedules.".to_owned(),
        ),
        Block::Facts(facts),
    ];
    blocks.extend(cautions(dossier));
    blocks.push(Block::Heading("What is known about this plan".to_owned()));
    blocks.extend(standing(dossier).into_iter().map(Block::Paragraph));
    blocks.extend([
        Block::Heading("What the figures depend on".to_owned()),
        Block::Note(cases::all(header)),
        Block::Note(cases::margins(header)),
        Block::Note(
            "Beside these, every schedule of voltages shows the expected case with the mains 5 % low and 5 % high."
                .to_owned(),
        ),
        Block::Heading("This report".to_owned()),
        Block::Facts(vec![
            ("Date".to_owned(), options.date.to_string()),
            (
                "Made by".to_owned(),
                format!("Duskwright {}", options.version),
            ),
            ("Input".to_owned(), options.input_hash.clone()),
        ]),
    ]);
    Section {
        title: "Summary".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks,
    }
}

fn totals(dossier: &Dossier) -> Vec<(String, String)> {
    let (header, bill) = (&dossier.header, &dossier.bill);
    let money = |amount| format::money(&header.currency, amount);
    let fact = |name: &str, value: String| (name.to_owned(), value);
    let mut facts = vec![
        fact("Total with tax", money(bill.total)),
        fact("Price before tax", money(bill.price)),
        fact("Tax", money(bill.tax)),
    ];
    facts.extend(extent(dossier));
    facts
}

/// How much there is to do: what every paper for those who wire begins with.
pub fn extent(dossier: &Dossier) -> Vec<(String, String)> {
    let header = &dossier.header;
    let fact = |name: &str, value: String| (name.to_owned(), value);
    vec![
        fact(
            "Feeds",
            format!(
                "{} on {} from {}",
                format::counted(header.fixtures as usize, "fixture"),
                format::counted(dossier.circuits.len(), "circuit"),
                format::counted(dossier.transformers.len(), "transformer"),
            ),
        ),
        fact(
            "Ground opened",
            format!(
                "{} {}",
                format::length(dossier.trenches.length),
                header.length_unit
            ),
        ),
        fact(
            "Labour",
            format!("{} h", format::quantity(dossier.bill.hours)),
        ),
    ]
}

/// What is proved, in plain words.
fn standing(dossier: &Dossier) -> Vec<String> {
    let (header, direct) = (&dossier.header, &dossier.bill.direct);
    let standing = &header.standing;
    let cost = format::money(&header.currency, direct.shown());
    let mut said = vec![format!(
        "The plan is feasible: every fixture stays in its voltage window with the margins asked, and no limit on currents, transformers, lugs, \
         ports or ground is exceeded. Its direct wiring cost is {cost}."
    )];
    match (standing.status, standing.bound) {
        (Status::Optimal, _) => said.push(
            "It is proved that no plan allowed by this job has a lower direct cost.".to_owned(),
        ),
        (Status::Bounded, Some(bound)) => {
            let bound = format::cost(&header.currency, bound);
            let gap = standing.gap.map_or_else(String::new, |gap| {
                format!(
                    " At most {} of this plan's direct cost could be saved by another plan; whether any of it can is not known.",
                    format::percent(gap)
                )
            });
            said.push(format!(
                "It is proved that no plan allowed by this job costs less than {bound} (lower bound).{gap}"
            ));
        }
        (Status::Bounded | Status::Unbounded, _) => said.push(
            "How much cheaper another plan could be is not known: no lower bound was worked out."
                .to_owned(),
        ),
    }
    said.extend(standing.remarks.iter().cloned());
    said
}

/// What to mind: the general cautions in a frame, then those of this job by name.
pub fn cautions(dossier: &Dossier) -> Vec<Block> {
    let mut blocks = vec![Block::Cautions {
        heading: "Before anyone digs or wires".to_owned(),
        items: general(dossier),
    }];
    if let Some(table) = particular(dossier) {
        blocks.push(Block::Heading("What to mind on this job".to_owned()));
        blocks.push(Block::Table(table));
    }
    blocks
}

/// The cautions that go with every job.
fn general(dossier: &Dossier) -> Vec<String> {
    dossier
        .cautions
        .iter()
        .filter(|caution| caution.about.is_empty())
        .map(|caution| caution.text.clone())
        .collect()
}

/// The cautions that this plan's own figures call for; `None` when there are none.
fn particular(dossier: &Dossier) -> Option<Table> {
    let mut table = Table::new(vec![
        Column::words("What to mind"),
        Column::words("Concerns"),
    ]);
    for caution in dossier.cautions.iter().filter(|one| !one.about.is_empty()) {
        table.row([caution.text.clone(), caution.about.join(", ")]);
    }
    (!table.rows.is_empty()).then_some(table)
}
