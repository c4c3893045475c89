//! Joints and hubs: which conductors meet where.

use super::block::{Block, Column, Orientation, Section, Table};
use super::cases;
use duskwright_solver::schedule::{Dossier, JointRow};

/// The section.
pub fn section(dossier: &Dossier) -> Section {
    let mut table = Table::new(vec![
        Column::words("Joint"),
        Column::words("Node"),
        Column::words("Hardware"),
        Column::words("In"),
        Column::words("Out, per pole"),
        Column::words("Fixtures landing here"),
    ]);
    for row in &dossier.joints {
        table.row(cells(row));
    }
    Section {
        title: "Joints and hubs".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks: vec![
            Block::Note(format!(
                "De-energise before wiring. Use connectors listed for these conductors and for direct burial where they are buried. {}",
                cases::lengths(&dossier.header)
            )),
            Block::Table(table),
        ],
    }
}

fn cells(row: &JointRow) -> [String; 6] {
    let hardware = if row.hub {
        format!("hub {}", row.hardware)
    } else {
        row.hardware.clone()
    };
    let outgoing: Vec<String> = row
        .outgoing
        .iter()
        .map(|wires| format!("{} x {}", wires.count, wires.gauge))
        .collect();
    [
        row.id.clone(),
        row.node.clone(),
        hardware,
        row.incoming.clone(),
        outgoing.join(", "),
        row.fixtures.join(", "),
    ]
}
