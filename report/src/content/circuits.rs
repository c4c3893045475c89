//! Transformers and circuits: loads, currents, voltages, what is left.

use super::block::{Block, Column, Orientation, Section, Table};
use super::{cases, one_line, profile};
use crate::format;
use duskwright_solver::schedule::{CircuitRow, Dossier, TransformerRow};
use duskwright_solver::units::Volts;

/// Code of the caution about short circuits at the end of a run.
const FAR_SHORT: &str = "far_short";
/// Largest load margin told by its figure, %.
const MOST_MARGIN: f64 = 1000.0;

/// Transformers with their secondaries.
pub fn transformers(dossier: &Dossier) -> Section {
    let header = &dossier.header;
    let diagrams = one_line::diagrams(dossier).into_iter();
    Section {
        title: "Transformers".to_owned(),
        orientation: Orientation::Landscape,
        new_page: true,
        blocks: [
            Block::Note(format!(
                "{} Loads hold losses and any load already present. A transformer may be loaded to {} of its rating, less what is kept spare.",
                cases::low(header),
                format::percent(header.loading_limit),
            )),
            Block::Table(transformer_table(&dossier.transformers)),
            Block::Heading("Secondaries".to_owned()),
            Block::Note(
                "The limit is the continuous limit of the secondary circuit less what is kept spare; the breaker is never loaded to its rating for long."
                    .to_owned(),
            ),
            Block::Table(secondary_table(&dossier.transformers)),
            Block::Heading("One-line diagrams".to_owned()),
            Block::Note(format!(
                "{} Volts at the last fixture: {} The circles stand for the fixtures of a circuit, not for single ones.",
                cases::low(header),
                cases::expected(header),
            )),
        ]
        .into_iter()
        .chain(diagrams.map(Block::OneLine))
        .collect(),
    }
}

fn transformer_table(rows: &[TransformerRow]) -> Table {
    let mut table = Table::new(vec![
        Column::words("Transformer"),
        Column::words("Model"),
        Column::words("Site"),
        Column::words("Node"),
        Column::words("Standing"),
        Column::figures("Load VA"),
        Column::figures("Allowed VA"),
        Column::figures("Rated VA"),
        Column::words("Circuits"),
    ]);
    for row in rows {
        let standing = match &row.existing {
            Some(tag) => format!("existing {tag}"),
            None => "new".to_owned(),
        };
        table.row([
            row.label.clone(),
            row.model.clone(),
            row.site.clone(),
            row.node.clone(),
            standing,
            format::fixed(row.load.value(), 1),
            format::fixed(row.permitted.value(), 1),
            format::fixed(row.rated.value(), 0),
            row.circuits.join(", "),
        ]);
    }
    table
}

fn secondary_table(rows: &[TransformerRow]) -> Table {
    let mut table = Table::new(vec![
        Column::words("Transformer"),
        Column::words("Secondary"),
        Column::figures("Amps"),
        Column::figures("Limit A"),
        Column::figures("Breaker A"),
        Column::figures("Tap lugs used"),
        Column::figures("of"),
        Column::figures("Common lugs used"),
        Column::figures("of"),
    ]);
    for row in rows {
        for secondary in &row.secondaries {
            table.row([
                row.label.clone(),
                secondary.tag.clone(),
                format::fixed(secondary.amps.value(), 2),
                format::fixed(secondary.limit.value(), 2),
                format::trimmed(secondary.breaker.value(), 1),
                secondary.tap_lugs_used.to_string(),
                secondary.tap_lugs.to_string(),
                secondary.common_lugs_used.to_string(),
                secondary.common_lugs.to_string(),
            ]);
        }
    }
    table
}

/// The circuit schedule: connections and loads, then voltages and faults.
pub fn circuits(dossier: &Dossier) -> Section {
    let header = &dossier.header;
    let unit = &header.length_unit;
    let mut blocks = vec![
        Block::Note(format!(
            "Amps, limit and VA: {} Gauge and length are of the home run; cable is the length of all pieces.",
            cases::low(header)
        )),
        Block::Table(connection_table(&dossier.circuits, unit)),
        Block::Heading("Voltages and faults".to_owned()),
        Block::Note(format!(
            "{} The last fixture is the farthest along the cable. Its window is that of the lowest fixture, all windows is what those of the \
             whole circuit have in common. Short circuit: the smallest current of a short at an end of the run. {}",
            cases::expected(header),
            cases::low(header),
        )),
        Block::Table(voltage_table(&dossier.circuits)),
    ];
    let far = dossier
        .cautions
        .iter()
        .find(|caution| caution.code == FAR_SHORT);
    if let Some(far) = far {
        blocks.push(Block::Cautions {
            heading: "A short at the far end may not trip the breaker".to_owned(),
            items: vec![format!("{}: {}", far.about.join(", "), far.text)],
        });
    }
    blocks.extend([
        Block::Heading("Room left".to_owned()),
        Block::Note(format!(
            "What a circuit would bear beyond the plan, worked out for its weakest fixture. {} Load margin: how much more of every load before the voltage collapses.",
            cases::low(header)
        )),
        Block::Table(room_table(&dossier.circuits, unit)),
        Block::Heading("Voltage along the cable".to_owned()),
        Block::Note(profile::NOTE.to_owned()),
        Block::Profiles(profile::of(dossier, |_| true)),
    ]);
    Section {
        title: "Circuit schedule".to_owned(),
        orientation: Orientation::Landscape,
        new_page: true,
        blocks,
    }
}

fn connection_table(rows: &[CircuitRow], unit: &str) -> Table {
    let mut table = Table::new(vec![
        Column::words("Circuit"),
        Column::words("Zone"),
        Column::words("Secondary"),
        Column::words("Tap"),
        Column::figures("Tap V"),
        Column::words("Common"),
        Column::words("Gauge"),
        Column::figures(&format!("Home run {unit}")),
        Column::figures(&format!("Cable {unit}")),
        Column::figures("Fixtures"),
        Column::figures("Amps"),
        Column::figures("Limit A"),
        Column::figures("VA"),
    ]);
    for row in rows {
        table.row([
            row.label.clone(),
            row.zone.clone().unwrap_or_default(),
            row.secondary.clone(),
            row.tap.clone(),
            format::trimmed(row.tap_volts.value(), 2),
            row.common.clone(),
            row.gauge.clone(),
            format::length(row.home_run),
            format::length(row.cable),
            row.fixtures.to_string(),
            format::fixed(row.amps.value(), 2),
            format::fixed(row.limit.value(), 2),
            format::fixed(row.load.value(), 1),
        ]);
    }
    table
}

fn volts(value: Option<Volts>) -> String {
    value.map_or_else(
        || "collapses".to_owned(),
        |volts| format::fixed(volts.value(), 2),
    )
}

fn voltage_table(rows: &[CircuitRow]) -> Table {
    let mut table = Table::new(vec![
        Column::words("Circuit"),
        Column::figures("Source V expected"),
        Column::words("Last fixture"),
        Column::figures("V expected"),
        Column::words("Lowest fixture"),
        Column::figures("V low case"),
        Column::words("Its window V"),
        Column::words("All windows V"),
        Column::figures("Lowest V, line 5\u{a0}% low"),
        Column::figures("Highest V, line 5\u{a0}% high"),
        Column::figures("Short circuit A"),
        Column::figures("Breaker A"),
        Column::words("Trip"),
    ]);
    for row in rows {
        table.row([
            row.label.clone(),
            format::fixed(row.source_volts.value(), 2),
            row.last_fixture.clone(),
            format::fixed(row.last_volts.value(), 2),
            row.lowest_fixture.clone(),
            format::fixed(row.lowest_volts.value(), 2),
            format::window(row.lowest_window_min, row.lowest_window_max),
            shared(row),
            volts(row.line_low_volts),
            volts(row.line_high_volts),
            format::significant(row.end_short.value()),
            format::trimmed(row.breaker.value(), 1),
            if row.may_not_trip {
                "may fail"
            } else {
                "expected"
            }
            .to_owned(),
        ]);
    }
    table
}

/// The window that all fixtures of a circuit have in common.
fn shared(row: &CircuitRow) -> String {
    if row.window_min < row.window_max {
        format::window(row.window_min, row.window_max)
    } else {
        "none in common".to_owned()
    }
}

fn room_table(rows: &[CircuitRow], unit: &str) -> Table {
    let mut table = Table::new(vec![
        Column::words("Circuit"),
        Column::words("Higher taps free"),
        Column::words("Weakest fixture"),
        Column::figures("More load at its joint W"),
        Column::figures(&format!("Or one more fixture, at most {unit} away")),
        Column::words("On gauge"),
        Column::figures("Load margin"),
    ]);
    for row in rows {
        let higher = if row.taps_above.is_empty() {
            "none".to_owned()
        } else {
            row.taps_above.join(", ")
        };
        let margin = row.loading_margin_percent.map_or_else(
            || "no limit found".to_owned(),
            |more| {
                // Beyond, the figure says no more than that nothing is near.
                if more > MOST_MARGIN {
                    format!("over {}\u{a0}%", format::fixed(MOST_MARGIN, 0))
                } else {
                    format!("{}\u{a0}%", format::fixed(more, 0))
                }
            },
        );
        table.row([
            row.label.clone(),
            higher,
            row.lowest_fixture.clone(),
            format::fixed(row.spare.value(), 1),
            row.extension
                .map_or_else(|| "none".to_owned(), format::length),
            row.extension_gauge.clone(),
            margin,
        ]);
    }
    table
}
