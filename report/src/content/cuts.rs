//! The cut list: pieces to cut, leads to lay, and what to bring.

use super::block::{Block, Column, Orientation, Section, Table};
use super::cases;
use crate::format;
use duskwright_solver::schedule::{
    CountRow, Cutting, Dossier, Header, LeadRow, PieceRow, Quantities, SpoolRow,
};

/// The section.
pub fn section(dossier: &Dossier) -> Section {
    let header = &dossier.header;
    let unit = &header.length_unit;
    let mut blocks = vec![
        Block::Note(format!(
            "{} Length = route + slack and rise at both ends, rounded up to the grid on which cable is bought.",
            cases::lengths(header)
        )),
        Block::Table(pieces(&dossier.pieces, unit)),
    ];
    if !dossier.cutting.spools.is_empty() {
        blocks.extend(cutting(header, &dossier.cutting));
    }
    if !dossier.leads.is_empty() {
        blocks.push(Block::Heading("Fixture leads".to_owned()));
        blocks.push(Block::Note(
            "Leads come with the fixtures, are not cut and have no price. Needed: route with slack and rise."
                .to_owned(),
        ));
        blocks.push(Block::Table(leads(&dossier.leads, unit)));
    }
    blocks.push(Block::Heading("To bring".to_owned()));
    blocks.push(Block::Table(to_bring(&dossier.quantities, unit)));
    Section {
        title: "Cut list".to_owned(),
        orientation: Orientation::Landscape,
        new_page: true,
        blocks,
    }
}

fn pieces(rows: &[PieceRow], unit: &str) -> Table {
    let mut table = Table::new(vec![
        Column::words("Piece"),
        Column::words("Cable"),
        Column::words("Gauge"),
        Column::figures(&format!("Cut {unit}")),
        Column::words("From"),
        Column::words("To"),
        Column::words("By way of"),
        Column::figures("Route"),
        Column::figures("Slack near"),
        Column::figures("Rise near"),
        Column::figures("Slack far"),
        Column::figures("Rise far"),
        Column::figures("Amps"),
    ]);
    for row in rows {
        let id = if row.home_run {
            format!("{} home run", row.id)
        } else {
            row.id.clone()
        };
        let parts = &row.parts;
        table.row([
            id,
            row.cable.clone(),
            row.gauge.clone(),
            format::length(row.length),
            row.from.clone(),
            row.to.clone(),
            between(&row.route),
            format::length(parts.route),
            format::length(parts.near_slack),
            format::length(parts.near_rise),
            format::length(parts.far_slack),
            format::length(parts.far_rise),
            format::fixed(row.amps.value(), 2),
        ]);
    }
    table
}

/// The nodes passed between both ends.
fn between(route: &[String]) -> String {
    match route {
        [_, inner @ .., _] => inner.join(", "),
        _ => String::new(),
    }
}

/// Which piece comes from which spool, and what that costs.
fn cutting(header: &Header, cutting: &Cutting) -> Vec<Block> {
    let unit = &header.length_unit;
    let mut totals = Table::new(vec![
        Column::words("Cable"),
        Column::words("Gauge"),
        Column::figures("Spools bought for"),
        Column::figures("Proved least possible"),
        Column::words("Proof"),
        Column::figures(&format!("Waste {unit}")),
    ]);
    for row in &cutting.totals {
        let proof = if row.proved {
            "no cheaper way exists"
        } else {
            "a cheaper way may exist"
        };
        totals.row([
            row.cable.clone(),
            row.gauge.clone(),
            format::money(&header.currency, row.cost),
            format::money(&header.currency, row.bound),
            proof.to_owned(),
            format::length(row.waste),
        ]);
    }
    vec![
        Block::Heading("Cutting plan".to_owned()),
        Block::Note(
            "Cut in this order. A cut of several pieces is laid as one and marked at the joints between them."
                .to_owned(),
        ),
        Block::Table(spools(header, &cutting.spools)),
        Block::Table(totals),
    ]
}

fn spools(header: &Header, rows: &[SpoolRow]) -> Table {
    let unit = &header.length_unit;
    let mut table = Table::new(vec![
        Column::words("Pieces"),
        Column::figures(&format!("Cut {unit}")),
        Column::words(&format!("Mark at {unit}")),
    ]);
    for row in rows {
        let source = if row.bought {
            format!("bought for {}", format::money(&header.currency, row.price))
        } else {
            "on hand".to_owned()
        };
        table.group(&format!(
            "Spool {}: {} ({}), {} {unit}, {source}",
            row.number,
            row.cable,
            row.gauge,
            format::length(row.length),
        ));
        for cut in &row.cuts {
            let marks: Vec<String> = cut.marks.iter().map(|&mark| format::length(mark)).collect();
            table.row([
                cut.pieces.join(", "),
                format::length(cut.length),
                marks.join(", "),
            ]);
        }
        let fate = if row.keep {
            "left, keep"
        } else {
            "left, waste"
        };
        table.row([fate.to_owned(), format::length(row.left)]);
    }
    table
}

fn leads(rows: &[LeadRow], unit: &str) -> Table {
    let mut table = Table::new(vec![
        Column::words("Fixture"),
        Column::words("Circuit"),
        Column::words("Lands in"),
        Column::words("Gauge"),
        Column::figures(&format!("Lead {unit}")),
        Column::figures(&format!("Needed {unit}")),
        Column::words("By way of"),
    ]);
    for row in rows {
        table.row([
            row.fixture.clone(),
            row.circuit.clone(),
            row.joint.clone(),
            row.gauge
                .clone()
                .unwrap_or_else(|| "own terminals".to_owned()),
            row.length.map(format::length).unwrap_or_default(),
            format::length(row.reach),
            between(&row.route),
        ]);
    }
    table.without_empty_columns()
}

/// Cable and hardware to bring, counted.
fn to_bring(quantities: &Quantities, unit: &str) -> Table {
    let mut table = Table::new(vec![
        Column::words("What"),
        Column::words("Name"),
        Column::figures("Count"),
        Column::figures(&format!("Length {unit}")),
    ]);
    for cable in &quantities.cables {
        table.row([
            format!("Cable {}", cable.gauge),
            cable.cable.clone(),
            format::counted(cable.pieces as usize, "piece"),
            format::length(cable.length),
        ]);
    }
    let mut counted = |what: &str, rows: &[CountRow]| {
        for row in rows {
            table.row([
                what.to_owned(),
                row.tag.clone(),
                format::quantity(row.count.into()),
            ]);
        }
    };
    counted("Transformer", &quantities.transformers);
    counted("Hub", &quantities.hubs);
    counted("Splice (both poles)", &quantities.joints);
    counted("Fixture", &quantities.fixtures);
    table
}
