//! The crew's test sheet: steps in order, what the meter should show, blanks to fill in.

use super::block::{Block, Column, Orientation, Section, Table};
use crate::format;
use duskwright_solver::service::readings::{ReadingRow, Sheet, StepRows};

/// What a blank to fill in looks like.
const BLANK: &str = "_________";

/// The sections: a front page, then one for each transformer.
pub fn sections(sheet: &Sheet) -> Vec<Section> {
    let mut made = vec![front(sheet)];
    let mut letters: Vec<&str> = Vec::new();
    for step in &sheet.steps {
        if !letters.contains(&step.transformer.as_str()) {
            letters.push(&step.transformer);
        }
    }
    made.extend(letters.into_iter().map(|letter| transformer(sheet, letter)));
    made
}

fn front(sheet: &Sheet) -> Section {
    let by = &sheet.draws.by;
    let percent = |share: f64| format::trimmed(100.0 * share, 1);
    Section {
        title: "Expected readings".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks: vec![
            Block::Title(sheet.job.clone()),
            Block::Paragraph(
                "Test as you build: the taps without load, the first fixture of each run, the whole run, and last everything together. What reads outside its band is looked for at once, while only what was just wired can be its cause."
                    .to_owned(),
            ),
            Block::Cautions {
                heading: "Before anyone measures or wires".to_owned(),
                items: [
                    "De-energise before wiring, joining or moving a conductor; energise only to read.",
                    "Readings on the mains side, and all work there, are for a licensed electrician.",
                    "Clamp around one conductor, never around both; use a true-rms meter.",
                    "Joints are read while they are open. Once sealed they stay sealed.",
                    "Local codes and the judgement of licensed practice come before this sheet.",
                ]
                .map(str::to_owned)
                .to_vec(),
            },
            Block::Heading("How the bands were made".to_owned()),
            Block::Note(format!(
                "19 of 20 sound installations read inside each band: {} installations were drawn at random (seed {}) and solved. Standard uncertainties: voltmeter {} % and {} V, clamp {} % and {} A, mains power meter {} % and {} VA; line {} %, piece lengths {} %, load of a fixture {} % and of a model {} %, conductor temperature {} °C. Mains taken as {} V.",
                sheet.draws.count,
                sheet.draws.seed,
                percent(by.volts_share),
                format::trimmed(by.volts_floor, 2),
                percent(by.amps_share),
                format::trimmed(by.amps_floor, 2),
                percent(by.va_share),
                format::trimmed(by.va_floor, 1),
                percent(by.line_share),
                percent(by.length_share),
                percent(by.load_share),
                percent(by.model_share),
                format::trimmed(by.temperature_c, 1),
                format::trimmed(sheet.mains_v, 0),
            )),
            Block::Note(
                "VA on the mains side are those at the terminals over the efficiency, plus the no-load loss; a transformer's magnetising current, which no catalogue states, is not in them."
                    .to_owned(),
            ),
        ],
    }
}

fn transformer(sheet: &Sheet, letter: &str) -> Section {
    let steps = sheet.steps.iter().filter(|step| step.transformer == letter);
    Section {
        title: format!("Readings at transformer {letter}"),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks: steps
            .flat_map(|step| {
                [
                    Block::Heading(format!("Step {}: {}", step.number, step.stage_name)),
                    Block::Paragraph(step.action.clone()),
                    Block::Table(table(step)),
                ]
            })
            .collect(),
    }
}

fn table(step: &StepRows) -> Table {
    let mut table = Table::new(vec![
        Column::words("Where"),
        Column::words("What"),
        Column::figures("Expected"),
        Column::figures("From"),
        Column::figures("To"),
        Column::words("Unit"),
        Column::words("Reading"),
    ]);
    for row in &step.rows {
        table.row(cells(row));
    }
    table
}

fn cells(row: &ReadingRow) -> [String; 7] {
    let quantity = row.measurement.quantity;
    let decimals = if quantity.unit() == "VA" { 0 } else { 2 };
    let value = |value: f64| format::fixed(value, decimals);
    [
        row.place.clone(),
        quantity.word().to_owned(),
        value(row.band.expected),
        value(row.band.low),
        value(row.band.high),
        quantity.unit().to_owned(),
        BLANK.to_owned(),
    ]
}
