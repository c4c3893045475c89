//! One row a circuit: where it lands, what it carries, its weakest fixture, and
//! whether a short at its end would trip the breaker.

use super::dossier::Scope;
use super::model::CircuitRow;
use super::taps::taps_above;
use crate::ids::{FixtureId, JointId};
use crate::job::Window;
use crate::plan::Circuit;
use crate::units::{Amperes, GridSteps, Metres, Volts};

/// Multiple of its rating below which a breaker may take minutes, or never trip.
///
/// Moulded-case breakers must trip at 200 % of their rating within 2 minutes up
/// to 30 A (UL 489, calibration test; value from memory) and need not trip at
/// once below several times their rating. A current below twice the rating is
/// therefore called out.
const SURE_TRIP_MULTIPLE: f64 = 2.0;

/// The rows, by transformer, then in the order of the plan.
pub(super) fn rows(scope: &Scope<'_>) -> Vec<CircuitRow> {
    scope
        .labels
        .order
        .iter()
        .map(|&index| row(scope, index))
        .collect()
}

fn row(scope: &Scope<'_>, index: usize) -> CircuitRow {
    let job = scope.job;
    let circuit = &scope.plan.circuits[index];
    let cases = &scope.cases.circuits[index];
    let model = job.transformer(scope.plan.transformers[circuit.transformer.index()].model(job));
    let secondary = &model.secondaries[circuit.secondary];
    let tap = &secondary.taps[circuit.tap];
    let home_run = job.cable(circuit.home_run().cable);
    let lengths = piece_lengths(scope, circuit);
    let grid = job.units.grid();
    let advice = &scope.advice[index];
    let lowest = advice.weakest;
    let weakest = &circuit.joints[circuit.leads[lowest].joint.index()];
    let last = last(scope, circuit, &lengths);
    let tag = |lead: usize| job.fixture(circuit.leads[lead].fixture).tag.clone();
    let window = job.model_of(circuit.leads[lowest].fixture).window;
    CircuitRow {
        label: scope.labels.circuits[index].clone(),
        transformer: scope.labels.transformers[circuit.transformer.index()].clone(),
        secondary: secondary.tag.clone(),
        tap: tap.tag.clone(),
        tap_volts: tap.volts,
        common: secondary.commons[circuit.common].tag.clone(),
        zone: zone(scope, circuit),
        gauge: home_run.gauge.clone(),
        home_run: grid.decimal(lengths[0]),
        cable: grid.decimal(lengths.iter().copied().sum()),
        fixtures: u32::try_from(circuit.leads.len()).expect("fixture ids are 32-bit"),
        amps: cases.low.pieces[0],
        expected_amps: cases.expected.home_run(),
        limit: secondary.continuous_limit().min(home_run.ampacity),
        load: cases.low.apparent,
        source_volts: cases.expected.source,
        source_low: cases.low.source,
        source_high: cases.high.source,
        lowest_fixture: tag(lowest),
        lowest_volts: cases.low.fixtures[lowest],
        lowest_window_min: window.min(),
        lowest_window_max: window.max(),
        window_min: extreme(&window_ends(scope, circuit, Window::min), Volts::max),
        window_max: extreme(&window_ends(scope, circuit, Window::max), Volts::min),
        last_fixture: tag(last),
        last_volts: cases.expected.fixtures[last],
        line_low_volts: cases
            .line_low
            .as_ref()
            .map(|state| extreme(&state.fixtures, Volts::min)),
        line_high_volts: cases
            .line_high
            .as_ref()
            .map(|state| extreme(&state.fixtures, Volts::max)),
        end_short: cases.end_short,
        breaker: secondary.breaker,
        may_not_trip: may_not_trip(cases.end_short, secondary.breaker),
        taps_above: taps_above(scope, circuit, advice),
        spare: advice.spare,
        extension: advice
            .extension
            .map(|longest| grid.decimal(grid.floor(longest))),
        extension_gauge: job.cable(weakest.incoming.cable).gauge.clone(),
        loading_margin_percent: advice.loading_margin.percent(),
    }
}

/// Whether a short of this current may leave the breaker closed for long.
fn may_not_trip(short: Amperes, breaker: Amperes) -> bool {
    short < breaker * SURE_TRIP_MULTIPLE
}

fn extreme(volts: &[Volts], pick: fn(Volts, Volts) -> Volts) -> Volts {
    let chosen = volts.iter().copied().reduce(pick);
    chosen.expect("a circuit feeds at least one fixture")
}

/// One end of the window of every fixture.
fn window_ends(scope: &Scope<'_>, circuit: &Circuit, end: fn(Window) -> Volts) -> Vec<Volts> {
    let fixtures = circuit.leads.iter();
    fixtures
        .map(|run| end(scope.job.model_of(run.fixture).window))
        .collect()
}

/// Bought length of every piece, in the order of the joints.
pub(super) fn piece_lengths(scope: &Scope<'_>, circuit: &Circuit) -> Vec<GridSteps> {
    (0..circuit.joints.len())
        .map(|joint| {
            circuit
                .piece_length(scope.job, scope.plan, JointId::new(joint))
                .bought
        })
        .collect()
}

/// Cable from the terminals to every joint, in the order of the joints.
pub(super) fn along(circuit: &Circuit, lengths: &[GridSteps]) -> Vec<GridSteps> {
    let mut along: Vec<GridSteps> = Vec::with_capacity(lengths.len());
    for (joint, &length) in circuit.joints.iter().zip(lengths) {
        let before = joint.incoming.from;
        let before = before.map_or(GridSteps(0), |from| along[from.index()]);
        along.push(before + length);
    }
    along
}

/// The lead whose fixture is farthest along cable and lead; the first of equals.
fn last(scope: &Scope<'_>, circuit: &Circuit, lengths: &[GridSteps]) -> usize {
    let along = along(circuit, lengths);
    let distance = |lead: usize| {
        let run = &circuit.leads[lead];
        scope.job.units.grid().metres(along[run.joint.index()]) + lead_length(scope, run.fixture)
    };
    first_least(circuit.leads.len(), |lead| -distance(lead).value())
}

pub(super) fn lead_length(scope: &Scope<'_>, fixture: FixtureId) -> Metres {
    let lead = scope.job.model_of(fixture).lead;
    lead.map_or(Metres::ZERO, |lead| lead.length)
}

/// The first position with the least key.
fn first_least(count: usize, key: impl Fn(usize) -> f64) -> usize {
    let least = (0..count).min_by(|&a, &b| key(a).total_cmp(&key(b)));
    least.expect("a circuit feeds at least one fixture")
}

fn zone(scope: &Scope<'_>, circuit: &Circuit) -> Option<String> {
    let zoned = circuit.leads.iter();
    let id = zoned
        .filter_map(|run| scope.job.fixture(run.fixture).zone)
        .next()?;
    Some(scope.job.zone(id).tag.clone())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_below_twice_the_rating_may_not_trip() {
        assert!(may_not_trip(Amperes::new(49.9), Amperes::new(25.0)));
        assert!(!may_not_trip(Amperes::new(50.0), Amperes::new(25.0)));
    }

    #[test]
    fn of_equal_keys_the_first_is_taken() {
        assert_eq!(first_least(4, |index| [2.0, 1.0, 1.0, 3.0][index]), 1);
    }
}
