//! The sheet on which lines are written: every line is rounded here and
//! nowhere else.

use super::exact::hundredths;
use super::model::{GENERAL, Line, LineKind, Quantity, Unit};
use crate::job::TaxClass;
use crate::units::Money;
use rust_decimal::Decimal;

/// What one line says, before it is priced.
pub(crate) struct Entry<'a> {
    /// Section of the bid.
    pub(crate) section: &'a str,
    /// What it is for.
    pub(crate) kind: LineKind,
    /// Cost class.
    pub(crate) class: TaxClass,
    /// What is bought or done.
    pub(crate) description: String,
}

impl Entry<'static> {
    /// An entry of the general section.
    pub(crate) fn general(kind: LineKind, class: TaxClass, description: impl Into<String>) -> Self {
        Self {
            section: GENERAL,
            kind,
            class,
            description: description.into(),
        }
    }
}

/// Lines in the order they were written.
#[derive(Debug, Default)]
pub(crate) struct Sheet {
    lines: Vec<Line>,
}

impl Sheet {
    /// Writes `amount` units at a price each; extension rounded half-even to the cent.
    pub(crate) fn write(&mut self, entry: Entry<'_>, amount: Decimal, unit: Unit, each: Money) {
        self.lines.push(Line {
            section: entry.section.to_owned(),
            kind: entry.kind,
            class: entry.class,
            description: entry.description,
            quantity: Quantity { amount, unit },
            unit_price: each,
            extension: each.times(amount).cents(),
        });
    }
    /// Writes a priced thing; nothing when there is none.
    pub(crate) fn goods(&mut self, entry: Entry<'_>, amount: Decimal, unit: Unit, each: Money) {
        if !amount.is_zero() {
            self.write(entry, amount, unit, each);
        }
    }
    /// Writes work at a price per unit; nothing when it costs nothing.
    pub(crate) fn work(&mut self, entry: Entry<'_>, amount: Decimal, unit: Unit, each: Money) {
        if !amount.is_zero() && each != Money::ZERO {
            self.write(entry, amount, unit, each);
        }
    }
    /// Writes own labour: hours rounded half-even to 0.01 *before* they are priced, so that the shown figures multiply out; nothing when they round to none.
    pub(crate) fn labour(&mut self, entry: Entry<'_>, hours: Decimal, rate: Money) {
        self.goods(entry, hundredths(hours), Unit::Hours, rate);
    }
    /// Writes one agreed sum; nothing when it is zero.
    pub(crate) fn lump(&mut self, entry: Entry<'_>, amount: Money) {
        self.work(entry, Decimal::ONE, Unit::Lump, amount);
    }
    /// Sum of the lines of a class so far.
    pub(crate) fn sum(&self, class: TaxClass) -> Money {
        class_sum(&self.lines, class)
    }
    /// The lines by section (first met first, [`GENERAL`] last), kind and class; within these as written.
    pub(crate) fn sorted(mut self) -> Vec<Line> {
        let mut sections: Vec<String> = Vec::new();
        for line in &self.lines {
            if line.section != GENERAL && !sections.contains(&line.section) {
                sections.push(line.section.clone());
            }
        }
        self.lines.sort_by_key(|line| {
            let rank = sections.iter().position(|section| *section == line.section);
            (rank.unwrap_or(sections.len()), line.kind, line.class)
        });
        self.lines
    }
}

/// Sum of the extensions of one class.
pub(crate) fn class_sum(lines: &[Line], class: TaxClass) -> Money {
    let of_class = lines.iter().filter(|line| line.class == class);
    of_class.map(|line| line.extension).sum()
}
