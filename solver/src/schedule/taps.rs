//! Room to move up: higher taps that a circuit could be moved to.

use super::cases::CircuitCases;
use super::dossier::Scope;
use crate::ids::PlacedId;
use crate::job::{Secondary, Tap};
use crate::plan::{Circuit, TransformerSource};
use crate::units::Volts;

/// Higher taps of the same secondary that the rules allow, that have a free lug
/// for the home run, and on which no fixture would pass the high end of its
/// window; lowest first.
///
/// # Source
/// Own bound. Let `v` be a fixture's high-case voltage, `s` the source, `s'`
/// the source on the other tap (in proportion to the tap voltages), `m` the
/// lowest fixture voltage of the circuit. Under the load law a fixture's
/// current scales as `V^(n-1)` with `n >= 0`, and no voltage passes `s'`, so no
/// current falls below `m / s'` of its former value and the new voltage is at
/// most `s' - (s - v) m / s'`. In-phase arithmetic; the plan is not solved again.
pub(super) fn taps_above(
    scope: &Scope<'_>,
    circuit: &Circuit,
    cases: &CircuitCases,
) -> Vec<String> {
    let job = scope.job;
    let placed = &scope.plan.transformers[circuit.transformer.index()];
    let model = job.transformer(placed.model(job));
    let secondary = &model.secondaries[circuit.secondary];
    let now = secondary.taps[circuit.tap].volts;
    let size = job.cable(circuit.home_run().cable).size;
    let mut above: Vec<(usize, &Tap)> = secondary
        .taps
        .iter()
        .enumerate()
        .filter(|(_, tap)| tap.volts > now && tap.volts <= job.rules.highest_tap)
        .filter(|(_, tap)| tap.takes.fits(size))
        .filter(|(index, tap)| used(scope, circuit, secondary, *index) < tap.lugs)
        .filter(|(_, tap)| stays_below(scope, circuit, cases, tap.volts / now))
        .collect();
    above.sort_by(|a, b| a.1.volts.value().total_cmp(&b.1.volts.value()));
    above.into_iter().map(|(_, tap)| tap.tag.clone()).collect()
}

/// Lugs in use on another tap of the circuit's secondary.
fn used(scope: &Scope<'_>, circuit: &Circuit, secondary: &Secondary, tap: usize) -> u32 {
    debug_assert!(tap < secondary.taps.len());
    let same = |other: &&Circuit| {
        (other.transformer, other.secondary, other.tap)
            == (circuit.transformer, circuit.secondary, tap)
    };
    let new = scope.plan.circuits.iter().filter(same).count();
    let new = u32::try_from(new).expect("circuits are fewer than fixtures");
    new + present(scope, circuit.transformer, circuit.secondary, tap)
}

fn present(scope: &Scope<'_>, placed: PlacedId, secondary: usize, tap: usize) -> u32 {
    match scope.plan.transformers[placed.index()].source {
        TransformerSource::New(_) => 0,
        TransformerSource::Existing(id) => {
            let lugs = &scope.job.existing_transformer(id).tap_lugs_used;
            let on_tap = lugs.get(secondary).and_then(|taps| taps.get(tap));
            on_tap.copied().unwrap_or(0)
        }
    }
}

fn stays_below(scope: &Scope<'_>, circuit: &Circuit, cases: &CircuitCases, factor: f64) -> bool {
    let high = &cases.high;
    let raised = high.source * factor;
    let lowest = high.fixtures.iter().copied().fold(high.source, Volts::min);
    circuit
        .leads
        .iter()
        .zip(&high.fixtures)
        .all(|(run, &volts)| {
            let drop = (high.source - volts) * (lowest / raised);
            let most = scope.job.model_of(run.fixture).window.max() - scope.job.rules.margins.high;
            raised - drop <= most
        })
}
