//! The fixture schedule: what to expect at each fixture, and its window.

use super::block::{Block, Column, Orientation, Section, Table};
use super::cases;
use crate::format;
use duskwright_solver::schedule::{Dossier, FixtureRow};
use duskwright_solver::units::Volts;

/// The section.
pub fn section(dossier: &Dossier) -> Section {
    let header = &dossier.header;
    let mut blocks = vec![
        Block::Note(cases::all(header)),
        Block::Note(format!(
            "{} Margin: the smaller distance to an end of the window, low case at the low end and high case at the high end.",
            cases::margins(header)
        )),
    ];
    if !header.assumed_power_factor.is_empty() {
        blocks.push(Block::Note(format!(
            "Power factor assumed, since only VA or only W is given, for: {}.",
            header.assumed_power_factor.join(", ")
        )));
    }
    blocks.push(Block::Table(table(&dossier.fixtures)));
    Section {
        title: "Fixture schedule".to_owned(),
        orientation: Orientation::Landscape,
        new_page: true,
        blocks,
    }
}

fn table(rows: &[FixtureRow]) -> Table {
    let zones = rows.iter().any(|row| row.zone.is_some());
    let mut columns = vec![
        Column::words("Fixture"),
        Column::words("Model"),
        Column::words("Node"),
        Column::words("Circuit"),
    ];
    if zones {
        columns.push(Column::words("Zone"));
    }
    columns.extend([
        Column::figures("VA"),
        Column::figures("Expected V"),
        Column::words("Window V"),
        Column::figures("Low case V"),
        Column::figures("High case V"),
        Column::figures("Margin V"),
        Column::figures("Line 5\u{a0}% low"),
        Column::figures("Line 5\u{a0}% high"),
    ]);
    let mut table = Table::new(columns);
    for row in rows {
        table.row(cells(row, zones));
    }
    table
}

fn cells(row: &FixtureRow, zones: bool) -> Vec<String> {
    let volts = |value: Volts| format::fixed(value.value(), 2);
    let maybe = |value: Option<Volts>| value.map_or_else(|| "collapses".to_owned(), volts);
    let tag = if row.existing {
        format!("{} (existing)", row.tag)
    } else {
        row.tag.clone()
    };
    let mut cells = vec![
        tag,
        row.model.clone(),
        row.node.clone(),
        row.circuit.clone(),
    ];
    if zones {
        cells.push(row.zone.clone().unwrap_or_default());
    }
    cells.extend([
        format::trimmed(row.apparent.value(), 2),
        volts(row.expected),
        format::window(row.window_min, row.window_max),
        volts(row.low),
        volts(row.high),
        volts(row.margin),
        maybe(row.line_low),
        maybe(row.line_high),
    ]);
    cells
}
