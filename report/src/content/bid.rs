//! The bid: what a client reads. Scope, price, a plain drawing, terms; no
//! voltages, circuits or costs behind the price.

use super::block::{Block, Column, Orientation, Section, Table};
use super::charts::{Bar, Bars};
use super::site::{self, Detail};
use crate::format;
use crate::options::PaperOptions;
use crate::presentation::{Presentation, Running};
use duskwright_solver::bill::{GENERAL, LineKind, OfferPart, class_symbol};
use duskwright_solver::lighting::ZoneYear;
use duskwright_solver::schedule::Dossier;
use duskwright_solver::units::Money;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// Cautions that concern a client: what must be done on the property, and by whom.
const FOR_THE_CLIENT: [&str; 8] = [
    "mains",
    "buried_utilities",
    "water_features",
    "local_codes",
    "near_water",
    "water_distance",
    "crosses_utility",
    "bored",
];

/// All sections of the bid: what is to be signed last, or on the page of the offer
/// where both fit one.
pub fn orders(
    dossier: &Dossier,
    options: &PaperOptions,
    presentation: &Presentation,
) -> Vec<Vec<Section>> {
    let offer = offer(dossier, options, presentation);
    let drawing = site::sections(dossier, Detail::Client);
    let running = presentation.running.as_ref();
    let running = running.and_then(|running| running_cost(&dossier.header.currency, running));
    let end: Vec<Section> = running
        .into_iter()
        .chain([terms(dossier, presentation)])
        .collect();
    let apart = [vec![offer.clone()], drawing.clone(), end.clone()];
    let together = [vec![offer], end, drawing];
    vec![apart.concat(), together.concat()]
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
        Block::Heading("Lights and price".to_owned()),
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
        blocks.push(Block::Note(
            "Each option is a plan of its own, worked out and priced for this place in the same way."
                .to_owned(),
        ));
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

/// Lights of one section: `3 path-low, 2 spot-wide (on site already)`.
fn lights(dossier: &Dossier, section: &str) -> String {
    let rows = dossier.quantities.sections.iter();
    let named: Vec<String> = rows
        .filter(|row| row.section.as_deref().unwrap_or(GENERAL) == section)
        .map(|row| {
            let standing = if row.existing {
                " (on site already)"
            } else {
                ""
            };
            format!("{}\u{a0}{}{standing}", row.count, row.model)
        })
        .collect();
    named.join(", ")
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
    let plain = |name: String, price: Money| [name, String::new(), amount(price)];
    let mut table = Table::new(vec![
        Column::words("Section"),
        Column::words("Lights"),
        Column::figures("Price"),
    ]);
    for share in &dossier.offer.sections {
        table.row([
            section_name(&share.of).to_owned(),
            lights(dossier, &share.of),
            amount(share.price),
        ]);
    }
    for section in unpriced(dossier) {
        table.row([
            section.to_owned(),
            lights(dossier, section),
            amount(Money::ZERO),
        ]);
    }
    table.total(plain("Price before tax".to_owned(), bill.price));
    for tax in &bill.taxes {
        let of = format!(
            "Tax on {}, {}",
            class_symbol(tax.class),
            format::decimal_percent(tax.rate.decimal())
        );
        table.row(plain(of, tax.amount));
    }
    if bill.taxes.is_empty() {
        table.row(plain("Tax".to_owned(), bill.tax));
    }
    table.total(plain("Price with tax".to_owned(), bill.total));
    table
}

/// Sections whose lights stand already, so that nothing of theirs has a price.
fn unpriced(dossier: &Dossier) -> Vec<&str> {
    let priced = &dossier.offer.sections;
    let mut found: Vec<&str> = Vec::new();
    for row in &dossier.quantities.sections {
        let section = row.section.as_deref().unwrap_or(GENERAL);
        if !found.contains(&section) && priced.iter().all(|share| share.of != section) {
            found.push(section);
        }
    }
    found
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
                "{}   {}\u{a0}%",
                format::money(&dossier.header.currency, price),
                format::fixed(share * 100.0, 1)
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
    let (header, bill) = (&dossier.header, &dossier.bill);
    let unit = &header.length_unit;
    let mut table = Table::new(vec![
        Column::words("Option"),
        Column::words("What is different"),
        Column::figures("Transformers"),
        Column::figures(&format!("Ground {unit}")),
        Column::figures("Price before tax"),
    ]);
    let amount = |money| format::money(&header.currency, money);
    table.row([
        "As offered".to_owned(),
        String::new(),
        dossier.transformers.len().to_string(),
        format::length(dossier.trenches.length),
        amount(bill.price),
    ]);
    for other in &presentation.alternatives {
        table.row([
            other.name.clone(),
            other.difference.clone(),
            other.transformers.to_string(),
            format::length(other.ground),
            amount(other.price),
        ]);
    }
    table
}

/// Hours, energy and its cost over a year; nothing unless hours are known. A zone that
/// takes no energy has no lights.
fn running_cost(currency: &str, running: &Running) -> Option<Section> {
    let lights = |zone: &&ZoneYear| zone.energy.is_none_or(|energy| energy.value() > 0.0);
    let lit = || {
        let known = running.zones.iter().filter(|zone| zone.hours.is_some());
        known.filter(lights)
    };
    lit().next()?;
    let priced = lit().all(|zone| zone.cost.is_some());
    let mut columns = vec![
        Column::words("Lights"),
        Column::words("On from and to"),
        Column::figures("Hours a year"),
        Column::figures("Energy kWh"),
    ];
    columns.extend(priced.then(|| Column::figures("Cost a year")));
    let mut table = Table::new(columns);
    // Sums are sums of what is shown.
    let (mut energy_sum, mut cost_sum) = (Decimal::ZERO, Money::ZERO);
    let rest = if lit().count() == 1 {
        "all lights"
    } else {
        "all others"
    };
    for zone in lit() {
        let hours = zone.hours.map_or(0.0, |hours| hours.value());
        let energy = zone.energy.map_or(0.0, |energy| energy.value());
        let energy = format::rounded(energy, 1);
        let cost = Money::new(format::rounded(zone.cost.unwrap_or(0.0), 2));
        energy_sum += energy;
        cost_sum += cost;
        let name = zone.zone.clone();
        let mut cells = vec![
            name.unwrap_or_else(|| rest.to_owned()),
            zone.times.clone(),
            format::fixed(hours, 0),
            format::length(energy),
        ];
        cells.extend(priced.then(|| format::money(currency, cost)));
        table.row(cells);
    }
    if lit().count() > 1 {
        let mut sums = vec!["All".to_owned(), String::new(), String::new()];
        sums.push(format::length(energy_sum));
        sums.extend(priced.then(|| format::money(currency, cost_sum)));
        table.total(sums);
    }
    Some(Section {
        title: "Running cost".to_owned(),
        orientation: Orientation::Portrait,
        new_page: false,
        blocks: vec![
            Block::Table(table),
            Block::Note(format!(
                "For the year {}. Dusk and dawn are those of civil twilight at this place; losses in cable and transformers are counted. What \
                 energy costs changes; this is not part of the price.",
                running.year
            )),
        ],
    })
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
        new_page: false,
        blocks,
    }
}
