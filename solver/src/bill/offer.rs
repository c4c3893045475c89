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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bill::{CableSupply, specimen};
    use crate::job::Bid;
    use crate::plan::Plan;
    use rust_decimal::dec;

    fn bill() -> Bill {
        let (job, plan) = (specimen::job(), specimen::plan());
        Bill::of(&job, &plan, &CableSupply::ByLength, None)
    }

    fn prices<T>(shares: &[Share<T>]) -> Vec<Decimal> {
        shares.iter().map(|share| share.price.decimal()).collect()
    }

    /// The specimen of the bill, cost 1709.91 at 2298.12. Front costs 112.88: 151.7108; the rest
    /// 1597.03: 2146.4092. Lights 337.92: 454.1647; supply 478.00: 642.4323; wiring 116.18:
    /// 156.1460; ground 372.70: 500.9090; services 405.11: 544.4681.
    #[test]
    fn the_price_is_parted_in_proportion_to_cost() {
        let offer = Offer::of(&bill());
        let sections: Vec<&str> = offer.sections.iter().map(|share| &*share.of).collect();
        assert_eq!(sections, ["Front", "General"]);
        assert_eq!(prices(&offer.sections), [dec!(151.71), dec!(2146.41)]);
        let parts: Vec<OfferPart> = offer.parts.iter().map(|share| share.of).collect();
        assert_eq!(parts, OfferPart::ALL);
        assert_eq!(
            prices(&offer.parts),
            [
                dec!(454.16),
                dec!(642.43),
                dec!(156.15),
                dec!(500.91),
                dec!(544.47)
            ]
        );
    }

    /// A bill of three lines of ground, each in a section of its own, sold at a price.
    fn three_sections(costs: [Decimal; 3], price: Decimal) -> Vec<Decimal> {
        let mut bill = bill();
        let sample = bill.lines.iter().find(|line| line.kind == LineKind::Trench);
        let sample = sample.expect("ground is opened").clone();
        bill.lines = ["A", "B", "C"]
            .into_iter()
            .zip(costs)
            .map(|(section, cost)| Line {
                section: section.to_owned(),
                extension: Money::new(cost),
                ..sample.clone()
            })
            .collect();
        bill.cost = Money::new(costs.iter().sum());
        bill.price = Money::new(price);
        prices(&Offer::of(&bill).sections)
    }

    /// A third of 100.00 each is 33.33: one cent is left over.
    #[test]
    fn cents_left_over_go_to_the_dearest_section_the_first_of_equals() {
        let one = dec!(1.00);
        assert_eq!(
            three_sections([one, one, one], dec!(100.00)),
            [dec!(33.34), dec!(33.33), dec!(33.33)]
        );
        // 20 %, 60 % and 20 % of 10.02 are 2.004, 6.012 and 2.004, in whole cents 10.01.
        let costs = [dec!(1.00), dec!(3.00), dec!(1.00)];
        assert_eq!(
            three_sections(costs, dec!(10.02)),
            [dec!(2.00), dec!(6.02), dec!(2.00)]
        );
    }

    #[test]
    fn a_minimum_charge_for_no_work_is_a_service() {
        let mut job = specimen::job();
        job.bid = Bid {
            permit: Money::ZERO,
            mobilisation: Money::ZERO,
            lumps: Vec::new(),
            controls: Vec::new(),
            night_visit: crate::units::Hours::ZERO,
            ..job.bid
        };
        let bill = Bill::of(&job, &Plan::default(), &CableSupply::ByLength, None);
        let offer = Offer::of(&bill);
        assert_eq!(offer.sections.len(), 1);
        assert_eq!(offer.sections[0].of, GENERAL);
        assert_eq!(prices(&offer.sections), [dec!(500)]);
        assert_eq!(offer.parts.len(), 1);
        assert_eq!(offer.parts[0].of, OfferPart::Services);
        assert_eq!(prices(&offer.parts), [dec!(500)]);
    }
}
