//! The sheet of expected readings: steps in words, rows with bands, text for a spreadsheet.

use super::bands::{Band, Draws, bands};
use super::order::{Stage, Step, steps};
use crate::cells::{names, table, text};
use crate::ids::PlacedId;
use crate::job::Job;
use crate::plan::Plan;
use crate::schedule::tables::number;
use crate::service::circuitry::Circuitry;
use crate::service::condition::Condition;
use crate::service::point::{Measurement, Names, Quantity};
use crate::service::{mains_volts, stage_words};

/// One reading to take.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingRow {
    /// Where and what.
    pub measurement: Measurement,
    /// Where, by name.
    pub place: String,
    /// What it should be.
    pub band: Band,
}

/// One step with its readings.
#[derive(Clone, Debug, PartialEq)]
pub struct StepRows {
    /// Counted from 1 through the whole job.
    pub number: u32,
    /// Letter of the transformer.
    pub transformer: String,
    /// Label of the circuit that the step is about, if it is about one.
    pub circuit: Option<String>,
    /// What is connected.
    pub stage: Stage,
    /// The stage by name, as in the file.
    pub stage_name: String,
    /// What to do before reading, one sentence.
    pub action: String,
    /// What to read.
    pub rows: Vec<ReadingRow>,
}

/// All expected readings of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Name of the job.
    pub job: String,
    /// Mains voltage taken as nominal, V.
    pub mains_v: f64,
    /// How the bands were drawn.
    pub draws: Draws,
    /// Steps in order.
    pub steps: Vec<StepRows>,
}

impl Sheet {
    /// Works out the readings of a plan: [`Draws::count`] power flows for each step.
    ///
    /// # Panics
    /// When the ids of the plan were made for another job, or fewer than 40 are drawn.
    #[must_use]
    pub fn of(job: &Job, plan: &Plan, draws: &Draws) -> Self {
        assert!(draws.count >= 40, "bands of 95 % need at least 40 draws");
        let mut made = Self {
            job: job.name.clone(),
            mains_v: mains_volts(job),
            draws: *draws,
            steps: Vec::new(),
        };
        for transformer in (0..plan.transformers.len()).map(PlacedId::new) {
            let circuitry = Circuitry::of(job, plan, transformer);
            if circuitry.runs.is_empty() {
                continue;
            }
            let names = Names::of(job, plan, transformer, &circuitry);
            let healthy = Condition::healthy(circuitry.clone(), made.mains_v);
            for step in steps(plan, &circuitry) {
                let number = u32::try_from(made.steps.len() + 1).expect("far fewer steps");
                made.steps
                    .push(step_rows(number, &names, &healthy, &step, draws));
            }
        }
        made
    }

    /// The sheet as comma-separated text with a blank column to fill in.
    ///
    /// The columns `place`, `quantity`, `stage` and `reading` are those that a diagnosis reads.
    #[must_use]
    pub fn csv(&self) -> String {
        let header = names([
            "step",
            "stage",
            "transformer",
            "circuit",
            "place",
            "quantity",
            "unit",
            "expected",
            "from",
            "to",
            "reading",
        ]);
        let rows = self.steps.iter().flat_map(|step| {
            step.rows.iter().map(move |row| {
                let quantity = row.measurement.quantity;
                let digits = decimals(quantity);
                vec![
                    step.number.to_string(),
                    text(&step.stage_name),
                    step.transformer.clone(),
                    step.circuit.clone().unwrap_or_default(),
                    text(&row.place),
                    quantity.word().to_owned(),
                    quantity.unit().to_owned(),
                    number(row.band.expected, digits),
                    number(row.band.low, digits),
                    number(row.band.high, digits),
                    String::new(),
                ]
            })
        });
        table(&header, rows)
    }
}

/// Decimals to which a quantity is read.
const fn decimals(quantity: Quantity) -> usize {
    match quantity {
        Quantity::VoltAmperes => 0,
        _ => 2,
    }
}

fn step_rows(
    number: u32,
    names: &Names<'_>,
    healthy: &Condition,
    step: &Step,
    draws: &Draws,
) -> StepRows {
    let rows = step.readings.iter().zip(bands(healthy, step, draws));
    let letter = names.transformer();
    let (circuit, action) = match step.stage {
        Stage::Unloaded => (
            None,
            format!(
                "Transformer {letter}, no home run on its lugs: energise and read each tap against its common."
            ),
        ),
        Stage::FirstFixture(run, lead) => (
            Some(run),
            format!(
                "De-energise. Lay circuit {} to its first fixture, {}, and land its home run. Energise with that fixture alone.",
                names.circuit(run),
                names.fixture(run, lead)
            ),
        ),
        Stage::Run(run) => (
            Some(run),
            format!(
                "De-energise. Complete circuit {}; all other home runs stay off their lugs. Energise; read before the joints are sealed.",
                names.circuit(run)
            ),
        ),
        Stage::AllOn => (
            None,
            format!(
                "De-energise. Land every home run of transformer {letter}. Energise with everything on."
            ),
        ),
    };
    StepRows {
        number,
        transformer: letter.to_owned(),
        circuit: circuit.map(|run| names.circuit(run).to_owned()),
        stage: step.stage,
        stage_name: stage_words(step.stage, names),
        action,
        rows: rows
            .map(|(&measurement, band)| ReadingRow {
                measurement,
                place: names.point(measurement.point),
                band,
            })
            .collect(),
    }
}
