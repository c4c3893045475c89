//! What to say when pieces cannot be cut from the spools on sale.

use super::error::{OrderError, PieceNamed};
use super::lot::{Lot, LotPiece, Namer};
use crate::cut::{CutError, pulls};
use crate::ids::CableId;
use crate::job::{Cable, Job};
use crate::plan::Plan;
use crate::schedule::Labels;
use crate::units::{GridSteps, UnitSystem};

/// Cables suggested at most.
const MOST_SUGGESTED: usize = 3;

/// The fault of a plan's own cutting problem (see [`crate::cut::cut_jobs`]) in the words of its papers.
///
/// # Panics
/// When an id of the plan was made for another job.
#[must_use]
pub fn cutting_refused(job: &Job, plan: &Plan, cable: CableId, error: &CutError) -> OrderError {
    let namer = Namer {
        job,
        plan,
        labels: Labels::of(plan),
        prefix: String::new(),
        number: 1,
    };
    let all = pulls(job, plan);
    let of_cable = all.iter().filter(|pull| pull.cable == cable);
    let pieces: Vec<LotPiece> = of_cable.flat_map(|pull| namer.pieces(pull)).collect();
    said(job, job.cable(cable), &mut pieces.iter(), error)
}

/// The fault of a lot.
pub(super) fn of_lot(job: &Job, lot: &Lot<'_>, error: &CutError) -> OrderError {
    said(job, lot.cable, &mut lot.pieces(), error)
}

fn said(
    job: &Job,
    cable: &Cable,
    pieces: &mut dyn Iterator<Item = &LotPiece>,
    error: &CutError,
) -> OrderError {
    let name = format!("{} ({})", cable.tag, cable.gauge);
    if !matches!(
        error,
        CutError::PieceTooLong { .. } | CutError::StockTooSmall { .. }
    ) {
        return OrderError::Cutting {
            cable: name,
            reason: error.to_string(),
        };
    }
    let longest = longest_on_sale(cable);
    let long: Vec<&LotPiece> = pieces.filter(|piece| piece.steps > longest).collect();
    let needed = long.iter().map(|piece| piece.steps).max();
    OrderError::PieceTooLong {
        cable: name,
        pieces: long.iter().map(|piece| named(job.units, piece)).collect(),
        longest: at_hand(job.units, cable),
        helps: helps(job, cable, needed.unwrap_or_default()),
    }
}

fn named(units: UnitSystem, piece: &LotPiece) -> PieceNamed {
    PieceNamed {
        id: piece.label.id.clone(),
        from: piece.label.from.clone(),
        to: piece.label.to.clone(),
        length: length(units, piece.steps),
    }
}

fn length(units: UnitSystem, steps: GridSteps) -> String {
    format!("{} {}", units.grid().decimal(steps), units.length_symbol())
}

fn longest_on_sale(cable: &Cable) -> GridSteps {
    let spools = cable.spools.iter().map(|spool| spool.length);
    spools.max().unwrap_or_default()
}

fn at_hand(units: UnitSystem, cable: &Cable) -> String {
    let held = cable.stock.iter().filter(|remnant| remnant.count > 0);
    let held = held.map(|remnant| remnant.length).max();
    let sold = cable.spools.iter().map(|spool| spool.length).max();
    let sold = sold.map(|steps| format!("longest spool {}", length(units, steps)));
    let held = held.map(|steps| format!("longest remnant {}", length(units, steps)));
    let both: Vec<String> = sold.into_iter().chain(held).collect();
    if both.is_empty() {
        "none is at hand".to_owned()
    } else {
        both.join(", ")
    }
}

/// Ways out: a longer spool, a joint on the way, a cable that is sold in such lengths.
fn helps(job: &Job, cable: &Cable, needed: GridSteps) -> Vec<String> {
    let needed_words = length(job.units, needed);
    let mut helps = vec![
        format!(
            "a spool of at least {needed_words} of `{}` in spools.csv",
            cable.tag
        ),
        "a node on its way where a joint may stand (nodes.csv), so that it is two pieces"
            .to_owned(),
    ];
    let others = job.cables.iter().filter(|other| {
        other.tag != cable.tag && other.price.is_some() && longest_on_sale(other) >= needed
    });
    let others: Vec<String> = others
        .take(MOST_SUGGESTED)
        .map(|other| format!("`{}` ({})", other.tag, other.gauge))
        .collect();
    if !others.is_empty() {
        helps.push(format!(
            "a cable sold in such lengths: {}",
            others.join(", ")
        ));
    }
    helps
}
