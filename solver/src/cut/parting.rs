//! Pulls onto the spools of a purchase, parting at most one pull for each spool that would stay too empty.

use super::layout::{Onto, length};
use super::model::CutJob;
use super::subset::Sums;
use std::ops::Range;

/// Ways to part that are worked out in full for one spool.
const WORKED_OUT: usize = 12;

/// Spool by spool, shortest first: the fullest set of whole pulls; where that
/// wastes more than the spool's share of what the purchase can spare, one pull is parted so that its
/// part completes the spool best.
///
/// `spools`: kind and length (grid steps) of each. `None` when pulls are left over.
pub(super) fn fill_parting(
    job: &CutJob,
    mut units: Vec<Range<usize>>,
    spools: &[(usize, i64)],
) -> Option<Vec<Onto>> {
    let mut order = spools.to_vec();
    order.sort_by_key(|&(kind, length)| (length, kind));
    let wanted: i64 = units.iter().map(|unit| length(job, unit).0).sum();
    let mut spare = order.iter().map(|&(_, length)| length).sum::<i64>() - wanted;
    let mut onto = Vec::with_capacity(order.len());
    for (position, &(kind, room)) in order.iter().enumerate() {
        units.sort_by_key(|unit| (std::cmp::Reverse(length(job, unit)), unit.start));
        let share = spare / i64::try_from(order.len() - position).unwrap_or(i64::MAX);
        let (here, rest) = one_spool(job, &units, room, share);
        let used: i64 = here.iter().map(|unit| length(job, unit).0).sum();
        spare -= room - used;
        units = rest;
        if !here.is_empty() {
            onto.push((kind, here));
        }
    }
    units.is_empty().then_some(onto)
}

type Split = (Vec<Range<usize>>, Vec<Range<usize>>);

/// What goes onto a spool, and what is left.
fn one_spool(job: &CutJob, units: &[Range<usize>], room: i64, share: i64) -> Split {
    let sizes: Vec<i64> = units.iter().map(|unit| length(job, unit).0).collect();
    let sums = Sums::up_to(&sizes, &vec![1; sizes.len()], room);
    let whole = sums.fullest(room);
    let parted = if room - whole > share {
        best_parting(job, units, &sizes, &sums, room)
    } else {
        None
    };
    match parted {
        Some((filled, split)) if filled > whole => split,
        _ => split(units, &sums.parts(whole)),
    }
}

fn split(units: &[Range<usize>], chosen: &[(u32, u32)]) -> Split {
    let mut on = vec![false; units.len()];
    for &(unit, _) in chosen {
        on[unit as usize] = true;
    }
    let (here, rest): (Vec<_>, Vec<_>) = units.iter().cloned().zip(on).partition(|&(_, on)| on);
    let bare =
        |marked: Vec<(Range<usize>, bool)>| marked.into_iter().map(|(unit, _)| unit).collect();
    (bare(here), bare(rest))
}

/// The parting with the fullest spool, and how full; the most promising ways are worked out.
fn best_parting(
    job: &CutJob,
    units: &[Range<usize>],
    sizes: &[i64],
    sums: &Sums,
    room: i64,
) -> Option<(i64, Split)> {
    let mut ways: Vec<(i64, usize, Range<usize>, Range<usize>)> = Vec::new();
    for (index, unit) in units.iter().enumerate() {
        for at in unit.start + 1..unit.end {
            let (head, tail) = (unit.start..at, at..unit.end);
            for (part, rest) in [(head.clone(), tail.clone()), (tail, head)] {
                let part_length = length(job, &part).0;
                if part_length <= room {
                    let promise = part_length + sums.fullest(room - part_length);
                    ways.push((promise, index, part, rest));
                }
            }
        }
    }
    ways.sort_by_key(|(promise, index, part, _)| (std::cmp::Reverse(*promise), *index, part.start));
    let mut best: Option<(i64, Split)> = None;
    for (promise, index, part, rest) in ways.into_iter().take(WORKED_OUT) {
        if best.as_ref().is_some_and(|(filled, _)| *filled >= promise) {
            break;
        }
        let mut available = vec![1; sizes.len()];
        available[index] = 0;
        let part_length = length(job, &part).0;
        let others = Sums::up_to(sizes, &available, room - part_length);
        let sum = others.fullest(room - part_length);
        let filled = part_length + sum;
        if best.as_ref().is_none_or(|(most, _)| filled > *most) {
            let (mut here, mut left) = split(units, &others.parts(sum));
            left.retain(|unit| *unit != units[index]);
            here.push(part);
            left.push(rest);
            best = Some((filled, (here, left)));
        }
    }
    best
}
