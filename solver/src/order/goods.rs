//! Things counted: splices, hubs, transformers, fixtures.

use super::agree::one_price;
use super::error::OrderError;
use super::model::{Goods, OrderLine, PlannedJob};
use crate::bill::{Takeoff, Unit};
use crate::job::Job;
use crate::units::Money;
use rust_decimal::Decimal;

/// One kind of thing, one job: name, size and price by catalogue order, with the counts.
type Shelf<'a> = Vec<(&'a str, String, Money, u32)>;

/// The lines of everything counted. Fixtures only when wanted, and new ones only.
pub(super) fn lines(jobs: &[PlannedJob<'_>], fixtures: bool) -> Result<Vec<OrderLine>, OrderError> {
    let takes: Vec<Takeoff> = jobs
        .iter()
        .map(|planned| Takeoff::of(planned.job, planned.plan))
        .collect();
    let mut lines = gathered(Goods::Splice, jobs, &takes, splices)?;
    lines.extend(gathered(Goods::Hub, jobs, &takes, hubs)?);
    lines.extend(gathered(Goods::Transformer, jobs, &takes, transformers)?);
    if fixtures {
        lines.extend(gathered(Goods::Fixture, jobs, &takes, new_fixtures)?);
    }
    Ok(lines)
}

/// One kind of thing over all jobs, in the order in which tags are first met.
fn gathered(
    goods: Goods,
    jobs: &[PlannedJob<'_>],
    takes: &[Takeoff],
    shelf: impl for<'a> Fn(&'a Job, &Takeoff) -> Shelf<'a>,
) -> Result<Vec<OrderLine>, OrderError> {
    let mut lines: Vec<(OrderLine, usize)> = Vec::new();
    for (index, (planned, take)) in jobs.iter().zip(takes).enumerate() {
        for (tag, size, price, count) in shelf(planned.job, take) {
            if count == 0 {
                continue;
            }
            let known = lines.iter().position(|(line, _)| line.item == tag);
            let at = known.unwrap_or_else(|| {
                lines.push((empty(goods, tag, size, price, jobs.len()), index));
                lines.len() - 1
            });
            let (line, first) = &mut lines[at];
            let what = format!("{} `{tag}`", goods.words());
            one_price(
                &what,
                [jobs[*first].job, planned.job],
                [line.unit_price, price],
            )?;
            line.by_job[index] = Decimal::from(count);
            line.quantity += Decimal::from(count);
        }
    }
    let priced = lines.into_iter().map(|(line, _)| OrderLine {
        extension: line.unit_price.times(line.quantity).cents(),
        ..line
    });
    Ok(priced.collect())
}

fn empty(goods: Goods, tag: &str, size: String, price: Money, jobs: usize) -> OrderLine {
    OrderLine {
        goods,
        item: tag.to_owned(),
        size,
        spool_length: None,
        quantity: Decimal::ZERO,
        unit: Unit::Each,
        unit_price: price,
        extension: Money::ZERO,
        by_job: vec![Decimal::ZERO; jobs],
    }
}

fn splices<'a>(job: &'a Job, take: &Takeoff) -> Shelf<'a> {
    let kinds = job.joints.iter().zip(&take.joints);
    kinds
        .map(|(kind, &count)| (kind.tag.as_str(), String::new(), kind.price, count))
        .collect()
}

fn hubs<'a>(job: &'a Job, take: &Takeoff) -> Shelf<'a> {
    let kinds = job.hubs.iter().zip(&take.hubs);
    kinds
        .map(|(kind, &count)| (kind.tag.as_str(), String::new(), kind.price, count))
        .collect()
}

fn transformers<'a>(job: &'a Job, take: &Takeoff) -> Shelf<'a> {
    let models = job.transformers.iter().zip(&take.transformers);
    models
        .map(|(model, &count)| {
            let size = format!("{} VA", model.rated.value());
            (model.tag.as_str(), size, model.price, count)
        })
        .collect()
}

fn new_fixtures<'a>(job: &'a Job, take: &Takeoff) -> Shelf<'a> {
    let mut counts = vec![0; job.models.len()];
    for fixture in take.fixtures.iter().map(|&id| job.fixture(id)) {
        counts[fixture.model.index()] += u32::from(!fixture.existing);
    }
    let models = job.models.iter().zip(counts);
    models
        .map(|(model, count)| (model.tag.as_str(), String::new(), model.price, count))
        .collect()
}
