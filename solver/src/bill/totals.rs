//! From lines to the price: totals are sums of rounded amounts only.

use super::exact::hundredths;
use super::lines::{Writer, newly_used_sites};
use super::model::{
    Bill, CableSupply, DirectCost, DirectLine, DirectPart, Line, PerFixture, TaxLine, Unit,
};
use super::sheet::{Sheet, class_sum};
use super::takeoff::Takeoff;
use crate::ids::CableId;
use crate::job::{Bid, Job, TaxClass};
use crate::plan::Plan;
use crate::tariff::Tariff;
use crate::units::{Cost, Money, Ratio};
use rust_decimal::Decimal;

impl Bill {
    /// Prices a plan; linear in its pieces and route steps.
    ///
    /// `supply` says how cable is paid for; `losses` is the present value of
    /// losses when the job minimises it (it stands with the direct cost only:
    /// nobody bids it).
    ///
    /// Conventions: fixtures stand in their section of the bid, everything else
    /// under [`super::GENERAL`]. Hours are rounded half-even to 0.01 before they
    /// are priced. Overhead is a share of material + labour + subcontract,
    /// markup a share of that with overhead. A price below the minimum charge is
    /// brought up to it by one top-up line, which for tax counts as labour: it
    /// pays for no goods. Tax falls on each named class's part of the price,
    /// overhead and markup included.
    ///
    /// # Panics
    /// When an id of the plan was made for another job.
    #[must_use]
    pub fn of(job: &Job, plan: &Plan, supply: &CableSupply, losses: Option<Cost>) -> Self {
        let take = Takeoff::of(job, plan);
        let writer = Writer {
            job,
            plan,
            take: &take,
            sheet: Sheet::default(),
        };
        let lines = writer.write(supply).sorted();
        let hours = hours_of(&lines);
        let totals = Totals::of(&lines, &job.bid);
        let taxes = taxes(&totals, &job.bid);
        let tax = taxes.iter().map(|line| line.amount).sum();
        Self {
            hours,
            labour_rate: job.rates.labour,
            material: totals.material,
            labour: totals.labour,
            subcontract: totals.subcontract,
            cost: totals.cost,
            overhead_rate: job.bid.overhead,
            overhead: totals.overhead,
            markup_rate: job.bid.markup,
            markup: totals.markup,
            minimum_charge: job.bid.minimum_charge,
            top_up: totals.top_up,
            price: totals.price,
            taxes,
            tax,
            total: totals.price + tax,
            per_fixture: per_fixture(job, &take, hours, totals.price),
            direct: direct_cost(job, plan, &take, supply, losses),
            lines,
        }
    }
}

fn hours_of(lines: &[Line]) -> Decimal {
    let worked = lines
        .iter()
        .filter(|line| line.quantity.unit == Unit::Hours);
    hundredths(worked.map(|line| line.quantity.amount).sum())
}

fn share(of: Money, rate: Ratio) -> Money {
    of.times(rate.decimal()).cents()
}

/// Amounts between the lines and the price.
pub(super) struct Totals {
    material: Money,
    labour: Money,
    subcontract: Money,
    cost: Money,
    overhead: Money,
    markup: Money,
    top_up: Money,
    price: Money,
}

impl Totals {
    pub(super) fn of(lines: &[Line], bid: &Bid) -> Self {
        let sum = |class| class_sum(lines, class).cents();
        let (material, labour, subcontract) = (
            sum(TaxClass::Material),
            sum(TaxClass::Labour),
            sum(TaxClass::Subcontract),
        );
        let cost = material + labour + subcontract;
        let overhead = share(cost, bid.overhead);
        let markup = share(cost + overhead, bid.markup);
        let reached = cost + overhead + markup;
        let least = bid.minimum_charge.cents();
        let top_up = if reached < least {
            least - reached
        } else {
            Money::ZERO.cents()
        };
        Self {
            material,
            labour,
            subcontract,
            cost,
            overhead,
            markup,
            top_up,
            price: reached + top_up,
        }
    }

    /// Each class's part of the price; the parts add up to it. What rounding
    /// leaves over goes to the largest class, the top-up to labour.
    fn parts(&self, bid: &Bid) -> [(TaxClass, Money); 3] {
        let factor =
            (Decimal::ONE + bid.overhead.decimal()) * (Decimal::ONE + bid.markup.decimal());
        let mut parts = [
            (TaxClass::Material, self.material),
            (TaxClass::Labour, self.labour),
            (TaxClass::Subcontract, self.subcontract),
        ]
        .map(|(class, amount)| (class, amount.times(factor).cents()));
        let left_over = self.price - self.top_up - parts.iter().map(|part| part.1).sum();
        // The first of equals: the order of the parts decides.
        let mut largest = 0;
        for index in 1..parts.len() {
            if parts[index].1 > parts[largest].1 {
                largest = index;
            }
        }
        parts[largest].1 += left_over;
        parts[1].1 += self.top_up;
        parts
    }
}

fn taxes(totals: &Totals, bid: &Bid) -> Vec<TaxLine> {
    let parts = totals.parts(bid);
    let line = |&(class, rate): &(TaxClass, Ratio)| {
        let base = parts
            .iter()
            .filter(|part| part.0 == class)
            .map(|part| part.1)
            .sum();
        TaxLine {
            class,
            base,
            rate,
            amount: share(base, rate),
        }
    };
    bid.tax.iter().map(line).collect()
}

fn per_fixture(job: &Job, take: &Takeoff, hours: Decimal, price: Money) -> PerFixture {
    // A plan without fixtures has nothing to divide by; its figures stay whole.
    let divisor = Decimal::from(take.fixtures.len().max(1));
    let fixtures = u32::try_from(take.fixtures.len()).expect("fixture ids are 32-bit");
    PerFixture {
        fixtures,
        price: Money::new(price.decimal() / divisor).cents(),
        hours: hundredths(hours / divisor),
        cable: hundredths(take.cable_length(job) / divisor),
    }
}

/// The direct cost by part, as the tariff weighs it.
fn direct_cost(
    job: &Job,
    plan: &Plan,
    take: &Takeoff,
    supply: &CableSupply,
    losses: Option<Cost>,
) -> DirectCost {
    let tariff = Tariff::new(job);
    let weighed = tariff.plan_cost(job, plan);
    let further = plan.further_circuits.iter().map(|&(site, count)| {
        let each = tariff.further_circuit(site).unwrap_or(Cost::ZERO);
        each * f64::from(count)
    });
    let sites = newly_used_sites(job, plan).map(|site| tariff.site(site));
    let parts = [
        (DirectPart::Trench, weighed.trench),
        (DirectPart::CableWork, weighed.per_cable),
        (DirectPart::Cable, cable_cost(job, &tariff, take, supply)),
        (DirectPart::Joints, weighed.joints),
        (DirectPart::Hubs, weighed.hubs),
        (DirectPart::Transformers, weighed.transformers),
        (DirectPart::Sites, sites.sum()),
        (DirectPart::FurtherCircuits, further.sum()),
        (DirectPart::Losses, losses.unwrap_or(Cost::ZERO)),
    ];
    let lines: Vec<DirectLine> = parts
        .into_iter()
        .filter(|(_, cost)| *cost != Cost::ZERO)
        .map(|(part, cost)| DirectLine { part, cost })
        .collect();
    DirectCost {
        cost: lines.iter().map(|line| line.cost).sum(),
        lines,
    }
}

/// Spools bought, and cable by length with waste where no spool supplies it.
fn cable_cost(job: &Job, tariff: &Tariff, take: &Takeoff, supply: &CableSupply) -> Cost {
    let by_length = (0..job.cables.len())
        .map(CableId::new)
        .map(|id| (id, take.cables[id.index()]))
        .filter(|(id, used)| used.pieces > 0 && !supply.spools(*id))
        .map(|(id, used)| tariff.cable(id, job.units.grid().metres(used.length)));
    let spools: Cost = match supply {
        CableSupply::ByLength => Cost::ZERO,
        CableSupply::BySpool { bought, .. } => bought
            .iter()
            .map(|spool| spool.price.cost() * f64::from(spool.count))
            .sum(),
    };
    by_length.sum::<Cost>() + spools
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bill::{LineKind, Quantity, specimen};
    use rust_decimal::dec;

    /// Classes' parts of the price of three lines, one of each class, at a markup and no overhead.
    fn parts(costs: [Decimal; 3], markup: Decimal) -> [Decimal; 3] {
        let classes = [TaxClass::Material, TaxClass::Labour, TaxClass::Subcontract];
        let lines: Vec<Line> = classes
            .into_iter()
            .zip(costs)
            .map(|(class, cost)| Line {
                section: "General".to_owned(),
                kind: LineKind::Lump,
                class,
                description: "Work".to_owned(),
                quantity: Quantity {
                    amount: Decimal::ONE,
                    unit: Unit::Lump,
                },
                unit_price: Money::new(cost),
                extension: Money::new(cost),
            })
            .collect();
        let bid = Bid {
            overhead: Ratio::new(dec!(0)),
            markup: Ratio::new(markup),
            minimum_charge: Money::ZERO,
            ..specimen::job().bid
        };
        Totals::of(&lines, &bid)
            .parts(&bid)
            .map(|(_, part)| part.decimal())
    }

    /// 0.44 % of 5.00 is 0.022, so the price is 5.02; the parts 1.0044, 3.0132 and 1.0044 come to
    /// 5.01 in whole cents. 0.3 % of 3.00 is 0.009, the price 3.01, the parts 1.00 each.
    #[test]
    fn a_cent_left_over_is_taxed_with_the_largest_class_the_first_of_equals() {
        let (one, three) = (dec!(1.00), dec!(3.00));
        assert_eq!(
            parts([one, three, one], dec!(0.0044)),
            [one, dec!(3.02), one]
        );
        assert_eq!(
            parts([one, one, three], dec!(0.0044)),
            [one, one, dec!(3.02)]
        );
        assert_eq!(parts([one, one, one], dec!(0.003)), [dec!(1.01), one, one]);
    }
}
