//! Real pieces onto the loads of a packing, pulls kept whole where that costs nothing.

use super::accept::Shelf;
use super::fill;
use super::model::{Cut, CutEffort, CutJob, CutPlan, CutSource, CutSpool};
use super::packing::{Load, Packing};
use super::solve::Solved;
use crate::units::GridSteps;
use std::ops::Range;

/// A spool's kind and the pieces on it.
type Onto = (usize, Vec<Range<usize>>);

/// Makes the plan: same purchase as `solved`, as few pulls parted as found.
pub(super) fn plan(
    job: &CutJob,
    shelf: &Shelf,
    packing: &Packing,
    members: &[Vec<usize>],
    solved: &Solved,
    effort: &CutEffort,
) -> CutPlan {
    let laid = whole_pulls(job, shelf, packing, &solved.loads, effort)
        .unwrap_or_else(|| piece_by_piece(job, members, &solved.loads));
    finished(job, shelf, laid, solved.bound)
}

/// Packs pulls into the spools of `loads` (and unused stock), parting one more pull at one joint each time it fails.
fn whole_pulls(
    job: &CutJob,
    shelf: &Shelf,
    packing: &Packing,
    loads: &[Load],
    effort: &CutEffort,
) -> Option<Vec<Onto>> {
    let mut counts = packing.stock_only();
    for load in loads {
        if packing.kinds[load.kind].limit.is_none() {
            counts[load.kind] += 1;
        }
    }
    let longest = (0..counts.len())
        .filter(|&kind| counts[kind] > 0)
        .map(|kind| packing.kinds[kind].capacity * shelf.divisor)
        .max()?;
    let mut units = pulls_up_to(job, longest);
    while units.len() < job.pieces.len() {
        let lengths: Vec<GridSteps> = units.iter().map(|unit| length(job, unit)).collect();
        let (pulls, members) = shelf.packing(&lengths);
        let packed = fill::pack(&pulls, &pulls.demand, &counts, effort.value_rounds);
        if let Some(loads) = packed {
            return Some(onto(&units, &members, &loads));
        }
        part_one(job, &pulls, &members, &counts, shelf.divisor, &mut units);
    }
    None
}

fn length(job: &CutJob, unit: &Range<usize>) -> GridSteps {
    job.pieces[unit.clone()]
        .iter()
        .map(|piece| piece.length)
        .sum()
}

/// The pulls of the list, those longer than `longest` parted into the longest parts that fit.
fn pulls_up_to(job: &CutJob, longest: i64) -> Vec<Range<usize>> {
    let mut units: Vec<Range<usize>> = Vec::new();
    let mut reached = 0;
    for (position, piece) in job.pieces.iter().enumerate() {
        match units.last_mut() {
            Some(unit) if piece.joined && reached + piece.length.0 <= longest => {
                unit.end = position + 1;
                reached += piece.length.0;
            }
            _ => {
                units.push(position..position + 1);
                reached = piece.length.0;
            }
        }
    }
    units
}

/// Parts the longest pull that best fit could not place (any pull, if all such are single pieces)
/// where its first part fills the largest room left, or else in the middle.
fn part_one(
    job: &CutJob,
    pulls: &Packing,
    members: &[Vec<usize>],
    counts: &[u32],
    divisor: i64,
    units: &mut Vec<Range<usize>>,
) {
    let spools = fill::spools_of(counts);
    let filled = fill::best_fit(pulls, &pulls.demand, &spools);
    let room = filled.largest_room(pulls, counts) * divisor;
    let left = filled
        .left
        .iter()
        .enumerate()
        .filter(|&(_, &count)| count > 0);
    let unplaced = left.map(|(class, _)| members[class][members[class].len() - 1]);
    let parts = |unit: &usize| units[*unit].len() > 1;
    let by_length = |unit: &usize| (length(job, &units[*unit]), std::cmp::Reverse(*unit));
    let chosen = unplaced
        .filter(parts)
        .max_by_key(by_length)
        .or_else(|| (0..units.len()).filter(parts).max_by_key(by_length));
    let Some(chosen) = chosen else { return };
    let unit = units[chosen].clone();
    let fits = |&at: &usize| length(job, &(unit.start..at)).0 <= room;
    let at = (unit.start + 1..unit.end)
        .rev()
        .find(fits)
        .unwrap_or(unit.start.midpoint(unit.end).max(unit.start + 1));
    units[chosen] = unit.start..at;
    units.insert(chosen + 1, at..unit.end);
}

fn onto(units: &[Range<usize>], members: &[Vec<usize>], loads: &[Load]) -> Vec<Onto> {
    let mut next = vec![0; members.len()];
    let placed = loads.iter().map(|load| {
        let mut ranges = Vec::new();
        for (class, count) in load.pattern.parts() {
            for _ in 0..count {
                ranges.push(units[members[class][next[class]]].clone());
                next[class] += 1;
            }
        }
        (load.kind, ranges)
    });
    placed.collect()
}

/// Single pieces onto the loads; of equal pieces those next to one already on the spool are taken first.
fn piece_by_piece(job: &CutJob, members: &[Vec<usize>], loads: &[Load]) -> Vec<Onto> {
    let mut left: Vec<Vec<usize>> = members.to_vec();
    let placed = loads.iter().map(|load| {
        let mut here: Vec<usize> = Vec::new();
        for (class, count) in load.pattern.parts() {
            for _ in 0..count {
                let beside = |&piece: &usize| {
                    here.iter().any(|&other| {
                        (other + 1 == piece && job.pieces[piece].joined)
                            || (piece + 1 == other && job.pieces[other].joined)
                    })
                };
                let at = left[class].iter().position(beside).unwrap_or(0);
                here.push(left[class].remove(at));
            }
        }
        (
            load.kind,
            here.iter().map(|&piece| piece..piece + 1).collect(),
        )
    });
    placed.collect()
}

/// Names sources, orders spools and cuts, joins what lies together, adds up what is left.
fn finished(job: &CutJob, shelf: &Shelf, mut laid: Vec<Onto>, bound: i64) -> CutPlan {
    let cost = laid.iter().map(|&(kind, _)| shelf.kinds[kind].cost).sum();
    let mut used = vec![0; shelf.kinds.len()];
    laid.iter_mut()
        .for_each(|(_, ranges)| ranges.sort_by_key(|range| range.start));
    laid.sort_by_key(|(kind, ranges)| (*kind, ranges.first().map_or(0, |range| range.start)));
    let mut spools: Vec<CutSpool> = laid
        .into_iter()
        .map(|(kind, ranges)| {
            let source = shelf.source(kind, used[kind]);
            used[kind] += 1;
            spool(job, source, joined(job, ranges))
        })
        .collect();
    spools.sort_by_key(|spool| spool.source);
    let cuts: usize = spools.iter().map(|spool| spool.cuts.len()).sum();
    let pulls = pulls_up_to(job, i64::MAX / 2).len();
    let useful = |spool: &&CutSpool| spool.remnant >= job.shortest_useful && spool.remnant.0 > 0;
    CutPlan {
        cost: shelf.money(cost),
        bound: shelf.money(bound),
        proved: cost == bound,
        partings: cuts - pulls,
        waste: spools
            .iter()
            .filter(|spool| !useful(spool))
            .map(|spool| spool.remnant)
            .sum(),
        usable: spools
            .iter()
            .filter(useful)
            .map(|spool| spool.remnant)
            .collect(),
        spools,
    }
}

fn joined(job: &CutJob, ranges: Vec<Range<usize>>) -> Vec<Range<usize>> {
    let mut cuts: Vec<Range<usize>> = Vec::with_capacity(ranges.len());
    for range in ranges {
        match cuts.last_mut() {
            Some(last) if last.end == range.start && job.pieces[range.start].joined => {
                last.end = range.end;
            }
            _ => cuts.push(range),
        }
    }
    cuts
}

fn spool(job: &CutJob, source: CutSource, ranges: Vec<Range<usize>>) -> CutSpool {
    let full = match source {
        CutSource::Stock(index) => job.stock[index].length,
        CutSource::Bought(index) => job.spools[index].length,
    };
    let cuts: Vec<Cut> = ranges
        .into_iter()
        .map(|pieces| Cut {
            length: length(job, &pieces),
            pieces,
        })
        .collect();
    CutSpool {
        source,
        length: full,
        remnant: full - cuts.iter().map(|cut| cut.length).sum(),
        cuts,
    }
}
