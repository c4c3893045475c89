//! Which secondaries of a transformer can be on while others are off.

use crate::ids::{PlacedId, ZoneId};
use crate::job::{Job, Switched};
use crate::plan::{Plan, TransformerSource};

/// Which secondaries are on, by position in the model's list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Switching {
    /// On or off.
    pub on: Vec<bool>,
}

/// Every switching of a transformer that the high case looks at: all on, first; then
/// what each zone switches alone; then the secondaries that no zone switches alone.
///
/// A fixture without a zone goes on with the secondary it hangs on, and so does load
/// that an existing transformer carries already. A zone that switches whole
/// transformers leaves only "all on".
#[must_use]
pub fn switchings(job: &Job, plan: &Plan, transformer: PlacedId) -> Vec<Switching> {
    let placed = &plan.transformers[transformer.index()];
    let count = job.transformer(placed.model(job)).secondaries.len();
    let all = Switching {
        on: vec![true; count],
    };
    let zones = secondary_zones(job, plan, transformer, count);
    let whole = |zone: ZoneId| job.zone(zone).switched == Switched::Transformer;
    if zones.iter().flatten().any(|&zone| whole(zone)) {
        return vec![all];
    }
    let mut distinct: Vec<ZoneId> = zones.iter().flatten().copied().collect();
    distinct.sort_unstable();
    distinct.dedup();
    let alone = distinct.into_iter().map(Some).chain([None]);
    let mut found = vec![all];
    for zone in alone {
        let on: Vec<bool> = zones.iter().map(|&of| of == zone).collect();
        if on.contains(&true) && !found.iter().any(|known| known.on == on) {
            found.push(Switching { on });
        }
    }
    found
}

/// Zone of each secondary: the one that switches an existing transformer already, else that
/// of the secondary's first zoned fixture. `count`: secondaries of the transformer.
///
/// # Panics
/// When the ids of the plan were made for another job.
#[must_use]
pub fn secondary_zones(
    job: &Job,
    plan: &Plan,
    transformer: PlacedId,
    count: usize,
) -> Vec<Option<ZoneId>> {
    let mut zones = vec![None; count];
    if let TransformerSource::Existing(id) = plan.transformers[transformer.index()].source {
        zones.fill(job.existing_transformer(id).zone);
    }
    for circuit in plan
        .circuits
        .iter()
        .filter(|circuit| circuit.transformer == transformer)
    {
        let first = circuit
            .leads
            .iter()
            .find_map(|lead| job.fixture(lead.fixture).zone);
        let zone = &mut zones[circuit.secondary];
        *zone = zone.or(first);
    }
    zones
}
