//! The price as a client reads it: parted by section of the bid, and by what it
//! pays for. Overhead, markup and a minimum charge are spread over the parts; no
//! part shows them.

use super::model::{Bill, GENERAL, Line, LineKind};
use crate::units::Money;
use rust_decimal::Decimal;

/// What a part of the price pays for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OfferPart {
    /// Fixtures, set and aimed.
    Lights,
    /// Transformers, their sites and mains circuits, controls.
    Supply,
    /// Cable, hubs and splices.
    Wiring,
    /// Opening ground and laying cable in it.
    Ground,
    /// Sundries, visits, permits, mobilisation and agreed sums.
    Services,
}

impl OfferPart {
    /// All parts, in the order in which they are listed.
    pub const ALL: [Self; 5] = [
        Self::Lights,
        Self::Supply,
        Self::Wiring,
        Self::Ground,
        Self::Services,
    ];

    /// The part that a line of the bill belongs to.
    #[must_use]
    pub const fn of(kind: LineKind) -> Self {
        match kind {
            LineKind::Fixture | LineKind::Present => Self::Lights,
            LineKind::Transformer | LineKind::Site | LineKind::Control => Self::Supply,
            LineKind::Cable | LineKind::Waste | LineKind::Hub | LineKind::Joint => Self::Wiring,
            LineKind::Trench | LineKind::CableWork => Self::Ground,
            LineKind::Sundries
            | LineKind::NightVisit
            | LineKind::Permit
            | LineKind::Mobilisation
            | LineKind::Lump => Self::Services,
        }
    }
}

/// A part's share of the price.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Share<T> {
    /// The part.
    pub of: T,
    /// Its price before tax, to the cent.
    pub price: Money,
}

/// The price before tax, parted twice; each way the shares add up to it exactly.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Offer {
    /// By section, in the order of the bill; the section that no fixture names comes last.
    pub sections: Vec<Share<String>>,
    /// By what it pays for; parts at zero are left out.
    pub parts: Vec<Share<OfferPart>>,
}

impl Offer {
    /// Parts the price of a bill; linear in its lines.
    #[must_use]
    pub fn of(bill: &Bill) -> Self {
        let mut sections: Vec<&str> = Vec::new();
        for line in &bill.lines {
            if !sections.contains(&line.section.as_str()) {
                sections.push(&line.section);
            }
        }
        if sections.is_empty() {
            sections.push(GENERAL);
        }
        let by_section = shares(bill, &sections, |line, section| line.section == **section);
        let by_part = shares(bill, &OfferPart::ALL, |line, part| {
            OfferPart::of(line.kind) == *part
        });
        Self {
            sections: by_section
                .into_iter()
                .map(|(of, price)| Share {
                    of: (*of).to_owned(),
                    price,
                })
                .collect(),
            parts: by_part
                .into_iter()
                .filter(|(_, price)| *price != Money::ZERO)
                .map(|(&of, price)| Share { of, price })
                .collect(),
        }
    }
}

/// Parts the price in proportion to the cost of each group's lines, rounded
/// half-even to the cent; what rounding leaves over goes to the dearest group (the
/// first of equals), and a bill that costs nothing to its last.
fn shares<'a, T>(
    bill: &Bill,
    groups: &'a [T],
    belongs: impl Fn(&Line, &T) -> bool,
) -> Vec<(&'a T, Money)> {
    let costs: Vec<Money> = groups
        .iter()
        .map(|group| {
            let lines = bill.lines.iter().filter(|line| belongs(line, group));
            lines.map(|line| line.extension).sum()
        })
        .collect();
    let total = bill.cost.decimal();
    let factor = if total.is_zero() {
        Decimal::ZERO
    } else {
        bill.price.decimal() / total
    };
    let mut prices: Vec<Money> = costs
        .iter()
        .map(|cost| cost.times(factor).cents())
        .collect();
    let left_over = bill.price - prices.iter().copied().sum();
    let mut taker = costs.len().saturating_sub(1);
    for index in (0..costs.len()).rev() {
        if costs[index] >= costs[taker] && costs[index] != Money::ZERO {
            taker = index;
        }
    }
    if let Some(price) = prices.get_mut(taker) {
        *price += left_over;
    }
    groups.iter().zip(prices).collect()
}
