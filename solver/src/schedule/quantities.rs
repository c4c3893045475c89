//! What to bring: cable, hubs, splices, transformers, fixtures.

use super::dossier::Scope;
use super::field::{CableTotal, CountRow, Quantities};

/// The quantities of a plan, each table in catalogue order, things used only.
pub(super) fn of(scope: &Scope<'_>) -> Quantities {
    let (job, take) = (scope.job, scope.take);
    Quantities {
        cables: job
            .cables
            .iter()
            .zip(&take.cables)
            .filter(|(_, used)| used.pieces > 0)
            .map(|(cable, used)| CableTotal {
                cable: cable.tag.clone(),
                gauge: cable.gauge.clone(),
                pieces: used.pieces,
                length: job.units.grid().decimal(used.length),
            })
            .collect(),
        hubs: counted(job.hubs.iter().map(|kind| &kind.tag), &take.hubs),
        joints: counted(job.joints.iter().map(|kind| &kind.tag), &take.joints),
        transformers: counted(
            job.transformers.iter().map(|model| &model.tag),
            &take.transformers,
        ),
        fixtures: counted(
            job.models.iter().map(|model| &model.tag),
            &new_fixtures(scope),
        ),
    }
}

fn counted<'a>(tags: impl Iterator<Item = &'a String>, counts: &[u32]) -> Vec<CountRow> {
    tags.zip(counts)
        .filter(|(_, count)| **count > 0)
        .map(|(tag, &count)| CountRow {
            tag: tag.clone(),
            count,
        })
        .collect()
}

/// New fixtures fed, by model.
fn new_fixtures(scope: &Scope<'_>) -> Vec<u32> {
    let mut counts = vec![0; scope.job.models.len()];
    for &id in &scope.take.fixtures {
        let fixture = scope.job.fixture(id);
        if !fixture.existing {
            counts[fixture.model.index()] += 1;
        }
    }
    counts
}
