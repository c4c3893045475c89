//! What is bought for this job: the material lines of the bill, those of one
//! article together, whatever section they stand in.

use crate::bill::{Bill, Line, LineKind, Unit};
use crate::job::TaxClass;
use crate::units::Money;
use rust_decimal::Decimal;

/// One article to buy.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct BuyRow {
    /// What it is.
    pub kind: LineKind,
    /// As the bill calls it.
    pub article: String,
    /// How much, exact.
    pub amount: Decimal,
    /// Unit of the amount.
    pub unit: Unit,
    /// Price of one unit, exact.
    pub each: Money,
    /// Sum of the bill's lines for it.
    pub cost: Money,
}

/// The buy list.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Buying {
    /// Articles by kind, then in the order of the bill.
    pub rows: Vec<BuyRow>,
    /// Sum of the rows, before overhead, markup and tax.
    pub cost: Money,
}

impl Buying {
    /// The articles of a bill: its material lines but sundries, which nobody lists,
    /// and what is present already.
    #[must_use]
    pub fn of(bill: &Bill) -> Self {
        let mut rows: Vec<BuyRow> = Vec::new();
        for line in bill.lines.iter().filter(|line| is_bought(line)) {
            let same = rows.iter_mut().find(|row| {
                row.kind == line.kind
                    && row.article == line.description
                    && row.each == line.unit_price
                    && row.unit == line.quantity.unit
            });
            match same {
                Some(row) => {
                    row.amount += line.quantity.amount;
                    row.cost += line.extension;
                }
                None => rows.push(BuyRow {
                    kind: line.kind,
                    article: line.description.clone(),
                    amount: line.quantity.amount,
                    unit: line.quantity.unit,
                    each: line.unit_price,
                    cost: line.extension,
                }),
            }
        }
        rows.sort_by_key(|row| row.kind);
        Self {
            cost: rows.iter().map(|row| row.cost).sum(),
            rows,
        }
    }
}

fn is_bought(line: &Line) -> bool {
    line.class == TaxClass::Material && !matches!(line.kind, LineKind::Sundries | LineKind::Present)
}
