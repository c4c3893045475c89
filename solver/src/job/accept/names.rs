//! Tags of a table, and references to them.

use crate::job::column::{Cell, Optional, Record, Required};
use crate::job::error::{Code, Fault, Ledger, Place, Reported};
use crate::job::nearest::{did_you_mean, listed};
use crate::job::read::Rows;
use crate::job::value::Tag;
use std::collections::BTreeMap;
use std::rc::Rc;

/// The tags of one table, by row.
pub(super) struct Names<'a> {
    /// What a row is called in messages.
    what: &'static str,
    file: Rc<str>,
    by_tag: BTreeMap<&'a str, usize>,
    in_order: Vec<&'a str>,
    /// Proof of a fault that may have hidden a tag: unknown references may be its echo.
    whole: Result<(), Reported>,
}

/// Who refers to something, for messages: ``fixture `F12` ``.
pub(super) fn asker(what: &str, tag: &Required<Tag>) -> String {
    if tag.cell.text.is_empty() {
        format!("the {what} in this row")
    } else {
        format!("{what} `{}`", tag.cell.text)
    }
}

impl<'a> Names<'a> {
    /// Indexes a table and reports tags given twice.
    pub fn of<R: Record>(
        what: &'static str,
        rows: &'a Rows<R>,
        tag: fn(&R) -> &Required<Tag>,
        ledger: &mut Ledger,
    ) -> Self {
        let mut names = Self {
            what,
            file: Rc::clone(&rows.file),
            by_tag: BTreeMap::new(),
            in_order: Vec::new(),
            whole: rows.whole,
        };
        for (position, row) in rows.rows.iter().enumerate() {
            let tag = tag(row);
            match &tag.value {
                Err(reported) => names.whole = Err(*reported),
                Ok(name) => match names.by_tag.get(name.0.as_str()) {
                    None => {
                        names.by_tag.insert(&name.0, position);
                        names.in_order.push(&name.0);
                    }
                    Some(&first) => {
                        let first = rows.rows.get(first).map(Record::place);
                        ledger.fault(duplicate(what, &tag.cell, first));
                    }
                },
            }
        }
        names
    }

    /// Proof of a fault that may have hidden a tag.
    pub const fn sound(&self) -> Result<(), Reported> {
        self.whole
    }
    /// The tags in the order of the rows.
    pub fn tags(&self) -> Vec<String> {
        self.in_order.iter().map(|&tag| tag.to_owned()).collect()
    }

    /// Row of a tag.
    pub fn position(&self, tag: &str) -> Option<usize> {
        self.by_tag.get(tag).copied()
    }

    /// The row a cell refers to. `asker` is who refers to it: ``fixture `F12` ``.
    pub fn find(
        &self,
        tag: &Tag,
        cell: &Cell,
        asker: &str,
        ledger: &mut Ledger,
    ) -> Result<usize, Reported> {
        if let Some(position) = self.position(&tag.0) {
            return Ok(position);
        }
        self.whole?;
        let message = format!(
            "{asker} asks for {} `{}`, which {} does not list",
            self.what, tag.0, self.file
        );
        let known = || self.in_order.iter().copied();
        let add = format!("add it to {}", self.file);
        Err(ledger.fault(
            cell.fault(Code::UnknownTag, message)
                .accepted(listed(known()))
                .help(did_you_mean(&tag.0, known()).unwrap_or(add)),
        ))
    }

    /// The row that a required cell refers to.
    pub fn required(
        &self,
        slot: &Required<Tag>,
        asker: &str,
        ledger: &mut Ledger,
    ) -> Result<usize, Reported> {
        let tag = slot.get()?;
        self.find(&tag, &slot.cell, asker, ledger)
    }

    /// The row that an optional cell refers to.
    pub fn optional(
        &self,
        slot: &Optional<Tag>,
        asker: &str,
        ledger: &mut Ledger,
    ) -> Result<Option<usize>, Reported> {
        match slot.get()? {
            None => Ok(None),
            Some(tag) => self.find(&tag, &slot.cell, asker, ledger).map(Some),
        }
    }
}

/// Fault for a tag that an earlier row has.
pub(super) fn duplicate(what: &str, cell: &Cell, first: Option<&Place>) -> Fault {
    let where_first = first
        .and_then(|place| place.line)
        .map_or_else(String::new, |line| format!("; line {line} has it already"));
    cell.fault(
        Code::DuplicateTag,
        format!("the {what} `{}` is given twice{where_first}", cell.text),
    )
    .accepted("a tag that no other row has")
    .help("rename or delete one of the two rows")
}
