//! Voltage profiles: the voltage of each circuit against the length of cable.

use super::charts::{Profile, Reading};
use crate::format;
use duskwright_solver::schedule::{CircuitRow, Dossier};
use duskwright_solver::units::Volts;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// The note that goes with profiles.
pub const NOTE: &str = "Voltage against length of cable from the terminals, leads included. Solid: expected case; dashed: low case; \
     dotted: high case (where it was solved with one zone alone, the highest of each point). Shaded: the window of the \
     fixtures, of each by itself where they differ.";

/// The profiles of some circuits, in the order of the papers.
pub fn of(dossier: &Dossier, chosen: impl Fn(&CircuitRow) -> bool) -> Vec<Profile> {
    dossier
        .circuits
        .iter()
        .enumerate()
        .filter(|(_, row)| chosen(row))
        .map(|(circuit, row)| profile(dossier, circuit, row))
        .collect()
}

fn number(length: Decimal) -> f64 {
    length.to_f64().unwrap_or(0.0)
}

fn profile(dossier: &Dossier, circuit: usize, row: &CircuitRow) -> Profile {
    let joints: Vec<_> = dossier
        .joints
        .iter()
        .filter(|joint| joint.circuit == row.label)
        .collect();
    let fixtures: Vec<_> = dossier
        .fixtures
        .iter()
        .filter(|fixture| fixture.circuit == row.label)
        .collect();
    // The voltage at a label: of a joint, or (for the home run) of the terminals.
    let at = |label: &str, of: &dyn Fn(usize) -> Volts, source: Volts| -> Reading {
        joints
            .iter()
            .position(|joint| joint.id == label)
            .map_or((0.0, source.value()), |found| {
                (number(joints[found].along), of(found).value())
            })
    };
    let edges = |of: &dyn Fn(usize) -> Volts, lamp: &dyn Fn(usize) -> Volts, source: Volts| {
        let pieces = joints
            .iter()
            .map(|joint| (at(&joint.from, of, source), at(&joint.id, of, source)));
        let leads = fixtures.iter().enumerate().map(|(index, fixture)| {
            let end = (number(fixture.along), lamp(index).value());
            (at(&fixture.joint, of, source), end)
        });
        pieces.chain(leads).collect()
    };
    Profile {
        title: format!(
            "{}: tap {}, {}\u{a0}V at the terminals",
            row.label,
            row.tap,
            format::fixed(row.source_volts.value(), 2),
        ),
        circuit,
        length_unit: dossier.header.length_unit.clone(),
        cases: [
            edges(
                &|joint| joints[joint].high,
                &|lamp| fixtures[lamp].high,
                row.source_high,
            ),
            edges(
                &|joint| joints[joint].expected,
                &|lamp| fixtures[lamp].expected,
                row.source_volts,
            ),
            edges(
                &|joint| joints[joint].low,
                &|lamp| fixtures[lamp].low,
                row.source_low,
            ),
        ],
        fixtures: fixtures
            .iter()
            .map(|fixture| {
                let window = (fixture.window_min.value(), fixture.window_max.value());
                ((number(fixture.along), fixture.expected.value()), window)
            })
            .collect(),
    }
}
