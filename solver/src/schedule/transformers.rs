//! One row a transformer: load against what is permitted, secondaries, lugs.

use super::dossier::Scope;
use super::model::{LugRow, Pole, SecondaryRow, TransformerRow};
use crate::electrical::limits::permitted;
use crate::ids::PlacedId;
use crate::job::{Existing, TransformerModel};
use crate::plan::{Circuit, TransformerSource};
use crate::units::Amperes;

/// The rows, in the order of the plan.
pub(super) fn rows(scope: &Scope<'_>) -> Vec<TransformerRow> {
    (0..scope.plan.transformers.len())
        .map(|index| row(scope, index))
        .collect()
}

fn row(scope: &Scope<'_>, index: usize) -> TransformerRow {
    let (job, plan) = (scope.job, scope.plan);
    let placed = &plan.transformers[index];
    let model = job.transformer(placed.model(job));
    let site = job.site(placed.site);
    let standing = match placed.source {
        TransformerSource::New(_) => None,
        TransformerSource::Existing(id) => Some(job.existing_transformer(id)),
    };
    let fed: Vec<usize> = (0..plan.circuits.len())
        .filter(|&circuit| plan.circuits[circuit].transformer == PlacedId::new(index))
        .collect();
    let currents = &scope.cases.transformers[index].secondaries;
    TransformerRow {
        label: scope.labels.transformers[index].clone(),
        existing: standing.map(|existing| existing.tag.clone()),
        site: site.tag.clone(),
        node: job.node(site.node).tag.clone(),
        model: model.tag.clone(),
        load: scope.cases.transformers[index].apparent,
        permitted: permitted(job, model.rated),
        rated: model.rated,
        circuits: scope.labels.sorted(&fed),
        secondaries: (0..model.secondaries.len())
            .map(|secondary| {
                let on_it = fed
                    .iter()
                    .map(|&circuit| &plan.circuits[circuit])
                    .filter(|circuit| circuit.secondary == secondary);
                let used = lugs_used(standing, secondary, on_it);
                let lugs = lugs(scope, model, standing, secondary, &fed);
                SecondaryRow {
                    lugs,
                    ..secondary_row(scope, model, secondary, currents[secondary], used)
                }
            })
            .collect(),
    }
}

/// Lug places in use on taps and commons: present ones, and one each for every circuit.
fn lugs_used<'a>(
    standing: Option<&Existing>,
    secondary: usize,
    circuits: impl Iterator<Item = &'a Circuit>,
) -> [u32; 2] {
    let present = |used: &[Vec<u32>]| used.get(secondary).map_or(0, |lugs| lugs.iter().sum());
    let new = u32::try_from(circuits.count()).expect("circuits are fewer than fixtures");
    let [taps, commons] = standing.map_or([0, 0], |existing| {
        [
            present(&existing.tap_lugs_used),
            present(&existing.common_lugs_used),
        ]
    });
    [taps + new, commons + new]
}

/// The tap and lug plan of one secondary: who lands where.
fn lugs(
    scope: &Scope<'_>,
    model: &TransformerModel,
    standing: Option<&Existing>,
    index: usize,
    fed: &[usize],
) -> Vec<LugRow> {
    let secondary = &model.secondaries[index];
    let present = |used: fn(&Existing) -> &Vec<Vec<u32>>, at: usize| {
        let known = standing.and_then(|existing| used(existing).get(index)?.get(at).copied());
        known.unwrap_or(0)
    };
    let landing = |lands: &dyn Fn(&Circuit) -> bool| -> Vec<(String, String)> {
        let circuits = fed.iter().map(|&at| (at, &scope.plan.circuits[at]));
        circuits
            .filter(|(_, circuit)| circuit.secondary == index && lands(circuit))
            .map(|(at, circuit)| {
                let gauge = &scope.job.cable(circuit.home_run().cable).gauge;
                (scope.labels.circuits[at].clone(), gauge.clone())
            })
            .collect()
    };
    let taps = secondary.taps.iter().enumerate().map(|(at, tap)| LugRow {
        pole: Pole::Tap(tap.volts),
        tag: tap.tag.clone(),
        lugs: tap.lugs,
        present: present(|existing| &existing.tap_lugs_used, at),
        circuits: landing(&|circuit| circuit.tap == at),
    });
    let commons = secondary.commons.iter().enumerate();
    let commons = commons.map(|(at, common)| LugRow {
        pole: Pole::Common,
        tag: common.tag.clone(),
        lugs: common.lugs,
        present: present(|existing| &existing.common_lugs_used, at),
        circuits: landing(&|circuit| circuit.common == at),
    });
    taps.chain(commons).collect()
}

fn secondary_row(
    scope: &Scope<'_>,
    model: &TransformerModel,
    index: usize,
    amps: Amperes,
    lugs_used: [u32; 2],
) -> SecondaryRow {
    let secondary = &model.secondaries[index];
    SecondaryRow {
        tag: secondary.tag.clone(),
        amps,
        limit: secondary.continuous_limit() - scope.job.rules.spare.current,
        breaker: secondary.breaker,
        tap_lugs_used: lugs_used[0],
        tap_lugs: secondary.taps.iter().map(|tap| tap.lugs).sum(),
        common_lugs_used: lugs_used[1],
        common_lugs: secondary.commons.iter().map(|common| common.lugs).sum(),
        lugs: Vec::new(),
    }
}
