//! Real pieces onto the loads of a packing, pulls kept whole where that costs nothing.

use super::accept::Shelf;
use super::fill;
use super::model::{Cut, CutEffort, CutJob, CutPlan, CutSource, CutSpool};
use super::packing::{Load, Packing};
use super::parting::fill_parting;
use super::solve::Solved;
use crate::units::{GridSteps, Money};
use std::ops::Range;

/// A spool's kind and the pieces on it.
pub(super) type Onto = (usize, Vec<Range<usize>>);

/// Makes the plan: same purchase as `solved`, as few pulls parted as found.
pub(super) fn plan(
    job: &CutJob,
    shelf: &Shelf,
    packing: &Packing,
    members: &[Vec<usize>],
    solved: &Solved,
    effort: &CutEffort,
) -> CutPlan {
    let mut counts = packing.stock_only();
    for load in &solved.loads {
        if packing.kinds[load.kind].limit.is_none() {
            counts[load.kind] += 1;
        }
    }
    let bare = piece_by_piece(job, members, &solved.loads);
    let laid = match whole_pulls(job, shelf, &counts, effort.value_rounds) {
        Packed::Whole(laid) => laid,
        Packed::Parted(laid) if cuts(job, &laid) < cuts(job, &bare) => laid,
        Packed::Parted(_) | Packed::No => bare,
    };
    finished(job, shelf, laid, solved.bound)
}

/// How the pulls went onto a purchase.
enum Packed {
    /// Without parting any that some spool holds.
    Whole(Vec<Onto>),
    /// Some were parted.
    Parted(Vec<Onto>),
    /// Not at all.
    No,
}

/// Cuts that a layout needs, neighbours on one spool counted as one.
fn cuts(job: &CutJob, laid: &[Onto]) -> usize {
    let counted = laid.iter().map(|(_, ranges)| {
        let mut ranges = ranges.clone();
        ranges.sort_by_key(|range| range.start);
        joined(job, ranges).len()
    });
    counted.sum()
}

/// Packs pulls into `counts` spools of each kind: whole, or parted where a spool would stay
/// too empty, or else one more pull parted at one joint each time the constructions fail.
fn whole_pulls(job: &CutJob, shelf: &Shelf, counts: &[u32], rounds: u32) -> Packed {
    let room = |kind: usize| shelf.kinds[kind].capacity * shelf.divisor;
    let spools: Vec<(usize, i64)> = fill::spools_of(counts)
        .into_iter()
        .map(|kind| (kind, room(kind)))
        .collect();
    let longest = spools.iter().map(|&(_, room)| room).max().unwrap_or(0);
    let mut units = pulls_up_to(job, longest);
    let pack = |units: &[Range<usize>], rounds: u32| {
        let lengths: Vec<GridSteps> = units.iter().map(|unit| length(job, unit)).collect();
        let (pulls, members) = shelf.packing(&lengths);
        fill::pack(&pulls, &pulls.demand, counts, rounds)
            .map(|loads| onto(units, &members, &loads))
            .ok_or((pulls, members))
    };
    let (mut pulls, mut members) = match pack(&units, rounds) {
        Ok(laid) => return Packed::Whole(laid),
        Err(left) => left,
    };
    if let Some(laid) = fill_parting(job, units.clone(), &spools) {
        return Packed::Parted(laid);
    }
    while units.len() < job.pieces.len() {
        part_one(job, &pulls, &members, counts, shelf.divisor, &mut units);
        match pack(&units, 0) {
            Ok(laid) => return Packed::Parted(laid),
            Err(left) => (pulls, members) = left,
        }
    }
    Packed::No
}

/// Length of consecutive pieces.
pub(super) fn length(job: &CutJob, unit: &Range<usize>) -> GridSteps {
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

/// Names the sources and hands over to [`assembled`].
fn finished(job: &CutJob, shelf: &Shelf, mut laid: Vec<Onto>, bound: i64) -> CutPlan {
    let cost = laid.iter().map(|&(kind, _)| shelf.kinds[kind].cost).sum();
    let mut used = vec![0; shelf.kinds.len()];
    laid.sort_by_key(|(kind, ranges)| (*kind, ranges.iter().map(|range| range.start).min()));
    let sourced = laid.into_iter().map(|(kind, ranges)| {
        used[kind] += 1;
        (shelf.source(kind, used[kind] - 1), ranges)
    });
    let sourced = sourced.collect();
    assembled(job, sourced, shelf.money(cost), shelf.money(bound))
}

/// Orders spools and cuts, joins what lies together, adds up what is left.
pub(super) fn assembled(
    job: &CutJob,
    sourced: Vec<(CutSource, Vec<Range<usize>>)>,
    cost: Money,
    bound: Money,
) -> CutPlan {
    let spools = sourced.into_iter().map(|(source, mut ranges)| {
        ranges.sort_by_key(|range| range.start);
        spool(job, source, joined(job, ranges))
    });
    let mut spools: Vec<CutSpool> = spools.collect();
    spools.sort_by_key(|spool| (spool.source, spool.cuts.first().map(|cut| cut.pieces.start)));
    let cuts: usize = spools.iter().map(|spool| spool.cuts.len()).sum();
    let pulls = pulls_up_to(job, i64::MAX).len();
    let useful = |spool: &&CutSpool| spool.remnant >= job.shortest_useful && spool.remnant.0 > 0;
    let left = |spool: &CutSpool| spool.remnant;
    CutPlan {
        cost,
        bound,
        proved: cost == bound,
        partings: cuts - pulls,
        waste: spools.iter().filter(|spool| !useful(spool)).map(left).sum(),
        usable: spools.iter().filter(useful).map(left).collect(),
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
