//! One row a fixture: where it hangs, what the meter should read, how much room
//! its window leaves.

use super::circuits::{along, lead_length, piece_lengths};
use super::dossier::Scope;
use super::labels::Labels;
use super::model::FixtureRow;
use crate::bill::shown_length;
use crate::electrical::cases::CaseState;
use crate::ids::FixtureId;

/// The rows, in job order.
pub(super) fn rows(scope: &Scope<'_>) -> Vec<FixtureRow> {
    let mut rows: Vec<(FixtureId, FixtureRow)> = Vec::with_capacity(scope.take.fixtures.len());
    for index in 0..scope.plan.circuits.len() {
        for (lead, run) in scope.plan.circuits[index].leads.iter().enumerate() {
            rows.push((run.fixture, row(scope, index, lead, run.fixture)));
        }
    }
    rows.sort_by_key(|(id, _)| *id);
    rows.into_iter().map(|(_, row)| row).collect()
}

fn row(scope: &Scope<'_>, circuit: usize, lead: usize, id: FixtureId) -> FixtureRow {
    let job = scope.job;
    let cases = &scope.cases.circuits[circuit];
    let fixture = job.fixture(id);
    let model = job.model(fixture.model);
    let (low, high) = (cases.low.fixtures[lead], cases.high.fixtures[lead]);
    let (run, grid) = (&scope.plan.circuits[circuit], job.units.grid());
    let joint = run.leads[lead].joint;
    let cable = along(run, &piece_lengths(scope, run))[joint.index()];
    let solved = |state: &Option<CaseState>| state.as_ref().map(|state| state.fixtures[lead]);
    FixtureRow {
        tag: fixture.tag.clone(),
        model: model.tag.clone(),
        node: job.node(fixture.node).tag.clone(),
        zone: fixture.zone.map(|zone| job.zone(zone).tag.clone()),
        section: fixture.section.clone(),
        existing: fixture.existing,
        circuit: scope.labels.circuits[circuit].clone(),
        joint: Labels::joint(circuit, joint),
        along: grid.decimal(cable) + shown_length(job, lead_length(scope, id)),
        expected: cases.expected.fixtures[lead],
        low,
        high,
        line_low: solved(&cases.line_low),
        line_high: solved(&cases.line_high),
        window_min: model.window.min(),
        window_max: model.window.max(),
        margin: (low - model.window.min()).min(model.window.max() - high),
        apparent: model.apparent,
    }
}
