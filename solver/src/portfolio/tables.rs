//! The portfolio as comma-separated text for spreadsheets.

use super::model::{Fate, JobFigures, PortfolioRow};
use super::totals::{CableSum, Portfolio};
use crate::cells::{names, table, text};

/// Columns before those of the cable.
const FIRST: [&str; 16] = [
    "row",
    "job",
    "name",
    "result",
    "currency",
    "price",
    "price_with_tax",
    "direct_cost",
    "bound",
    "gap_pct",
    "fixtures",
    "circuits",
    "transformers_new",
    "transformers_standing",
    "hours",
    "length_unit",
];

impl Portfolio {
    /// `portfolio.csv`: a row for each job, then one for the sums in each currency.
    #[must_use]
    pub fn csv(&self) -> String {
        let cable = self
            .cable
            .iter()
            .map(|sum| text(&format!("cable_{}_{}", sum.gauge, sum.unit)));
        let mut header = names(FIRST);
        header.extend(cable);
        header.extend(names(["ground_opened", "exceptions", "reason"]));
        let width = header.len();
        let jobs = self.rows.iter().map(|row| self.job_cells(row, width));
        let sums = self.money.iter().enumerate().map(|(at, sum)| {
            let mut cells = vec![String::new(); width];
            cells[0] = "total".to_owned();
            cells[1] = sum.jobs.to_string();
            cells[4] = text(&sum.currency);
            cells[5] = sum.price.to_string();
            cells[6] = sum.total.to_string();
            cells[7] = money(sum.direct_cost);
            cells[8] = sum.bound.map(money).unwrap_or_default();
            cells[9] = sum.gap().map(percent).unwrap_or_default();
            // What has no currency is summed once, over all.
            if at == 0 {
                cells[10] = self.fixtures.to_string();
                cells[14] = self.hours.to_string();
                for (cell, sum) in cells[FIRST.len()..].iter_mut().zip(&self.cable) {
                    *cell = sum.length.to_string();
                }
            }
            cells
        });
        table(&header, jobs.chain(sums))
    }

    fn job_cells(&self, row: &PortfolioRow, width: usize) -> Vec<String> {
        let mut cells = vec!["job".to_owned(), text(&row.job)];
        match &row.fate {
            Fate::Planned(figures) => {
                cells.extend(planned_cells(figures));
                let lengths = self.cable.iter().map(|sum| length(figures, sum));
                cells.extend(lengths);
                cells.push(figures.trench.to_string());
                cells.push(text(&figures.exceptions.join("; ")));
                cells.push(String::new());
            }
            Fate::Failed { result, reason } => {
                cells.resize(width, String::new());
                cells[3].clone_from(result);
                cells[width - 1] = text(reason);
            }
            Fate::Missing => {
                cells.resize(width, String::new());
                cells[3] = "not planned yet".to_owned();
            }
        }
        cells
    }
}

fn planned_cells(figures: &JobFigures) -> Vec<String> {
    let transformers = figures.transformers.iter();
    let transformers: Vec<String> = transformers
        .map(|row| format!("{} x {}", row.count, row.model))
        .collect();
    vec![
        text(&figures.name),
        if figures.optimal {
            "optimal"
        } else {
            "feasible"
        }
        .to_owned(),
        text(&figures.currency),
        figures.price.to_string(),
        figures.total.to_string(),
        money(figures.direct_cost),
        figures.bound.map(money).unwrap_or_default(),
        figures.gap().map(percent).unwrap_or_default(),
        figures.fixtures.to_string(),
        figures.circuits.to_string(),
        transformers.join("; "),
        figures.standing.to_string(),
        figures.hours.to_string(),
        figures.length_unit.clone(),
    ]
}

fn length(figures: &JobFigures, sum: &CableSum) -> String {
    let same = figures.length_unit == sum.unit;
    let row = figures
        .cable
        .iter()
        .find(|row| same && row.gauge == sum.gauge);
    row.map(|row| row.length.to_string()).unwrap_or_default()
}

fn money(amount: f64) -> String {
    format!("{amount:.2}")
}

fn percent(share: f64) -> String {
    format!("{:.2}", share * 100.0)
}
