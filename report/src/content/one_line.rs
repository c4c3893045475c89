//! One-line diagrams: each transformer with its secondaries, breakers and circuits.

use crate::format;
use duskwright_solver::schedule::{CircuitRow, Dossier, SecondaryRow, TransformerRow};

/// A circuit leaving a bus.
#[derive(Clone, Debug, PartialEq)]
pub struct Feeder {
    /// The circuit (position in the dossier): picks colour and pattern.
    pub circuit: usize,
    /// What stands above its line: terminals, cable, current.
    pub cable: String,
    /// What stands at its end: loads and the last fixture.
    pub end: String,
}

/// A secondary with its breaker.
#[derive(Clone, Debug, PartialEq)]
pub struct Bus {
    /// Name, below the transformer's sign.
    pub name: String,
    /// Rating, below the breaker's sign.
    pub breaker: String,
    /// Circuits, in the order of the plan.
    pub feeders: Vec<Feeder>,
}

/// The diagram of one transformer.
#[derive(Clone, Debug, PartialEq)]
pub struct OneLine {
    /// Label of the transformer.
    pub transformer: String,
    /// Label, model, loading.
    pub heading: String,
    /// Secondaries that feed something.
    pub buses: Vec<Bus>,
}

/// One diagram for each transformer that feeds something.
pub fn diagrams(dossier: &Dossier) -> Vec<OneLine> {
    dossier
        .transformers
        .iter()
        .map(|row| OneLine {
            transformer: row.label.clone(),
            heading: heading(row),
            buses: row
                .secondaries
                .iter()
                .map(|secondary| bus(dossier, row, secondary))
                .filter(|bus| !bus.feeders.is_empty())
                .collect(),
        })
        .filter(|diagram| !diagram.buses.is_empty())
        .collect()
}

fn heading(row: &TransformerRow) -> String {
    format!(
        "Transformer {}: {} at {}, {} of {} VA allowed",
        row.label,
        row.model,
        row.site,
        format::fixed(row.load.value(), 1),
        format::fixed(row.permitted.value(), 1),
    )
}

fn bus(dossier: &Dossier, transformer: &TransformerRow, secondary: &SecondaryRow) -> Bus {
    let unit = &dossier.header.length_unit;
    let belongs =
        |row: &CircuitRow| row.transformer == transformer.label && row.secondary == secondary.tag;
    Bus {
        name: format!("secondary {}", secondary.tag),
        breaker: format!("{}\u{a0}A", format::trimmed(secondary.breaker.value(), 1)),
        feeders: dossier
            .circuits
            .iter()
            .enumerate()
            .filter(|(_, row)| belongs(row))
            .map(|(circuit, row)| Feeder {
                circuit,
                cable: cable(row, unit),
                end: end(row),
            })
            .collect(),
    }
}

fn cable(row: &CircuitRow, unit: &str) -> String {
    format!(
        "{}: tap {}, common {}, {}, home run {} {unit}, {} A",
        row.label,
        row.tap,
        row.common,
        row.gauge,
        format::length(row.home_run),
        format::fixed(row.amps.value(), 2),
    )
}

fn end(row: &CircuitRow) -> String {
    format!(
        "{} fixtures, {} VA; last {}: {} V expected",
        row.fixtures,
        format::fixed(row.load.value(), 1),
        row.last_fixture,
        format::fixed(row.last_volts.value(), 2),
    )
}
