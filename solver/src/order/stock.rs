//! Cable on hand, before and after.

use super::model::{PlannedJob, StockRow};
use super::sheet::CutLot;
use crate::job::{Cable, Remnant};
use crate::units::{GridSteps, LengthGrid};
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// Counts of one length: before, drawn, added.
type Counts = [u32; 3];

/// The remnants of a lot's cable, by falling length.
pub(super) fn rows(cut: &CutLot<'_>, grid: LengthGrid) -> Vec<StockRow> {
    let held = cut.problem.stock.iter().zip(cut.drawn());
    of_cable(cut.lot.cable, held, cut.kept(), grid)
}

/// The remnants of every cable that the order does not cut, in the order in which tags are first met.
pub(super) fn untouched(jobs: &[PlannedJob<'_>], cuts: &[CutLot<'_>]) -> Vec<StockRow> {
    let mut seen: Vec<&str> = cuts.iter().map(|cut| cut.lot.cable.tag.as_str()).collect();
    let mut rows = Vec::new();
    for job in jobs.iter().map(|planned| planned.job) {
        for cable in &job.cables {
            if !seen.contains(&cable.tag.as_str()) {
                seen.push(&cable.tag);
                let held = cable.stock.iter().map(|remnant| (remnant, 0));
                rows.extend(of_cable(cable, held, std::iter::empty(), job.units.grid()));
            }
        }
    }
    rows
}

fn of_cable<'a>(
    cable: &Cable,
    held: impl Iterator<Item = (&'a Remnant, u32)>,
    added: impl Iterator<Item = GridSteps>,
    grid: LengthGrid,
) -> Vec<StockRow> {
    let mut lengths: BTreeMap<Reverse<GridSteps>, Counts> = BTreeMap::new();
    for (remnant, drawn) in held {
        let counts = lengths.entry(Reverse(remnant.length)).or_default();
        counts[0] += remnant.count;
        counts[1] += drawn;
    }
    for left in added {
        lengths.entry(Reverse(left)).or_default()[2] += 1;
    }
    let used = lengths
        .into_iter()
        .filter(|(_, counts)| counts.iter().any(|&count| count > 0));
    used.map(|(Reverse(length), [before, drawn, added])| StockRow {
        cable: cable.tag.clone(),
        gauge: cable.gauge.clone(),
        length: grid.decimal(length),
        before,
        drawn,
        added,
    })
    .collect()
}
