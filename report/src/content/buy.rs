//! The buy list: what is bought for this job, with room to tick it off.

use super::block::{Block, Column, Orientation, Section, Table};
use crate::format;
use crate::options::PaperOptions;
use crate::presentation::Presentation;
use duskwright_solver::bill::LineKind;
use duskwright_solver::schedule::{Dossier, SpoolRow};

/// The sections of the buy list.
pub fn sections(
    dossier: &Dossier,
    options: &PaperOptions,
    presentation: &Presentation,
) -> Vec<Section> {
    let header = &dossier.header;
    let mut blocks = Vec::new();
    if !presentation.firm.name.is_empty() || presentation.firm.logo.is_some() {
        blocks.push(Block::Letterhead(presentation.firm.clone()));
    }
    blocks.extend([
        Block::Title(format!("Buy list: {}", header.job)),
        Block::Facts(vec![
            ("Date".to_owned(), options.date.to_string()),
            (
                "Material, before tax".to_owned(),
                format::money(&header.currency, dossier.buying.cost),
            ),
        ]),
        Block::Note(
            "The material of the bill at its own prices, without sundries, overhead, markup and tax. Leads come with the fixtures; a splice \
             holds both poles."
                .to_owned(),
        ),
        Block::Table(articles(dossier)),
    ]);
    let on_hand: Vec<&SpoolRow> = dossier
        .cutting
        .spools
        .iter()
        .filter(|spool| !spool.bought)
        .collect();
    if !on_hand.is_empty() {
        blocks.push(Block::Heading("From the shelf".to_owned()));
        blocks.push(Block::Table(shelf(dossier, &on_hand)));
    }
    blocks.push(Block::WriteOn(vec![
        "Ordered by".to_owned(),
        "Supplier".to_owned(),
        "Date".to_owned(),
    ]));
    vec![Section {
        title: "Buy list".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks,
    }]
}

fn group(kind: LineKind) -> &'static str {
    match kind {
        LineKind::Fixture => "Fixtures",
        LineKind::Transformer => "Transformers",
        LineKind::Cable | LineKind::Waste => "Cable",
        LineKind::Hub => "Hubs",
        LineKind::Joint => "Splices",
        LineKind::Control => "Controls",
        _ => "Other",
    }
}

fn articles(dossier: &Dossier) -> Table {
    let header = &dossier.header;
    let mut table = Table::new(vec![
        Column::words("Article"),
        Column::figures("Quantity"),
        Column::words("Unit"),
        Column::figures("Price each"),
        Column::figures(&format!("Amount {}", header.currency)),
        Column::blank("Ordered", 9),
        Column::blank("Received", 9),
    ]);
    let mut before = "";
    for row in &dossier.buying.rows {
        let kind = group(row.kind);
        if kind != before {
            table.group(kind);
            before = kind;
        }
        table.row([
            row.article.clone(),
            format::quantity(row.amount),
            row.unit.symbol().to_owned(),
            format::money_exact(row.each),
            format::money("", row.cost),
        ]);
    }
    table.total([
        "Material, before tax".to_owned(),
        String::new(),
        String::new(),
        String::new(),
        format::money("", dossier.buying.cost),
    ]);
    table
}

fn shelf(dossier: &Dossier, spools: &[&SpoolRow]) -> Table {
    let unit = &dossier.header.length_unit;
    let mut table = Table::new(vec![
        Column::words("Cable"),
        Column::words("Gauge"),
        Column::figures(&format!("Length {unit}")),
        Column::figures(&format!("Left after it {unit}")),
        Column::blank("Taken", 9),
    ]);
    for spool in spools {
        table.row([
            spool.cable.clone(),
            spool.gauge.clone(),
            format::length(spool.length),
            format::length(spool.left),
        ]);
    }
    table
}
