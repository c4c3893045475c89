//! Plans side by side, one column each.

use super::block::{Block, Column, Orientation, Section, Table};
use crate::format;
use duskwright_solver::schedule::{Compared, Comparison, FactGroup};

/// Most plans beside one another; the rest go into further tables.
const MOST_COLUMNS: usize = 6;

/// Most plans that an upright page holds beside one another.
const MOST_UPRIGHT: usize = 4;

/// The section.
pub fn section(comparison: &Comparison) -> Section {
    let mut blocks = vec![
        Block::Title(format!("{}: plans compared", comparison.job)),
        Block::Note(
            "Every plan was checked like a single one. The direct cost is what the search kept small; the gap \
             says by how much a better plan under the same terms could at most be cheaper. Expected voltages are \
             those at the crew's meter; the distance from a window's end is the least in the worst cases. These \
             figures do not replace local codes, listed equipment, or a licensed electrician's judgement."
                .to_owned(),
        ),
    ];
    let count = comparison.columns.len();
    for first in (0..count).step_by(MOST_COLUMNS) {
        blocks.push(Block::Table(table(
            comparison,
            first..(first + MOST_COLUMNS).min(count),
        )));
    }
    for (name, column) in &comparison.columns {
        if let Compared::None(why) = column {
            blocks.push(Block::Paragraph(format!("{name}: {why}")));
        }
    }
    Section {
        title: "Plans compared".to_owned(),
        // The list of facts is long: an upright page holds it whole.
        orientation: if count <= MOST_UPRIGHT {
            Orientation::Portrait
        } else {
            Orientation::Landscape
        },
        new_page: true,
        blocks,
    }
}

const fn group_name(group: FactGroup) -> &'static str {
    match group {
        FactGroup::Cost => "Cost",
        FactGroup::Work => "Material and work",
        FactGroup::Service => "Volts and capacity",
    }
}

fn table(comparison: &Comparison, shown: std::ops::Range<usize>) -> Table {
    let mut columns = vec![Column::words("Fact"), Column::words("Unit")];
    let names = comparison.columns[shown.clone()].iter();
    columns.extend(names.map(|(name, _)| Column::figures(name)));
    let mut table = Table::new(columns);
    let mut before = None;
    for fact in comparison.facts() {
        if before != Some(fact.group) {
            table.group(group_name(fact.group));
        }
        before = Some(fact.group);
        let values = fact.values[shown.clone()].iter().map(|value| {
            if value.is_empty() {
                "none".to_owned()
            } else if value.parse::<f64>().is_ok() {
                format::grouped(value)
            } else {
                value.clone()
            }
        });
        table.row(
            [fact.name.clone(), fact.unit.clone()]
                .into_iter()
                .chain(values),
        );
    }
    table
}
