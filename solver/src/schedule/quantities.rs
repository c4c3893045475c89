//! What to bring: cable, hubs, splices, transformers, fixtures.

use super::dossier::Scope;
use super::field::{CableTotal, CountRow, Quantities, SectionRow};

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
        sections: sections(scope),
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

/// Fixtures fed, counted by section, model and whether they stand already.
fn sections(scope: &Scope<'_>) -> Vec<SectionRow> {
    let mut rows: Vec<SectionRow> = Vec::new();
    for &id in &scope.take.fixtures {
        let fixture = scope.job.fixture(id);
        let model = &scope.job.model(fixture.model).tag;
        let same = rows.iter_mut().find(|row| {
            row.section == fixture.section
                && row.model == *model
                && row.existing == fixture.existing
        });
        match same {
            Some(row) => row.count += 1,
            None => rows.push(SectionRow {
                section: fixture.section.clone(),
                model: model.clone(),
                existing: fixture.existing,
                count: 1,
            }),
        }
    }
    let first_of = |section: &Option<String>| {
        let fed = scope.take.fixtures.iter();
        let mut named = fed.map(|&id| &scope.job.fixture(id).section);
        named.position(|other| other == section)
    };
    rows.sort_by_key(|row| first_of(&row.section));
    rows
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
