//! What columns and keys exist: one declaration that the reader obeys, the
//! schema text prints and the documentation is tested against.

mod range;
mod record;
mod unit;

pub(in crate::job) use range::{
    LARGEST, Range, above_zero, any, at_least_zero, between, positive_up_to, up_to,
};
pub(in crate::job) use record::{Cell, Found, Optional, Record, Required, RowSource, Slot, record};
pub(in crate::job) use unit::{Unit, UnitFamily};

/// A column of a table, or a key of a section of `job.toml`.
#[derive(Clone, Copy, Debug)]
pub(in crate::job) struct Column {
    /// Name without the unit suffix where the unit may be chosen.
    pub name: &'static str,
    /// The choice of units.
    pub unit: UnitFamily,
    /// Whether every row must state it.
    pub required: bool,
    /// Accepted numbers, in the unit typed.
    pub range: Range,
    /// What a blank means; empty when required.
    pub default: &'static str,
    /// What it holds.
    pub what: &'static str,
}

impl Column {
    /// The possible headings, one for each unit.
    pub fn headings(&self) -> impl Iterator<Item = (Unit, String)> + '_ {
        self.unit
            .units()
            .iter()
            .map(|unit| (*unit, format!("{}{}", self.name, unit.suffix())))
    }
    /// The headings as documentation writes them: `length_ft|m`.
    pub fn documented(&self) -> String {
        let suffixes: Vec<&str> = self.unit.units().iter().map(|unit| unit.suffix()).collect();
        match suffixes.as_slice() {
            [first, second] => {
                let shared = first.len().min(second.len());
                let common = (0..shared)
                    .rev()
                    .find(|&i| first.as_bytes()[i] == b'_' && first[..i] == second[..i])
                    .map_or(0, |i| i + 1);
                format!("{}{}|{}", self.name, first, &second[common..])
            }
            _ => self.name.to_owned(),
        }
    }
}

/// A table of a job or catalogue, or a section of `job.toml`.
#[derive(Clone, Copy, Debug)]
pub(in crate::job) struct Table {
    /// File name, or section as `job.toml` writes it.
    pub name: &'static str,
    /// Where it lives.
    pub home: Home,
    /// Whether it must be there.
    pub required: bool,
    /// Whether the program writes such tables too, with rows that say how they were made.
    pub written: bool,
    /// What one row is.
    pub what: &'static str,
    /// Columns in documented order.
    pub columns: &'static [Column],
    /// Keys of a section that are sections themselves.
    pub inner: &'static [&'static str],
}

/// Where a table lives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) enum Home {
    /// A section of `job.toml`.
    Settings,
    /// An entry of a list of sections of `job.toml`.
    Entries,
    /// The job folder.
    JobFolder,
    /// The catalogue folder.
    Catalogue,
}

impl Home {
    /// Whether it is part of `job.toml`.
    pub const fn is_settings(self) -> bool {
        matches!(self, Self::Settings | Self::Entries)
    }
}
