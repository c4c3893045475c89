//! The bid: what a client reads. Scope, price, a plain drawing, terms; no
//! voltages, circuits or costs behind the price.

use super::block::{Block, Column, Orientation, Section, Table};
use super::charts::{Bar, Bars};
use super::site::{self, Detail};
use crate::format;
use crate::options::PaperOptions;
use crate::presentation::Presentation;
use duskwright_solver::bill::{GENERAL, LineKind, OfferPart, class_symbol};
use duskwright_solver::schedule::Dossier;
use duskwright_solver::units::Money;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// Cautions that concern a client: what must be done on the property, and by whom.
const FOR_THE_CLIENT: [&str; 6] = [
    "mains",
    "buried_utilities",
    "water_features",
    "local_codes",
    "near_water",
    "bored",
];

/// All sections of the bid.
pub fn sections(
    dossier: &Dossier,
    options: &PaperOptions,
    presentation: &Presentation,
) -> Vec<Section> {
    let mut sections = vec![offer(dossier, options, presentation)];
    sections.extend(site::sections(dossier, Detail::Client));
    sections.push(terms(dossier, presentation));
    sections
}

fn offer(dossier: &Dossier, options: &PaperOptions, presentation: &Presentation) -> Section {
    let header = &dossier.header;
    let mut blocks = Vec::new();
    if !presentation.firm.name.is_empty() || presentation.firm.logo.is_some() {
        blocks.push(Block::Letterhead(presentation.firm.clone()));
    }
    blocks.extend([
        Block::Title(header.job.clone()),
        Block::Facts(vec![
            (
                "Offer".to_owned(),
                "Outdoor lighting, low voltage".to_owned(),
            ),
            ("Date".to_owned(), options.date.to_string()),
            (
                "Price with tax".to_owned(),
                format::money(&header.currency, dossier.bill.total),
            ),
        ]),
        Block::Heading("Scope".to_owned()),
        Block::Paragraph(scope(dossier)),
        Block::Table(fixtures(dossier)),
        Block::Heading("Price".to_owned()),
        Block::Table(price(dossier)),
    ]);
    if dossier.bill.price > Money::ZERO {
        blocks.push(Block::Heading("What the price pays for".to_owned()));
        blocks.push(Block::Bars(bars(dossier)));
        blocks.push(Block::Note(
            "Before tax. Material, work and the running of the firm are in each part.".to_owned(),
        ));
    }
    if !presentation.alternatives.is_empty() {
        blocks.push(Block::Heading("Options".to_owned()));
        blocks.push(Block::Table(alternatives(dossier, presentation)));
    }
    Section {
        title: "Offer".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks,
    }
}

fn scope(dossier: &Dossier) -> String {
    let header = &dossier.header;
    let controls = dossier
        .bill
        .lines
        .iter()
        .filter(|line| line.kind == LineKind::Control)
        .map(|line| line.description.as_str())
        .collect::<Vec<_>>();
    let mut said = format!(
        "Supply, lay and connect low-voltage lighting with {} fed by {}, in {} {} of ground or along structures; test each light; \
         adjust and hand over.",
        format::counted(header.fixtures as usize, "light"),
        format::counted(dossier.transformers.len(), "transformer"),
        format::length(dossier.trenches.length),
        header.length_unit,
    );
    if !controls.is_empty() {
        said.push_str(&format!(" Controls: {}.", controls.join(", ")));
    }
    said
}

/// Lights by section.
fn fixtures(dossier: &Dossier) -> Table {
    let mut table = Table::new(vec![
        Column::words("Section"),
        Column::words("Lights"),
        Column::figures("Count"),
    ]);
    let mut before = None;
    for row in &dossier.quantities.sections {
        let section = row.section.as_deref().unwrap_or(GENERAL);
        let named = if before == Some(section) { "" } else { section };
        before = Some(section);
        let lights = if row.existing {
            format!("{}, on site already", row.model)
        } else {
            row.model.clone()
        };
        table.row([named.to_owned(), lights, row.count.to_string()]);
    }
    table
}

fn section_name(section: &str) -> &str {
    if section == GENERAL {
        "Wiring, supply and services"
    } else {
        section
    }
}

fn price(dossier: &Dossier) -> Table {
    let (header, bill) = (&dossier.header, &dossier.bill);
    let amount = |money| format::money(&header.currency, money);
    let mut table = Table::new(vec![Column::words("Section"), Column::figures("Price")]);
    for share in &dossier.offer.sections {
        table.row([section_name(&share.of).to_owned(), amount(share.price)]);
    }
    table.total(["Price before tax".to_owned(), amount(bill.price)]);
    for tax in &bill.taxes {
        let of = format!(
            "Tax on {}, {}",
            class_symbol(tax.class),
            format::decimal_percent(tax.rate.decimal())
        );
        table.row([of, amount(tax.amount)]);
    }
    if bill.taxes.is_empty() {
        table.row(["Tax".to_owned(), amount(bill.tax)]);
    }
    table.total(["Price with tax".to_owned(), amount(bill.total)]);
    table
}

fn part_name(part: OfferPart) -> &'static str {
    match part {
        OfferPart::Lights => "Lights, set and aimed",
        OfferPart::Supply => "Transformers and controls",
        OfferPart::Wiring => "Cable and connections",
        OfferPart::Ground => "Ground work",
        OfferPart::Services => "Visits, permits and services",
    }
}

fn bars(dossier: &Dossier) -> Bars {
    let whole = dossier.bill.price.decimal();
    let bar = |part: OfferPart, price: Money| {
        let share = price.decimal().checked_div(whole).unwrap_or(Decimal::ZERO);
        let share = share.to_f64().unwrap_or(0.0);
        Bar {
            name: part_name(part).to_owned(),
            amount: format!(
                "{}   {}",
                format::money(&dossier.header.currency, price),
                format::percent(share)
            ),
            share,
        }
    };
    let parts = dossier.offer.parts.iter();
    Bars {
        bars: parts.map(|share| bar(share.of, share.price)).collect(),
    }
}

fn alternatives(dossier: &Dossier, presentation: &Presentation) -> Table {
    let mut table = Table::new(vec![
        Column::words("Option"),
        Column::words("What is different"),
        Column::figures("Price before tax"),
    ]);
    let amount = |money| format::money(&dossier.header.currency, money);
    table.row([
        "As offered".to_owned(),
        String::new(),
        amount(dossier.bill.price),
    ]);
    for other in &presentation.alternatives {
        table.row([
            other.name.clone(),
            other.difference.clone(),
            amount(other.price),
        ]);
    }
    table
}

fn terms(dossier: &Dossier, presentation: &Presentation) -> Section {
    let minded = dossier
        .cautions
        .iter()
        .filter(|caution| FOR_THE_CLIENT.contains(&caution.code))
        .map(|caution| {
            if caution.about.is_empty() {
                caution.text.clone()
            } else {
                format!("{}: {}", caution.about.join(", "), caution.text)
            }
        })
        .collect();
    let mut blocks = vec![Block::Heading("Terms".to_owned())];
    if presentation.firm.terms.is_empty() {
        blocks.push(Block::Note(
            "Payment, time of work, warranty and validity of this offer are to be stated by the contractor."
                .to_owned(),
        ));
        blocks.push(Block::WriteOn(vec![
            "Payment".to_owned(),
            "Time of work".to_owned(),
        ]));
        blocks.push(Block::WriteOn(vec![
            "Warranty".to_owned(),
            "Valid until".to_owned(),
        ]));
    }
    let terms = presentation.firm.terms.iter().cloned();
    blocks.extend(terms.map(Block::Paragraph));
    blocks.extend([
        Block::Cautions {
            heading: "Before work begins".to_owned(),
            items: minded,
        },
        Block::Heading("Acceptance".to_owned()),
        Block::WriteOn(vec!["For the client".to_owned(), "Date".to_owned()]),
        Block::WriteOn(vec!["For the contractor".to_owned(), "Date".to_owned()]),
    ]);
    Section {
        title: "Terms and acceptance".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks,
    }
}
