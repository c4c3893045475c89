//! One job of a portfolio.

use crate::schedule::{Dossier, Status};
use crate::units::Money;
use rust_decimal::prelude::ToPrimitive;
use rust_decimal::{Decimal, dec};
use serde::{Deserialize, Serialize};

/// Cable of one gauge in one job, in the job's length unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CableLength {
    /// Gauge.
    pub gauge: String,
    /// Length of its pieces.
    pub length: Decimal,
}

/// Transformers of one model.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ModelCount {
    /// Model.
    pub model: String,
    /// How many are bought.
    pub count: u32,
}

/// What a planned job came to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct JobFigures {
    /// Name of the job.
    pub name: String,
    /// Currency.
    pub currency: String,
    /// `ft` or `m`.
    pub length_unit: String,
    /// Fixtures fed.
    pub fixtures: u32,
    /// Circuits.
    pub circuits: u32,
    /// Price before tax.
    pub price: Money,
    /// Price with tax.
    pub total: Money,
    /// Direct cost, unrounded: what was minimised.
    pub direct_cost: f64,
    /// No plan has a lower direct cost.
    pub bound: Option<f64>,
    /// Whether the plan is proved least.
    pub optimal: bool,
    /// Labour hours.
    pub hours: Decimal,
    /// Cable by gauge, in catalogue order.
    pub cable: Vec<CableLength>,
    /// Ground opened.
    pub trench: Decimal,
    /// Transformers bought, in catalogue order.
    pub transformers: Vec<ModelCount>,
    /// Standing transformers in use.
    pub standing: u32,
    /// What the job's own papers warn of, one entry each.
    pub exceptions: Vec<String>,
}

/// Most of anything that a job comes to: money, hours, lengths in a job's unit. A thousand
/// million such jobs can be added up.
const MOST: Decimal = dec!(1_000_000_000_000_000);

impl JobFigures {
    /// The figures of a checked plan. `notices`: how many oddities its reading told of.
    #[must_use]
    pub fn of(dossier: &Dossier, notices: usize) -> Self {
        let (header, bill) = (&dossier.header, &dossier.bill);
        let standing = dossier.transformers.iter();
        Self {
            name: header.job.clone(),
            currency: header.currency.clone(),
            length_unit: header.length_unit.clone(),
            fixtures: header.fixtures,
            circuits: u32::try_from(dossier.circuits.len()).expect("circuits are few"),
            price: bill.price,
            total: bill.total,
            direct_cost: bill.direct.cost.value(),
            bound: header.standing.bound.map(|bound| bound.value()),
            optimal: header.standing.status == Status::Optimal,
            hours: bill.hours,
            cable: cable(dossier),
            trench: dossier.trenches.length,
            transformers: dossier
                .quantities
                .transformers
                .iter()
                .map(|row| ModelCount {
                    model: row.tag.clone(),
                    count: row.count,
                })
                .collect(),
            standing: u32::try_from(standing.filter(|row| row.existing.is_some()).count())
                .expect("transformers are few"),
            exceptions: exceptions(dossier, notices),
        }
    }

    /// Whether no figure is so large that sums over a portfolio overflow: figures may come from
    /// a file that this program did not write.
    #[must_use]
    pub fn add_up(&self) -> bool {
        let amounts = [
            self.price.decimal(),
            self.total.decimal(),
            self.hours,
            self.trench,
        ];
        let lengths = self.cable.iter().map(|cable| cable.length);
        let most = MOST.to_f64().unwrap_or(f64::MAX);
        let costs = [Some(self.direct_cost), self.bound];
        amounts
            .into_iter()
            .chain(lengths)
            .all(|one| one.abs() <= MOST)
            && costs.into_iter().flatten().all(|cost| cost.abs() <= most)
    }

    /// `(direct cost - bound) / direct cost`, 0..1; `None` without a bound.
    #[must_use]
    pub fn gap(&self) -> Option<f64> {
        gap(self.direct_cost, self.bound)
    }
}

/// Share by which a cost could at most be lower.
pub(super) fn gap(cost: f64, bound: Option<f64>) -> Option<f64> {
    let bound = bound?;
    Some(if cost > 0.0 {
        ((cost - bound) / cost).clamp(0.0, 1.0)
    } else {
        0.0
    })
}

/// Cable by gauge: several cables may have one gauge.
fn cable(dossier: &Dossier) -> Vec<CableLength> {
    let mut gauges: Vec<CableLength> = Vec::new();
    for row in &dossier.quantities.cables {
        match gauges.iter_mut().find(|known| known.gauge == row.gauge) {
            Some(known) => known.length += row.length,
            None => gauges.push(CableLength {
                gauge: row.gauge.clone(),
                length: row.length,
            }),
        }
    }
    gauges
}

fn exceptions(dossier: &Dossier, notices: usize) -> Vec<String> {
    let called_for = dossier.cautions.iter().filter(|one| !one.about.is_empty());
    let cautions = called_for.map(|one| {
        let code = one.code.replace('_', " ");
        format!("{code}: {}", one.about.join(", "))
    });
    let remarks = dossier.header.standing.remarks.iter().cloned();
    let oddities = (notices > 0).then(|| format!("oddities in the job's files: {notices}"));
    cautions.chain(remarks).chain(oddities).collect()
}

/// How a job of a portfolio ended.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fate {
    /// A checked plan was written.
    Planned(Box<JobFigures>),
    /// It has no plan.
    Failed {
        /// One of the words of the exit codes: `refused`, `infeasible`, ...
        result: String,
        /// Why, in words.
        reason: String,
    },
    /// It has not been planned yet.
    Missing,
}

/// A job of a portfolio.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PortfolioRow {
    /// Name of its folder.
    pub job: String,
    /// How it ended.
    pub fate: Fate,
}
