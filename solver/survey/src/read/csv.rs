//! Fixtures from a table: `tag`, `x`, `y`, `model`, and any word that a fixture on the plan takes.

use super::{Feature, Shape};
use crate::fault::{Code, Fault, Ledger, Place};
use ::geo::Coord;

/// The headings of a table in lower case, without a byte order mark.
///
/// # Errors
/// That of the reader, where the first line cannot be read.
pub(crate) fn heading<R: std::io::Read>(
    reader: &mut csv::Reader<R>,
) -> Result<Vec<String>, csv::Error> {
    let cells = reader.headers()?.iter();
    Ok(cells
        .map(|cell| cell.trim_start_matches('\u{feff}').to_lowercase())
        .collect())
}

/// Reads the table; coordinates are in the units of the plan.
pub(super) fn read(name: &str, bytes: &[u8], ledger: &mut Ledger) -> Vec<Feature> {
    let file = Place::file(name);
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .from_reader(bytes);
    let heading = match heading(&mut reader) {
        Ok(heading) => heading,
        Err(error) => {
            ledger.add(Fault::new(Code::Unreadable, &file, error.to_string()));
            return Vec::new();
        }
    };
    for needed in ["tag", "x", "y", "model"] {
        if !heading.iter().any(|cell| cell == needed) {
            ledger.add(
                Fault::new(
                    Code::Property,
                    &file,
                    format!("the column `{needed}` is missing"),
                )
                .given(heading.join(", "))
                .accepted("tag, x, y, model; also zone, section, rise_m or rise_ft, existing"),
            );
        }
    }
    ledger.check().map_or_else(
        |_| Vec::new(),
        |()| rows(&mut reader, &heading, &file, ledger),
    )
}

fn rows(
    reader: &mut csv::Reader<&[u8]>,
    heading: &[String],
    file: &Place,
    ledger: &mut Ledger,
) -> Vec<Feature> {
    let mut features = Vec::new();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                ledger.add(Fault::new(Code::Unreadable, file, error.to_string()));
                return features;
            }
        };
        let mut words: std::collections::BTreeMap<String, String> = heading
            .iter()
            .cloned()
            .zip(record.iter().map(str::to_owned))
            .filter(|(_, cell)| !cell.is_empty())
            .collect();
        let place = Place {
            line: record.position().map(|position| position.line() as usize),
            id: words.get("tag").cloned(),
            ..file.clone()
        };
        let mut number = |key: &str| {
            let cell = words.remove(key).unwrap_or_default();
            cell.parse::<f64>().unwrap_or_else(|_| {
                ledger.add(
                    Fault::new(Code::Coordinate, &place, format!("`{key}` is not a number"))
                        .given(cell)
                        .accepted("a number in the units of the plan"),
                );
                0.0
            })
        };
        let at = Coord {
            x: number("x"),
            y: number("y"),
        };
        words.insert("is".to_owned(), "fixture".to_owned());
        features.push(Feature {
            place,
            shape: Shape::Point(at),
            words,
        });
    }
    features
}
