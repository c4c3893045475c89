//! A table of readings, as typed, turned into readings of the libraries.

use super::evidence::Reading;
use super::library::Library;
use crate::job::nearest::{did_you_mean_numbered, listed};
use crate::service::point::{Measurement, Names, Quantity};

/// Columns that are read; others may stand beside them.
const COLUMNS: [&str; 3] = ["place", "quantity", "reading"];
/// Stage in which a diagnosis takes readings.
const ALL_ON: &str = "all on";
/// Stage of readings without load.
const UNLOADED: &str = "unloaded";

/// Something wrong with a table of readings.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SheetFault {
    /// Not a table.
    #[error("S101: line {line}: {reason}")]
    Form {
        /// Line, from 1.
        line: u64,
        /// What is wrong.
        reason: String,
    },
    /// A column is missing.
    #[error(
        "S102: the column `{column}` is missing; accepted: the columns place, quantity, reading"
    )]
    Column {
        /// Which.
        column: &'static str,
    },
    /// A place that the plan does not have.
    #[error(
        "S103: line {line}, place: `{given}` is no place of this plan that can be read; accepted: {accepted}{meant}"
    )]
    Place {
        /// Line, from 1.
        line: u64,
        /// As typed.
        given: String,
        /// Places that can be read.
        accepted: String,
        /// A guess, or nothing.
        meant: String,
    },
    /// A quantity that is not read there.
    #[error(
        "S104: line {line}, quantity: `{given}` is not read at `{place}`; accepted: {accepted}"
    )]
    Quantity {
        /// Line, from 1.
        line: u64,
        /// As typed.
        given: String,
        /// Place.
        place: String,
        /// What is read there.
        accepted: String,
    },
    /// A reading that is none.
    #[error("S105: line {line}, reading: `{given}`; accepted: {accepted}")]
    Value {
        /// Line, from 1.
        line: u64,
        /// As typed.
        given: String,
        /// What would be.
        accepted: &'static str,
    },
    /// The same thing read twice.
    #[error("S106: line {line}: {place}, {quantity} was read before; keep one of the two rows")]
    Twice {
        /// Line, from 1.
        line: u64,
        /// Place.
        place: String,
        /// Quantity.
        quantity: String,
    },
    /// Nothing to go by.
    #[error(
        "S107: no row has a reading taken with everything on, or unloaded; accepted: one such row or more, with a number in the column `reading`"
    )]
    Empty,
}

/// Readings by library, and how many rows were left out because of their stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings {
    /// Readings of each library, in its order.
    pub of: Vec<Vec<Reading>>,
    /// Rows with a reading from a stage in which not everything was on.
    pub other_stages: usize,
}

/// Reads a table in UTF-8: one heading row, cells parted by commas, or by semicolons or tabs
/// and then with a decimal comma if wished, as spreadsheets write them; rows without a
/// reading are passed over.
///
/// # Errors
/// Every fault found, in the order of the lines.
pub fn read(libraries: &[Library<'_>], bytes: &[u8]) -> Result<Readings, Vec<SheetFault>> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let before = &bytes[..error.valid_up_to()];
        let ends = before.iter().filter(|&&byte| byte == b'\n').count();
        vec![SheetFault::Form {
            line: ends as u64 + 1,
            reason: "not text in UTF-8; accepted: text in UTF-8".to_owned(),
        }]
    })?;
    let separator = separator(text);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let form = |error: &csv::Error| SheetFault::Form {
        line: error.position().map_or(1, csv::Position::line),
        reason: error.to_string(),
    };
    let heading = reader
        .headers()
        .map_err(|error| vec![form(&error)])?
        .clone();
    let column = |name: &str| {
        heading
            .iter()
            .position(|cell| cell.eq_ignore_ascii_case(name))
    };
    let missing: Vec<SheetFault> = COLUMNS
        .into_iter()
        .filter(|name| column(name).is_none())
        .map(|column| SheetFault::Column { column })
        .collect();
    if !missing.is_empty() {
        return Err(missing);
    }
    let places = Places::of(libraries);
    let mut found = Readings {
        of: vec![Vec::new(); libraries.len()],
        other_stages: 0,
    };
    let mut faults = Vec::new();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                faults.push(form(&error));
                break;
            }
        };
        let cell = |name: &str| {
            column(name)
                .and_then(|index| record.get(index))
                .unwrap_or("")
        };
        if cell("reading").is_empty() {
            continue;
        }
        let stage = cell("stage");
        if !(stage.is_empty() || stage == ALL_ON || stage == UNLOADED) {
            found.other_stages += 1;
            continue;
        }
        let line = record.position().map_or(0, csv::Position::line);
        let row = Row {
            line,
            decimal_comma: separator != b',',
            place: cell("place").trim_start_matches('\''),
            quantity: cell("quantity"),
            reading: cell("reading"),
        };
        match places.take(libraries, &row) {
            Ok((library, reading)) => {
                let known = &mut found.of[library];
                if known
                    .iter()
                    .any(|known| known.measurement == reading.measurement)
                {
                    faults.push(SheetFault::Twice {
                        line,
                        place: row.place.to_owned(),
                        quantity: row.quantity.to_owned(),
                    });
                } else {
                    known.push(reading);
                }
            }
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() && found.of.iter().all(Vec::is_empty) {
        faults.push(SheetFault::Empty);
    }
    if faults.is_empty() {
        Ok(found)
    } else {
        Err(faults)
    }
}

/// What parts the cells: what stands in the heading row, a comma where nothing does.
fn separator(text: &str) -> u8 {
    let heading = text.lines().next().unwrap_or_default();
    let marks = [(';', b';'), ('\t', b'\t')];
    let mark = marks.into_iter().find(|(mark, _)| heading.contains(*mark));
    mark.map_or(b',', |(_, byte)| byte)
}

struct Row<'a> {
    line: u64,
    decimal_comma: bool,
    place: &'a str,
    quantity: &'a str,
    reading: &'a str,
}

/// Every place by name: library and position of each of its measurements.
struct Places(Vec<(String, usize, Vec<usize>)>);

impl Places {
    fn of(libraries: &[Library<'_>]) -> Self {
        let mut places: Vec<(String, usize, Vec<usize>)> = Vec::new();
        for (index, library) in libraries.iter().enumerate() {
            let circuitry = &library.healthy.circuitry;
            let names = Names::of(library.job, library.plan, library.transformer, circuitry);
            let first = places.len();
            for (position, measurement) in library.measurements.iter().enumerate() {
                let name = names.point(measurement.point);
                match places[first..].iter_mut().find(|place| place.0 == name) {
                    Some(place) => place.2.push(position),
                    None => places.push((name, index, vec![position])),
                }
            }
        }
        Self(places)
    }

    fn take(
        &self,
        libraries: &[Library<'_>],
        row: &Row<'_>,
    ) -> Result<(usize, Reading), SheetFault> {
        let place = self
            .0
            .iter()
            .find(|place| place.0.eq_ignore_ascii_case(row.place));
        let Some((name, library, positions)) = place else {
            let names = || self.0.iter().map(|place| place.0.as_str());
            return Err(SheetFault::Place {
                line: row.line,
                given: row.place.to_owned(),
                accepted: listed(names()),
                meant: did_you_mean_numbered(row.place, names())
                    .or_else(|| holding(row.place, names()))
                    .map_or_else(String::new, |meant| format!("; {meant}")),
            });
        };
        let measured = |position: usize| libraries[*library].measurements[position];
        let wanted = |&&position: &&usize| {
            measured(position)
                .quantity
                .word()
                .eq_ignore_ascii_case(row.quantity)
        };
        let Some(&position) = positions.iter().find(wanted) else {
            let accepted: Vec<&str> = positions
                .iter()
                .map(|&position| measured(position).quantity.word())
                .collect();
            return Err(SheetFault::Quantity {
                line: row.line,
                given: row.quantity.to_owned(),
                place: name.clone(),
                accepted: accepted.join(", "),
            });
        };
        let value = value(row, measured(position))?;
        Ok((
            *library,
            Reading {
                measurement: position,
                value,
            },
        ))
    }
}

/// A guess: the first place whose name holds what was typed as words of its own.
fn holding<'a>(given: &str, mut names: impl Iterator<Item = &'a str>) -> Option<String> {
    let wanted = given.to_lowercase();
    let held = |name: &&str| {
        let parts = name.to_lowercase();
        parts
            .strip_prefix(&wanted)
            .is_some_and(|rest| rest.starts_with(' '))
            || parts
                .strip_suffix(&wanted)
                .is_some_and(|before| before.ends_with(' '))
    };
    let name = names.find(held)?;
    Some(format!("did you mean `{name}`?"))
}

/// Largest reading that is taken for one.
const MOST: f64 = 100_000.0;

fn value(row: &Row<'_>, measurement: Measurement) -> Result<f64, SheetFault> {
    let seen = measurement.quantity.is_seen();
    let mut given = row.reading.to_lowercase();
    if row.decimal_comma {
        given = given.replace(',', ".");
    }
    let read = if seen {
        match given.as_str() {
            "yes" | "y" | "1" => Some(1.0),
            "no" | "n" | "0" => Some(0.0),
            _ => None,
        }
    } else {
        let number = given.parse::<f64>().ok();
        number.filter(|value| (0.0..=MOST).contains(value))
    };
    read.ok_or_else(|| SheetFault::Value {
        line: row.line,
        given: row.reading.to_owned(),
        accepted: if seen {
            "yes or no"
        } else {
            match measurement.quantity {
                Quantity::VoltAmperes => "a number of volt-amperes, 0 to 100000",
                Quantity::Amps | Quantity::AmpsCommon => "a number of amperes, 0 to 100000",
                _ => "a number of volts, 0 to 100000",
            }
        },
    })
}
