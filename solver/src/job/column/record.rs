//! Rows as declared: a struct of typed slots, and how each is filled from text.

use super::{Column, Range, Table, Unit, UnitFamily};
use crate::job::error::{Code, Fault, Ledger, Place, Reported};
use crate::job::value::{Kind, Refusal, Typed, Value};
use crate::units::UnitSystem;
use std::rc::Rc;

/// Where a value stands and how it was written.
#[derive(Clone, Debug)]
pub(in crate::job) struct Cell {
    /// File, line, column.
    pub place: Place,
    /// Heading or key as written, or the documented one when the column is not there.
    pub name: Rc<str>,
    /// The text, trimmed.
    pub text: String,
}

impl Cell {
    /// A fault about this cell, repeating its text when there is some.
    pub fn fault(&self, code: Code, message: impl Into<String>) -> Fault {
        let fault = Fault::new(code, &self.place, message);
        if self.text.is_empty() {
            fault
        } else {
            fault.given(self.text.clone())
        }
    }
}

/// What a source has for one column of one row.
pub(in crate::job) enum Found {
    /// Text in this unit.
    Text(Cell, Unit),
    /// A blank cell, or no such column.
    Blank(Cell),
    /// Something already reported: a missing required column, a wrong kind of value.
    Reported(Cell, Reported),
}

/// One row of one table, asked column by column in declared order.
pub(in crate::job) trait RowSource {
    /// The text under `column`, the `position`-th of its table.
    fn find(&mut self, position: usize, column: &Column, kind: Kind, ledger: &mut Ledger) -> Found;
    /// The row itself.
    fn row_place(&self) -> Place;
    /// How numbers are written here.
    fn decimal_comma(&self) -> bool;
    /// Units of the job, when known.
    fn system(&self) -> UnitSystem;
    /// Code of a required value that is not there.
    fn missing(&self) -> Code;
}

/// A slot of a row: required or optional.
pub(in crate::job) trait Slot: Sized {
    /// Units of its value.
    const UNIT: UnitFamily;
    /// Whether a blank is a fault.
    const REQUIRED: bool;
    /// How accepted values look, for the schema.
    const SHAPE: &'static str;
    /// How `job.toml` writes it.
    const KIND: Kind;
    /// Reads one cell, writing any fault into the ledger.
    fn fill(
        position: usize,
        column: &Column,
        source: &mut dyn RowSource,
        ledger: &mut Ledger,
    ) -> Self;
}

/// A value that must be stated.
#[derive(Clone, Debug)]
pub(in crate::job) struct Required<T> {
    /// The value, or proof that its absence was reported.
    pub value: Result<T, Reported>,
    /// Where it stands.
    pub cell: Cell,
}

/// A value that may be left blank.
#[derive(Clone, Debug)]
pub(in crate::job) struct Optional<T> {
    /// The value, `None` when blank.
    pub value: Result<Option<T>, Reported>,
    /// Where it stands.
    pub cell: Cell,
}

/// Parses the text of a cell.
fn parse<T: Value>(
    cell: &Cell,
    unit: Unit,
    range: Range,
    source: &dyn RowSource,
    ledger: &mut Ledger,
) -> Result<T, Reported> {
    let typed = Typed {
        unit,
        range,
        system: source.system(),
        decimal_comma: source.decimal_comma(),
    };
    T::read(&cell.text, &typed).map_err(|refusal: Refusal| {
        let message = format!("`{}` {}", cell.name, refusal.says);
        ledger.fault(
            cell.fault(refusal.code, message)
                .accepted(refusal.accepted)
                .maybe_help(refusal.help),
        )
    })
}

impl<T: Value> Slot for Required<T> {
    const UNIT: UnitFamily = T::UNIT;
    const REQUIRED: bool = true;
    const SHAPE: &'static str = T::SHAPE;
    const KIND: Kind = T::KIND;
    fn fill(
        position: usize,
        column: &Column,
        source: &mut dyn RowSource,
        ledger: &mut Ledger,
    ) -> Self {
        match source.find(position, column, T::KIND, ledger) {
            Found::Text(cell, unit) => Self {
                value: parse(&cell, unit, column.range, source, ledger),
                cell,
            },
            Found::Reported(cell, reported) => Self {
                value: Err(reported),
                cell,
            },
            Found::Blank(cell) => {
                let fault = cell.fault(source.missing(), format!("`{}` is not given", cell.name));
                Self {
                    value: Err(ledger.fault(
                        fault
                            .accepted(T::accepted(column.range))
                            .help(format!("it holds: {}", column.what)),
                    )),
                    cell,
                }
            }
        }
    }
}

impl<T: Value> Slot for Optional<T> {
    const UNIT: UnitFamily = T::UNIT;
    const REQUIRED: bool = false;
    const SHAPE: &'static str = T::SHAPE;
    const KIND: Kind = T::KIND;
    fn fill(
        position: usize,
        column: &Column,
        source: &mut dyn RowSource,
        ledger: &mut Ledger,
    ) -> Self {
        match source.find(position, column, T::KIND, ledger) {
            Found::Text(cell, unit) => Self {
                value: parse(&cell, unit, column.range, source, ledger).map(Some),
                cell,
            },
            Found::Blank(cell) => Self {
                value: Ok(None),
                cell,
            },
            Found::Reported(cell, reported) => Self {
                value: Err(reported),
                cell,
            },
        }
    }
}

impl<T: Clone> Required<T> {
    /// The value.
    pub fn get(&self) -> Result<T, Reported> {
        self.value.clone()
    }
}

impl<T: Clone> Optional<T> {
    /// The value, `None` when blank.
    pub fn get(&self) -> Result<Option<T>, Reported> {
        self.value.clone()
    }
    /// The value, or `default` when blank.
    pub fn or(&self, default: T) -> Result<T, Reported> {
        self.get().map(|value| value.unwrap_or(default))
    }
}

/// A declared row.
pub(in crate::job) trait Record: Sized {
    /// Its table.
    const TABLE: Table;
    /// Shapes of the columns, in the same order.
    const SHAPES: &'static [&'static str];
    /// How `job.toml` writes their values, in the same order.
    const KINDS: &'static [Kind];
    /// Where the row stands.
    fn place(&self) -> &Place;
    /// Reads one row; faults go into the ledger, never out of here.
    fn read(source: &mut dyn RowSource, ledger: &mut Ledger) -> Self;
}

/// Declares a row: struct, column list and reading, from one list of fields.
macro_rules! record {
    (
        $(#[$doc:meta])* $row:ident in $home:ident $name:literal, $presence:ident, $what:literal
        $(, with $inner:expr)?;
        $($field:ident: $slot:ty = $column:literal, $range:expr, $default:literal, $holds:literal;)*
    ) => {
        $(#[$doc])*
        #[derive(Clone, Debug)]
        pub(in crate::job) struct $row {
            /// Where the row stands.
            pub place: $crate::job::error::Place,
            $(
                #[doc = $holds]
                pub $field: $slot,
            )*
        }

        impl $crate::job::column::Record for $row {
            const TABLE: $crate::job::column::Table = $crate::job::column::Table {
                name: $name,
                home: $crate::job::column::Home::$home,
                required: record!(@presence $presence),
                written: record!(@written $presence),
                what: $what,
                columns: &[$($crate::job::column::Column {
                    name: $column,
                    unit: <$slot as $crate::job::column::Slot>::UNIT,
                    required: <$slot as $crate::job::column::Slot>::REQUIRED,
                    range: $range,
                    default: $default,
                    what: $holds,
                },)*],
                inner: record!(@inner $($inner)?),
            };
            const SHAPES: &'static [&'static str] =
                &[$(<$slot as $crate::job::column::Slot>::SHAPE,)*];
            const KINDS: &'static [$crate::job::value::Kind] =
                &[$(<$slot as $crate::job::column::Slot>::KIND,)*];

            fn place(&self) -> &$crate::job::error::Place {
                &self.place
            }

            fn read(
                source: &mut dyn $crate::job::column::RowSource,
                ledger: &mut $crate::job::error::Ledger,
            ) -> Self {
                let place = source.row_place();
                let mut columns = Self::TABLE.columns.iter().enumerate();
                $(
                    let $field = {
                        let (position, column) = columns
                            .next()
                            .expect("one column is declared for each field");
                        <$slot as $crate::job::column::Slot>::fill(position, column, source, ledger)
                    };
                )*
                Self { place, $($field,)* }
            }
        }
    };
    (@presence required) => { true };
    (@presence optional) => { false };
    (@presence optional_and_written) => { false };
    (@written optional_and_written) => { true };
    (@written $presence:ident) => { false };
    (@inner) => { &[] };
    (@inner $inner:expr) => { $inner };
}
pub(in crate::job) use record;
