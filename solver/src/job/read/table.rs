//! CSV tables to declared rows.

use super::cells::{OpenQuote, RawRow, separator, split};
use super::headings::{Heading, Located, column_missing, locate};
use super::utf8::text_of;
use crate::cells;
use crate::job::column::{Cell, Column, Found, Record, RowSource, Table};
use crate::job::error::{Code, Fault, Ledger, Place, Reported};
use crate::job::value::Kind;
use crate::units::UnitSystem;
use std::rc::Rc;

pub(in crate::job) use super::headings::Policy;

/// Most rows in a table.
const MOST_ROWS: usize = 20_000;

/// Rows of a table, and whether all of it could be read.
#[derive(Clone, Debug)]
pub(in crate::job) struct Rows<R> {
    /// Path of the file.
    pub file: Rc<str>,
    /// The rows that could be split, in file order.
    pub rows: Vec<R>,
    /// Proof of a fault that may have cost rows; `Ok` when none is missing.
    pub whole: Result<(), Reported>,
}

impl<R> Rows<R> {
    pub fn lost(file: &Rc<str>, reported: Reported) -> Self {
        Self {
            file: Rc::clone(file),
            rows: Vec::new(),
            whole: Err(reported),
        }
    }
    /// No rows, and none missing.
    pub fn none(file: &Rc<str>) -> Self {
        Self {
            file: Rc::clone(file),
            rows: Vec::new(),
            whole: Ok(()),
        }
    }
}

/// Reads a table. `bytes` is `None` when the file is absent.
pub(in crate::job) fn rows<R: Record>(
    file: &Rc<str>,
    bytes: Option<&[u8]>,
    policy: Policy,
    system: UnitSystem,
    ledger: &mut Ledger,
) -> Rows<R> {
    let Some(bytes) = bytes else {
        return if R::TABLE.required {
            Rows::lost(file, ledger.fault(file_missing(file, &R::TABLE)))
        } else {
            Rows::none(file)
        };
    };
    match sheet(file, bytes, &R::TABLE, ledger) {
        Ok(sheet) => sheet.records(policy, system, ledger),
        Err(reported) => Rows::lost(file, reported),
    }
}

fn file_missing(file: &Rc<str>, table: &Table) -> Fault {
    Fault::new(
        Code::FileMissing,
        &Place::file(file),
        format!("the table `{file}` is missing"),
    )
    .accepted(format!(
        "a table with the columns {}",
        required_columns(table)
    ))
    .help(format!("one row is {}", table.what))
}

fn required_columns(table: &Table) -> String {
    let names: Vec<String> = table
        .columns
        .iter()
        .filter(|column| column.required)
        .map(|column| format!("`{}`", column.documented()))
        .collect();
    names.join(", ")
}

/// A table split into cells.
struct Sheet {
    file: Rc<str>,
    heading: RawRow,
    body: Vec<RawRow>,
    decimal_comma: bool,
}

/// Splits a file into heading and rows.
fn sheet(
    file: &Rc<str>,
    bytes: &[u8],
    table: &Table,
    ledger: &mut Ledger,
) -> Result<Sheet, Reported> {
    let text = text_of(file, bytes, ledger)?;
    let separator = separator(text);
    let mut rows = split(text, separator)
        .map_err(|open| ledger.fault(quote_left_open(file, open)))?
        .into_iter();
    let Some(heading) = rows.next() else {
        let fault = Fault::new(
            Code::NoHeading,
            &Place::file(file),
            format!("`{file}` is empty"),
        );
        let accepted = format!("a heading line with {}", required_columns(table));
        return Err(ledger.fault(fault.accepted(accepted)));
    };
    let mut body: Vec<RawRow> = rows.collect();
    check_count(file, table, heading.line, body.len(), ledger)?;
    if table.written {
        body.retain(|row| !cells::tells_origin(row.cells.iter().map(|cell| cell.text.as_str())));
    }
    Ok(Sheet {
        file: Rc::clone(file),
        heading,
        body,
        decimal_comma: separator != ',',
    })
}

fn check_count(
    file: &Rc<str>,
    table: &Table,
    line: u32,
    count: usize,
    ledger: &mut Ledger,
) -> Result<(), Reported> {
    let place = Place::line(file, line);
    if count == 0 {
        let fault = Fault::new(Code::NoRows, &place, format!("`{file}` has no rows"))
            .accepted("at least one row below the heading line");
        let help = if table.required {
            format!("one row is {}", table.what)
        } else {
            "fill it in, or delete the file: the table is optional".to_owned()
        };
        return Err(ledger.fault(fault.help(help)));
    }
    if count > MOST_ROWS {
        let fault = Fault::new(
            Code::TooManyRows,
            &place,
            format!("`{file}` has too many rows"),
        );
        return Err(ledger.fault(
            fault
                .given(count.to_string())
                .accepted(format!("at most {MOST_ROWS} rows")),
        ));
    }
    Ok(())
}

fn quote_left_open(file: &Rc<str>, open: OpenQuote) -> Fault {
    let place = Place {
        column: Some(open.column),
        ..Place::line(file, open.line)
    };
    Fault::new(
        Code::QuoteLeftOpen,
        &place,
        "a quote is opened here and never closed",
    )
    .accepted("a closing \" in the same cell; a quote mark inside a quoted cell is written twice")
}

impl Sheet {
    /// Reads all rows.
    fn records<R: Record>(
        self,
        policy: Policy,
        system: UnitSystem,
        ledger: &mut Ledger,
    ) -> Rows<R> {
        let headings: Vec<Heading> = self.headings();
        let mut columns = locate(&R::TABLE, &headings, policy, ledger);
        let heading_place = Place::line(&self.file, self.heading.line);
        for (column, located) in R::TABLE.columns.iter().zip(&mut columns) {
            if column.required && matches!(located, Located::Absent) {
                let fault = column_missing(&R::TABLE, column, &heading_place, &headings);
                *located = Located::Reported(ledger.fault(fault));
            }
        }
        let mut whole = Ok(());
        let mut rows = Vec::with_capacity(self.body.len());
        for row in &self.body {
            match self.check_width(row, ledger) {
                Ok(()) => rows.push(R::read(
                    &mut SheetRow {
                        sheet: &self,
                        row,
                        headings: &headings,
                        columns: &columns,
                        system,
                    },
                    ledger,
                )),
                Err(reported) => whole = Err(reported),
            }
        }
        Rows {
            file: self.file,
            rows,
            whole,
        }
    }

    fn headings(&self) -> Vec<Heading> {
        let cells = self.heading.cells.iter().enumerate();
        cells
            .map(|(position, cell)| Heading {
                name: cell.text.as_str().into(),
                place: Place {
                    column: Some(cell.column),
                    field: Some(field(&cell.text, position).into()),
                    ..Place::line(&self.file, self.heading.line)
                },
            })
            .collect()
    }

    /// A row must have a cell for each heading; blank cells beyond are ignored.
    fn check_width(&self, row: &RawRow, ledger: &mut Ledger) -> Result<(), Reported> {
        let wanted = self.heading.cells.len();
        let used = row
            .cells
            .iter()
            .rposition(|cell| !cell.text.is_empty())
            .map_or(0, |last| last + 1);
        let (says, given) = if row.cells.len() < wanted {
            ("fewer", row.cells.len())
        } else if used > wanted {
            ("more", used)
        } else {
            return Ok(());
        };
        let message = format!("the row has {says} cells than the heading line");
        let help = if says == "more" {
            "a separator inside a cell must stand in quotes: \"a, b\""
        } else {
            "leave a cell blank by keeping its separator"
        };
        Err(ledger.fault(
            Fault::new(Code::RaggedRow, &Place::line(&self.file, row.line), message)
                .given(format!("{given} cells"))
                .accepted(format!("{wanted} cells"))
                .help(help),
        ))
    }
}

/// A column as a spreadsheet names it.
fn field(name: &str, position: usize) -> String {
    format!("column {name} ({})", letters(position))
}

/// Spreadsheet letters of a column, `A`, `B`, … `Z`, `AA`.
fn letters(position: usize) -> String {
    let mut rest = position + 1;
    let mut reversed = Vec::new();
    while rest > 0 {
        let digit = (rest - 1) % 26;
        reversed.push(char::from(b'A' + digit as u8));
        rest = (rest - 1) / 26;
    }
    reversed.iter().rev().collect()
}

/// One row of a sheet.
struct SheetRow<'a> {
    sheet: &'a Sheet,
    row: &'a RawRow,
    headings: &'a [Heading],
    columns: &'a [Located],
    system: UnitSystem,
}

impl SheetRow<'_> {
    fn cell(&self, position: usize) -> Cell {
        let heading = &self.headings[position];
        let raw = self.row.cells.get(position);
        Cell {
            place: Place {
                line: Some(self.row.line),
                column: raw.map(|cell| cell.column),
                ..heading.place.clone()
            },
            name: Rc::clone(&heading.name),
            text: raw.map(|cell| cell.text.clone()).unwrap_or_default(),
        }
    }
    fn nowhere(&self, column: &Column) -> Cell {
        let name = column.documented();
        Cell {
            place: Place {
                field: Some(format!("column {name}").into()),
                ..self.row_place()
            },
            name: name.into(),
            text: String::new(),
        }
    }
}

impl RowSource for SheetRow<'_> {
    fn find(
        &mut self,
        position: usize,
        column: &Column,
        _kind: Kind,
        _ledger: &mut Ledger,
    ) -> Found {
        match self.columns.get(position).copied() {
            Some(Located::At(heading, unit)) => {
                let cell = self.cell(heading);
                if cell.text.is_empty() {
                    Found::Blank(cell)
                } else {
                    Found::Text(cell, unit)
                }
            }
            Some(Located::Reported(reported)) => Found::Reported(self.nowhere(column), reported),
            Some(Located::Absent) | None => Found::Blank(self.nowhere(column)),
        }
    }
    fn row_place(&self) -> Place {
        Place::line(&self.sheet.file, self.row.line)
    }
    fn decimal_comma(&self) -> bool {
        self.sheet.decimal_comma
    }
    fn system(&self) -> UnitSystem {
        self.system
    }
    fn missing(&self) -> Code {
        Code::ValueMissing
    }
}

#[cfg(test)]
mod tests {
    use super::letters;

    #[test]
    fn columns_are_lettered_as_in_a_spreadsheet() {
        assert_eq!(letters(0), "A");
        assert_eq!(letters(25), "Z");
        assert_eq!(letters(26), "AA");
        assert_eq!(letters(701), "ZZ");
        assert_eq!(letters(702), "AAA");
    }
}
