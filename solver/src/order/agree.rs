//! Whether jobs can be ordered together: one currency, one unit system, and one
//! price and supply for everything that more than one of them uses.

use super::error::OrderError;
use super::model::PlannedJob;
use crate::cut::pulls;
use crate::job::{Cable, Job};
use crate::units::Money;
use std::fmt::Write;

/// Checks what an order has once.
///
/// # Errors
/// [`OrderError`] for the first thing on which two jobs differ.
pub(super) fn check(jobs: &[PlannedJob<'_>]) -> Result<(), OrderError> {
    let (first, others) = jobs.split_first().ok_or(OrderError::NoJob)?;
    for (number, later) in jobs.iter().enumerate() {
        let same = jobs[..number]
            .iter()
            .position(|one| one.job.name == later.job.name);
        if let Some(earlier) = same {
            return Err(OrderError::SameName {
                name: later.job.name.clone(),
                first: earlier + 1,
                second: number + 1,
            });
        }
    }
    for other in others {
        let pair = [first.job, other.job];
        same("the currency", pair, |job| job.currency.clone())?;
        same("the unit of length", pair, |job| {
            job.units.length_symbol().to_owned()
        })?;
    }
    cables(jobs)
}

/// Requires that two jobs say the same.
fn same(what: &str, jobs: [&Job; 2], says: impl Fn(&Job) -> String) -> Result<(), OrderError> {
    let values = jobs.map(says);
    if values[0] == values[1] {
        return Ok(());
    }
    Err(OrderError::Differs {
        what: what.to_owned(),
        jobs: jobs.map(|job| job.name.clone()),
        values,
    })
}

/// Cables in use: gauge, price, spools and stock.
fn cables(jobs: &[PlannedJob<'_>]) -> Result<(), OrderError> {
    let mut seen: Vec<(&Cable, &Job)> = Vec::new();
    for planned in jobs {
        for pull in pulls(planned.job, planned.plan) {
            let cable = planned.job.cable(pull.cable);
            let known = seen.iter().find(|(known, _)| known.tag == cable.tag);
            let Some(&(known, of)) = known else {
                seen.push((cable, planned.job));
                continue;
            };
            if known.gauge == cable.gauge
                && known.price == cable.price
                && known.spools == cable.spools
                && known.stock == cable.stock
            {
                continue;
            }
            return Err(OrderError::Differs {
                what: format!("what can be had of cable `{}`", cable.tag),
                jobs: [of.name.clone(), planned.job.name.clone()],
                values: [offer(of, known), offer(planned.job, cable)],
            });
        }
    }
    Ok(())
}

/// What can be had of a cable, for a message.
fn offer(job: &Job, cable: &Cable) -> String {
    let length = |steps| {
        format!(
            "{} {}",
            job.units.grid().decimal(steps),
            job.units.length_symbol()
        )
    };
    let mut said = cable.gauge.clone();
    let mut add = |text: String| {
        let _infallible = write!(said, ", {text}");
    };
    if let Some(price) = cable.price {
        add(format!(
            "{} a {}",
            price.per_unit,
            job.units.length_symbol()
        ));
    }
    for spool in &cable.spools {
        add(format!("spool {} at {}", length(spool.length), spool.price));
    }
    for remnant in &cable.stock {
        add(format!(
            "{} x {} on hand",
            remnant.count,
            length(remnant.length)
        ));
    }
    said
}

/// Requires one price of a thing in two jobs.
pub(super) fn one_price(what: &str, jobs: [&Job; 2], prices: [Money; 2]) -> Result<(), OrderError> {
    if prices[0] == prices[1] {
        return Ok(());
    }
    Err(OrderError::Differs {
        what: format!("the price of {what}"),
        jobs: jobs.map(|job| job.name.clone()),
        values: prices.map(|price| price.to_string()),
    })
}
