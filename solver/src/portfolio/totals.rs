//! Sums over a portfolio; unlike things are never added up.

use super::model::{Fate, JobFigures, ModelCount, PortfolioRow, gap};
use crate::units::Money;
use rust_decimal::Decimal;
use serde::Serialize;

/// Money of the planned jobs in one currency.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MoneySum {
    /// Currency.
    pub currency: String,
    /// Jobs.
    pub jobs: u32,
    /// Prices before tax.
    pub price: Money,
    /// Prices with tax.
    pub total: Money,
    /// Direct costs, unrounded.
    pub direct_cost: f64,
    /// Sum of the bounds; `None` when a job has none.
    pub bound: Option<f64>,
}

impl MoneySum {
    /// Share of all direct costs by which they could at most be lower; `None` without bounds.
    #[must_use]
    pub fn gap(&self) -> Option<f64> {
        gap(self.direct_cost, self.bound)
    }
}

/// Cable of one gauge and unit over all planned jobs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct CableSum {
    /// Gauge.
    pub gauge: String,
    /// `ft` or `m`.
    pub unit: String,
    /// Length.
    pub length: Decimal,
}

/// A portfolio: its jobs and their sums.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Portfolio {
    /// Jobs in the order of the batch.
    pub rows: Vec<PortfolioRow>,
    /// Jobs with a plan.
    pub planned: u32,
    /// Jobs without one.
    pub failed: u32,
    /// Jobs not planned yet.
    pub missing: u32,
    /// Money by currency, in the order in which they are first met.
    pub money: Vec<MoneySum>,
    /// Cable by gauge and unit, in the order in which they are first met.
    pub cable: Vec<CableSum>,
    /// Transformers bought by model, in the order in which they are first met.
    pub transformers: Vec<ModelCount>,
    /// Fixtures fed.
    pub fixtures: u32,
    /// Labour hours.
    pub hours: Decimal,
}

impl Portfolio {
    /// Adds up; names that several jobs share become an exception of each of them.
    #[must_use]
    pub fn of(mut rows: Vec<PortfolioRow>) -> Self {
        note_shared_names(&mut rows);
        let mut portfolio = Self {
            planned: 0,
            failed: 0,
            missing: 0,
            money: Vec::new(),
            cable: Vec::new(),
            transformers: Vec::new(),
            fixtures: 0,
            hours: Decimal::ZERO,
            rows: Vec::new(),
        };
        for row in &rows {
            match &row.fate {
                Fate::Planned(figures) => portfolio.add(figures),
                Fate::Failed { .. } => portfolio.failed += 1,
                Fate::Missing => portfolio.missing += 1,
            }
        }
        portfolio.rows = rows;
        portfolio
    }

    /// The planned jobs: name of the folder and figures.
    pub fn planned_rows(&self) -> impl Iterator<Item = (&str, &JobFigures)> {
        self.rows.iter().filter_map(|row| match &row.fate {
            Fate::Planned(figures) => Some((row.job.as_str(), figures.as_ref())),
            Fate::Failed { .. } | Fate::Missing => None,
        })
    }

    fn add(&mut self, figures: &JobFigures) {
        self.planned += 1;
        // Counts of a foreign file may be anything; four thousand million are no batch.
        self.fixtures = self.fixtures.saturating_add(figures.fixtures);
        self.hours += figures.hours;
        self.add_money(figures);
        for row in &figures.cable {
            let unit = &figures.length_unit;
            let known = self
                .cable
                .iter_mut()
                .find(|known| known.gauge == row.gauge && known.unit == *unit);
            match known {
                Some(known) => known.length += row.length,
                None => self.cable.push(CableSum {
                    gauge: row.gauge.clone(),
                    unit: unit.clone(),
                    length: row.length,
                }),
            }
        }
        for row in &figures.transformers {
            let known = self
                .transformers
                .iter_mut()
                .find(|known| known.model == row.model);
            match known {
                Some(known) => known.count = known.count.saturating_add(row.count),
                None => self.transformers.push(row.clone()),
            }
        }
    }

    fn add_money(&mut self, figures: &JobFigures) {
        let known = self
            .money
            .iter()
            .position(|known| known.currency == figures.currency);
        let at = known.unwrap_or_else(|| {
            self.money.push(MoneySum {
                currency: figures.currency.clone(),
                jobs: 0,
                price: Money::ZERO,
                total: Money::ZERO,
                direct_cost: 0.0,
                bound: Some(0.0),
            });
            self.money.len() - 1
        });
        let sum = &mut self.money[at];
        sum.jobs += 1;
        sum.price += figures.price;
        sum.total += figures.total;
        sum.direct_cost += figures.direct_cost;
        sum.bound = sum.bound.zip(figures.bound).map(|(sum, more)| sum + more);
    }
}

/// Two jobs of one name may be one job given twice under two folders.
fn note_shared_names(rows: &mut [PortfolioRow]) {
    let names: Vec<Option<String>> = rows
        .iter()
        .map(|row| match &row.fate {
            Fate::Planned(figures) => Some(figures.name.clone()),
            Fate::Failed { .. } | Fate::Missing => None,
        })
        .collect();
    let folders: Vec<String> = rows.iter().map(|row| row.job.clone()).collect();
    for (at, row) in rows.iter_mut().enumerate() {
        let Fate::Planned(figures) = &mut row.fate else {
            continue;
        };
        let others: Vec<&str> = (0..folders.len())
            .filter(|&other| other != at && names[other] == names[at])
            .map(|other| folders[other].as_str())
            .collect();
        if !others.is_empty() {
            let text = format!("same name as in folder {}", others.join(", "));
            figures.exceptions.push(text);
        }
    }
}
