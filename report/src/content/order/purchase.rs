//! The purchase list, the cutting in figures, and what is on hand afterwards.

use crate::content::block::{Block, Column, Orientation, Section, Table};
use crate::format;
use crate::options::PaperOptions;
use duskwright_solver::order::{CableOrder, Goods, Order, OrderLine};
use duskwright_solver::schedule::general_cautions;
use duskwright_solver::units::Money;

/// Cautions that concern whoever buys.
const BUYER: [&str; 2] = ["listed_equipment", "local_codes"];

/// All sections in reading order.
pub fn sections(order: &Order, options: &PaperOptions) -> Vec<Section> {
    let mut sections = vec![list(order, options)];
    if !order.cables.is_empty() {
        sections.push(cutting(order));
    }
    if !order.stock.is_empty() {
        sections.push(stock(order));
    }
    sections
}

fn list(order: &Order, options: &PaperOptions) -> Section {
    let mut blocks = vec![
        Block::Title("Order".to_owned()),
        Block::Facts(facts(order, options)),
        Block::Table(jobs(order)),
        Block::Heading("To buy".to_owned()),
        Block::Note(
            "Prices as the catalogue states them, without tax. Each extension is rounded half-even to the cent; the total is the sum of the extensions."
                .to_owned(),
        ),
        Block::Table(lines(order)),
    ];
    blocks.extend(order.remarks.iter().cloned().map(Block::Paragraph));
    let cautions = general_cautions();
    let buyer = cautions.iter().filter(|one| BUYER.contains(&one.code));
    blocks.push(Block::Cautions {
        heading: "Before ordering".to_owned(),
        items: buyer.map(|caution| caution.text.clone()).collect(),
    });
    Section {
        title: "Order".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks,
    }
}

fn facts(order: &Order, options: &PaperOptions) -> Vec<(String, String)> {
    let money = |amount: Money| format::money(&order.currency, amount);
    let mut facts = vec![
        ("Date".to_owned(), options.date.to_string()),
        ("Total without tax".to_owned(), money(order.total)),
    ];
    if order.jobs.len() > 1 {
        let saving = order.saving.map_or_else(
            || "not known: the jobs cannot be cut one after another".to_owned(),
            |saving| {
                format!(
                    "{} against cutting the jobs one after another",
                    money(saving)
                )
            },
        );
        facts.push(("Saved on cable".to_owned(), saving));
    }
    facts
}

fn jobs(order: &Order) -> Table {
    let mut columns = vec![
        Column::figures("Job"),
        Column::words("Name"),
        Column::figures("Fixtures"),
        Column::figures("Pieces"),
        Column::figures(&format!("Cable {}", order.length_unit)),
    ];
    let alone = order.separately.as_ref().filter(|_| order.jobs.len() > 1);
    if alone.is_some() {
        columns.push(Column::figures("Spools, cut one after another"));
    }
    let mut table = Table::new(columns);
    for (index, job) in order.jobs.iter().enumerate() {
        let mut row = vec![
            job.number.to_string(),
            job.name.clone(),
            job.fixtures.to_string(),
            job.pieces.to_string(),
            format::length(job.cable),
        ];
        row.extend(alone.map(|alone| format::money(&order.currency, alone[index])));
        table.row(row);
    }
    table
}

fn lines(order: &Order) -> Table {
    let several = order.jobs.len() > 1;
    let mut columns = vec![
        Column::words("Item"),
        Column::words("Size"),
        Column::figures(&format!("Spool {}", order.length_unit)),
        Column::figures("Quantity"),
        Column::words("Unit"),
        Column::figures("Price each"),
        Column::figures("Extension"),
    ];
    if several {
        columns.push(Column::words("Job: how many"));
    }
    let mut table = Table::new(columns);
    let mut group = None;
    for line in &order.lines {
        let heading = heading(line);
        if group.as_ref() != Some(&heading) {
            table.group(&heading);
            group = Some(heading);
        }
        table.row(
            [
                line.item.clone(),
                line.size.clone(),
                line.spool_length.map(format::length).unwrap_or_default(),
                format::quantity(line.quantity),
                line.unit.symbol().to_owned(),
                format::money_exact(line.unit_price),
                format::money_exact(line.extension),
                order.shares(line),
            ]
            .into_iter()
            .take(if several { 8 } else { 7 }),
        );
    }
    let mut total = vec![String::new(); 6];
    "Total".clone_into(&mut total[0]);
    total.push(format::money(&order.currency, order.total));
    table.total(total);
    table
}

/// Heading over the lines of one kind; cable by gauge.
fn heading(line: &OrderLine) -> String {
    match line.goods {
        Goods::Spool | Goods::CableByLength => format!("Cable {}", line.size),
        Goods::Splice => "Splices (connectors for both poles)".to_owned(),
        Goods::Hub => "Hubs".to_owned(),
        Goods::Transformer => "Transformers".to_owned(),
        Goods::Fixture => "Fixtures".to_owned(),
    }
}

fn cutting(order: &Order) -> Section {
    let unit = &order.length_unit;
    let several = order.jobs.len() > 1;
    let mut columns = vec![
        Column::words("Cable"),
        Column::words("Gauge"),
        Column::figures("Pieces"),
        Column::figures(&format!("Needed {unit}")),
        Column::figures(&format!("From stock {unit}")),
        Column::figures(&format!("Bought {unit}")),
        Column::figures(&format!("Kept {unit}")),
        Column::figures(&format!("Waste {unit}")),
        Column::figures("Pulls parted"),
        Column::figures("Spools cost"),
        Column::words("Proof"),
    ];
    if several {
        columns.push(Column::figures("Saved"));
    }
    let mut table = Table::new(columns);
    for cable in &order.cables {
        let mut row = vec![
            cable.cable.clone(),
            cable.gauge.clone(),
            cable.pieces.to_string(),
            format::length(cable.needed),
            format::length(cable.drawn),
            format::length(cable.bought),
            format::length(cable.kept),
            format::length(cable.waste),
            cable.partings.to_string(),
            format::money_exact(cable.cost),
            proof(order, cable),
        ];
        if several {
            row.push(
                cable
                    .saving()
                    .map_or_else(|| "not known".to_owned(), format::money_exact),
            );
        }
        table.row(row);
    }
    Section {
        title: "Cable by gauge".to_owned(),
        orientation: Orientation::Landscape,
        new_page: true,
        blocks: vec![
            Block::Note(format!(
                "Needed, waste and kept add up to stock drawn and spools bought. Left of a spool and kept: at least {} {unit}; below it, waste. \
                 Remnants on hand are free and drawn first where that is cheapest.",
                format::length(order.shortest_useful)
            )),
            Block::Table(table),
        ],
    }
}

fn proof(order: &Order, cable: &CableOrder) -> String {
    if cable.proved {
        "no cheaper cutting exists".to_owned()
    } else {
        format!(
            "none below {} exists",
            format::money(&order.currency, cable.bound)
        )
    }
}

fn stock(order: &Order) -> Section {
    let mut table = Table::new(vec![
        Column::words("Cable"),
        Column::words("Gauge"),
        Column::figures(&format!("Length {}", order.length_unit)),
        Column::figures("On hand before"),
        Column::figures("Drawn"),
        Column::figures("Left over and kept"),
        Column::figures("On hand after"),
    ]);
    for row in &order.stock {
        table.row([
            row.cable.clone(),
            row.gauge.clone(),
            format::length(row.length),
            row.before.to_string(),
            row.drawn.to_string(),
            row.added.to_string(),
            row.after().to_string(),
        ]);
    }
    Section {
        title: "Cable on hand".to_owned(),
        orientation: Orientation::Landscape,
        new_page: false,
        blocks: vec![
            Block::Note(
                "stock.csv beside this order holds the last column as a catalogue states it."
                    .to_owned(),
            ),
            Block::Table(table),
        ],
    }
}
