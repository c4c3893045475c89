//! The trench schedule: ground to open, by surface and by segment.

use super::block::{Block, Column, Orientation, Section, Table};
use super::cases;
use crate::format;
use duskwright_solver::schedule::Dossier;

/// The section.
pub fn section(dossier: &Dossier) -> Section {
    let header = &dossier.header;
    Section {
        title: "Trench schedule".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks: vec![
            Block::Note(format!(
                "Have buried utilities located before any ground is opened. {}",
                cases::lengths(header)
            )),
            Block::Table(surfaces(dossier)),
            Block::Heading("Segments".to_owned()),
            Block::Table(segments(dossier)),
        ],
    }
}

fn surfaces(dossier: &Dossier) -> Table {
    let unit = &dossier.header.length_unit;
    let mut table = Table::new(vec![
        Column::words("Surface"),
        Column::figures("Segments"),
        Column::figures(&format!("Opened {unit}")),
        Column::figures(&format!("Cable in it {unit}")),
        Column::figures("Hours"),
        Column::figures("Money without labour"),
    ]);
    for row in &dossier.trenches.surfaces {
        table.row([
            row.surface.clone(),
            row.segments.to_string(),
            format::length(row.length),
            format::length(row.cable),
            format::hours(row.hours),
            format::money("", row.money),
        ]);
    }
    table.total([
        "All".to_owned(),
        dossier.trenches.segments.len().to_string(),
        format::length(dossier.trenches.length),
    ]);
    table
}

fn segments(dossier: &Dossier) -> Table {
    let unit = &dossier.header.length_unit;
    let mut table = Table::new(vec![
        Column::words("From"),
        Column::words("To"),
        Column::words("Surface"),
        Column::figures(&format!("Length {unit}")),
        Column::figures("Pieces"),
        Column::figures("Leads"),
        Column::words("Circuits"),
        Column::figures("Hours"),
        Column::figures("Money"),
        Column::words("Remark"),
    ]);
    for row in &dossier.trenches.segments {
        let remark = if row.beyond_limit {
            "beyond its limit: dearer rate"
        } else {
            ""
        };
        table.row([
            row.from.clone(),
            row.to.clone(),
            row.surface.clone(),
            format::length(row.length),
            row.pieces.to_string(),
            row.leads.to_string(),
            row.circuits.join(", "),
            format::hours(row.hours),
            format::money("", row.money),
            remark.to_owned(),
        ]);
    }
    table.without_empty_columns()
}
