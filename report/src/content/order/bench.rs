//! The cut sheet: spool by spool, for someone at the bench.

use crate::content::block::{Block, Column, Orientation, Section, Table};
use crate::format;
use duskwright_solver::order::{CutLine, CutRef, Order, SpoolCut};
use rust_decimal::Decimal;

/// The section.
pub fn sections(order: &Order) -> Vec<Section> {
    let unit = &order.length_unit;
    let mut blocks = vec![
        Block::Paragraph(
            "Take the spools in this order and make the cuts in the order shown. Each cut is one length to be handed out and laid in one go. \
             Measure it from its start, the end nearer the transformer. Mark it at the distances shown: there a joint comes, and the \
             cable is parted at marks only, on site. Tie a label on each piece."
                .to_owned(),
        ),
        Block::Paragraph(format!(
            "What is left of a spool and at least {} {unit} long is kept: write its length on it. What is shorter is waste.",
            format::length(order.shortest_useful)
        )),
        Block::Heading("Spools to lay out".to_owned()),
        Block::Table(layout(order)),
    ];
    if order.jobs.len() > 1 {
        blocks.push(Block::Heading("Jobs".to_owned()));
        blocks.push(Block::Note(
            "The number before the colon in a piece id is the job.".to_owned(),
        ));
        blocks.push(Block::Facts(
            order
                .jobs
                .iter()
                .map(|job| (format!("{}:", job.number), job.name.clone()))
                .collect(),
        ));
    }
    blocks.push(Block::Heading("Cuts".to_owned()));
    if order.spools.is_empty() {
        blocks.push(Block::Paragraph(
            "No cable of this order is cut from spools or remnants.".to_owned(),
        ));
    } else {
        blocks.push(Block::Table(cuts(order)));
    }
    vec![Section {
        title: "Cut sheet".to_owned(),
        orientation: Orientation::Landscape,
        new_page: true,
        blocks,
    }]
}

/// How many of each length lie ready, consecutive equal spools together.
fn layout(order: &Order) -> Table {
    let unit = &order.length_unit;
    let mut table = Table::new(vec![
        Column::words("Spools"),
        Column::words("Cable"),
        Column::words("Gauge"),
        Column::words("From"),
        Column::figures(&format!("Length {unit}")),
        Column::figures("Count"),
    ]);
    let alike = |a: &SpoolCut, b: &SpoolCut| {
        a.cable == b.cable && a.bought == b.bought && a.length == b.length
    };
    for group in order.spools.chunk_by(alike) {
        let (first, last) = (&group[0], &group[group.len() - 1]);
        let numbers = if group.len() == 1 {
            first.number.to_string()
        } else {
            format!("{}–{}", first.number, last.number)
        };
        table.row([
            numbers,
            first.cable.clone(),
            first.gauge.clone(),
            source(first).to_owned(),
            format::length(first.length),
            group.len().to_string(),
        ]);
    }
    table
}

const fn source(spool: &SpoolCut) -> &'static str {
    if spool.bought { "new spool" } else { "on hand" }
}

fn cuts(order: &Order) -> Table {
    let unit = &order.length_unit;
    let mut table = Table::new(vec![
        Column::words("Done"),
        Column::words("Cut"),
        Column::figures(&format!("Length {unit}")),
        Column::words(&format!("Mark at {unit}")),
        Column::words("Pieces"),
        Column::words("Starts at"),
        Column::words("Ends at"),
        Column::words("Parted"),
    ]);
    for spool in &order.spools {
        table.group(&format!(
            "Spool {}:  {}  ({}),  {} {unit},  {}",
            spool.number,
            spool.cable,
            spool.gauge,
            format::length(spool.length),
            source(spool),
        ));
        for cut in &spool.cuts {
            table.row([
                "[   ]".to_owned(),
                format!("{}.{}", spool.number, cut.number),
                format::length(cut.length),
                marks(&cut.marks),
                cut.pieces.join(", "),
                cut.from.clone(),
                cut.to.clone(),
                parted(cut),
            ]);
        }
        let left = if spool.left.is_zero() {
            "nothing left"
        } else if spool.keep {
            "left: keep"
        } else {
            "left: waste"
        };
        table.row([
            String::new(),
            String::new(),
            format::length(spool.left),
            String::new(),
            left.to_owned(),
        ]);
    }
    table
}

fn marks(marks: &[Decimal]) -> String {
    let marks: Vec<String> = marks.iter().map(|&mark| format::length(mark)).collect();
    // No commas: the lengths may hold grouping commas.
    marks.join("; ")
}

fn parted(cut: &CutLine) -> String {
    let name = |place: CutRef| format!("{}.{}", place.spool, place.cut);
    let before = cut
        .continues
        .map(|place| format!("start joins cut {}", name(place)));
    let after = cut
        .goes_on
        .map(|place| format!("end joins cut {}", name(place)));
    before
        .into_iter()
        .chain(after)
        .collect::<Vec<_>>()
        .join("; ")
}
