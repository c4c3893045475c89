//! Room to move up: higher taps that a circuit could be moved to.

use super::dossier::Scope;
use crate::electrical::advice::CircuitAdvice;
use crate::ids::PlacedId;
use crate::job::Tap;
use crate::plan::{Circuit, TransformerSource};

/// Higher taps of the same secondary, lowest first, that the rules allow, that
/// have a free lug for the home run, and on which every window and limit holds
/// when the transformer is solved again.
pub(super) fn taps_above(
    scope: &Scope<'_>,
    circuit: &Circuit,
    advice: &CircuitAdvice,
) -> Vec<String> {
    let job = scope.job;
    let placed = &scope.plan.transformers[circuit.transformer.index()];
    let secondary = &job.transformer(placed.model(job)).secondaries[circuit.secondary];
    let now = secondary.taps[circuit.tap].volts;
    let size = job.cable(circuit.home_run().cable).size;
    let mut above: Vec<&Tap> = advice
        .taps
        .iter()
        .filter(|trial| trial.works)
        .map(|trial| (trial.tap, &secondary.taps[trial.tap]))
        .filter(|(_, tap)| tap.volts > now && tap.takes.fits(size))
        .filter(|(index, tap)| used(scope, circuit, *index) < tap.lugs)
        .map(|(_, tap)| tap)
        .collect();
    above.sort_by(|a, b| a.volts.value().total_cmp(&b.volts.value()));
    above.into_iter().map(|tap| tap.tag.clone()).collect()
}

/// Lugs in use on another tap of the circuit's secondary.
fn used(scope: &Scope<'_>, circuit: &Circuit, tap: usize) -> u32 {
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
