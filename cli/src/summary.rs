//! The short account of a plan: the same facts as text and as JSON.

use crate::exit::Exit;
use crate::staging;
use crate::watch::{Stopped, gap_percent};
use duskwright_solver::schedule::{Dossier, FixtureRow, Status};
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

/// Decimals of a voltage in the short account.
const VOLT_DECIMALS: usize = 2;

/// What `plan` says when it has a plan.
#[derive(Debug, Serialize)]
pub(crate) struct Summary {
    result: &'static str,
    job: String,
    currency: String,
    /// Price before tax.
    price: String,
    /// Price with tax.
    total: String,
    /// What was minimised, unrounded.
    direct_cost: f64,
    /// Proven lower bound on the direct cost.
    bound: Option<f64>,
    gap_percent: Option<f64>,
    proven_optimal: bool,
    /// Why the search ended early, if it did.
    stopped: Option<&'static str>,
    fixtures: u32,
    circuits: usize,
    transformers: usize,
    labour_hours: String,
    length_unit: String,
    cable_length: String,
    trench_length: String,
    tightest: Option<Tightest>,
    files: Vec<String>,
}

/// The fixture closest to an end of its window.
#[derive(Debug, Serialize)]
struct Tightest {
    fixture: String,
    circuit: String,
    low_case_v: f64,
    high_case_v: f64,
    window_low_v: f64,
    window_high_v: f64,
    margin_v: f64,
}

impl Tightest {
    fn of(row: &FixtureRow) -> Self {
        Self {
            fixture: row.tag.clone(),
            circuit: row.circuit.clone(),
            low_case_v: row.low.value(),
            high_case_v: row.high.value(),
            window_low_v: row.window_min.value(),
            window_high_v: row.window_max.value(),
            margin_v: row.margin.value(),
        }
    }
}

impl Summary {
    /// The account of a checked plan whose files are in `folder`.
    pub(crate) fn of(dossier: &Dossier, stopped: Option<Stopped>, folder: &Path) -> Self {
        let standing = &dossier.header.standing;
        let cost = dossier.bill.direct.cost.value();
        let bound = standing.bound.map(|bound| bound.value());
        let tightest = dossier
            .fixtures
            .iter()
            .min_by(|one, other| one.margin.value().total_cmp(&other.margin.value()));
        Self {
            result: Exit::Feasible.word(),
            job: dossier.header.job.clone(),
            currency: dossier.header.currency.clone(),
            price: dossier.bill.price.to_string(),
            total: dossier.bill.total.to_string(),
            direct_cost: cost,
            bound,
            gap_percent: bound.map(|bound| gap_percent(cost, bound)),
            proven_optimal: standing.status == Status::Optimal,
            stopped: stopped.map(Stopped::words),
            fixtures: dossier.header.fixtures,
            circuits: dossier.circuits.len(),
            transformers: dossier.transformers.len(),
            labour_hours: dossier.bill.hours.to_string(),
            length_unit: dossier.header.length_unit.clone(),
            cable_length: dossier
                .circuits
                .iter()
                .map(|row| row.cable)
                .sum::<rust_decimal::Decimal>()
                .to_string(),
            trench_length: dossier.trenches.length.to_string(),
            tightest: tightest.map(Tightest::of),
            files: staging::PLAN
                .files
                .iter()
                .map(|name| folder.join(name).display().to_string())
                .collect(),
        }
    }

    /// For people, one fact a line.
    pub(crate) fn text(&self) -> String {
        let mut out = format!(
            "{}: {}, {}, {}\n\n",
            self.job,
            counted(self.fixtures as usize, "fixture"),
            counted(self.circuits, "circuit"),
            counted(self.transformers, "transformer"),
        );
        let unit = &self.length_unit;
        let mut fact = |name: &str, text: String| {
            let _infallible = writeln!(out, "  {name:<18} {text}");
        };
        fact(
            "price",
            format!("{} {} ({} with tax)", self.price, self.currency, self.total),
        );
        fact(
            "direct cost",
            format!(
                "{:.2} {} (what was minimised)",
                self.direct_cost, self.currency
            ),
        );
        fact("proven bound", self.bound_words());
        fact("labour", format!("{} h", self.labour_hours));
        fact("cable", format!("{} {unit}", self.cable_length));
        fact("ground opened", format!("{} {unit}", self.trench_length));
        if let Some(tight) = &self.tightest {
            fact("tightest fixture", tight.words());
        }
        if let Some(words) = self.stopped {
            fact(
                "search",
                format!("{words}; a longer one may find a cheaper plan"),
            );
        }
        for file in &self.files {
            fact("written", file.clone());
        }
        out
    }

    fn bound_words(&self) -> String {
        match (self.bound, self.gap_percent) {
            _ if self.proven_optimal => "no plan costs less: this one is proven optimal".to_owned(),
            (Some(bound), Some(gap)) => {
                format!(
                    "no plan costs less than {bound:.2} {}: gap {gap:.1} %",
                    self.currency
                )
            }
            _ => "none found; nothing is known about cheaper plans".to_owned(),
        }
    }
}

impl Tightest {
    fn words(&self) -> String {
        format!(
            "{} on {}: {:.digits$} to {:.digits$} V in a window of {} to {} V",
            self.fixture,
            self.circuit,
            self.low_case_v,
            self.high_case_v,
            self.window_low_v,
            self.window_high_v,
            digits = VOLT_DECIMALS,
        )
    }
}

/// `1 circuit`, `3 circuits`.
pub(crate) fn counted(count: usize, thing: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {thing}{ending}")
}
