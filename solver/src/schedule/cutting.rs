//! Which piece is cut from which spool, under the names of the papers.

use super::dossier::Scope;
use super::field::{CutRow, Cutting, CuttingTotal, SpoolRow};
use super::labels::Labels;
use crate::bill::CableCutting;
use crate::cut::{Cut, CutSource, CutSpool, pulls};
use crate::ids::CableId;
use crate::units::{GridSteps, Money};

/// The cutting plan on paper.
pub(super) fn of(scope: &Scope<'_>, cuttings: &[CableCutting]) -> Cutting {
    let mut cutting = Cutting::default();
    for of_cable in cuttings {
        let names = piece_names(scope, of_cable.cable);
        for spool in &of_cable.plan.spools {
            let number = u32::try_from(cutting.spools.len() + 1).expect("spools are few");
            let row = spool_row(scope, of_cable, spool, &names, number);
            cutting.spools.push(row);
        }
        cutting.totals.push(total(scope, of_cable));
    }
    cutting
}

/// Names of a cable's pieces in the order of its cutting problem, which lists them pull by pull.
fn piece_names(scope: &Scope<'_>, cable: CableId) -> Vec<String> {
    let pulls = pulls(scope.job, scope.plan);
    let of_cable = pulls.iter().filter(|pull| pull.cable == cable);
    of_cable
        .flat_map(|pull| {
            let pieces = pull.pieces.iter();
            let circuit = pull.circuit.index();
            pieces.map(move |piece| Labels::piece(circuit, piece.joint.index()))
        })
        .collect()
}

fn spool_row(
    scope: &Scope<'_>,
    cutting: &CableCutting,
    spool: &CutSpool,
    names: &[String],
    number: u32,
) -> SpoolRow {
    let cable = scope.job.cable(cutting.cable);
    let grid = scope.job.units.grid();
    let cuts = spool.cuts.iter();
    SpoolRow {
        cable: cable.tag.clone(),
        gauge: cable.gauge.clone(),
        number,
        bought: matches!(spool.source, CutSource::Bought(_)),
        length: grid.decimal(spool.length),
        price: match spool.source {
            CutSource::Bought(index) => cutting.problem.spools[index].price,
            CutSource::Stock(_) => Money::ZERO,
        },
        cuts: cuts
            .map(|cut| cut_row(scope, cutting, cut, names))
            .collect(),
        left: grid.decimal(spool.remnant),
        keep: spool.remnant.0 > 0 && spool.remnant >= cutting.problem.shortest_useful,
    }
}

fn cut_row(scope: &Scope<'_>, cutting: &CableCutting, cut: &Cut, names: &[String]) -> CutRow {
    let grid = scope.job.units.grid();
    let pieces = &cutting.problem.pieces[cut.pieces.clone()];
    let mut reached = GridSteps::default();
    let inside = pieces.len().saturating_sub(1);
    let marks = pieces.iter().take(inside).map(|piece| {
        reached = reached + piece.length;
        grid.decimal(reached)
    });
    CutRow {
        marks: marks.collect(),
        pieces: names[cut.pieces.clone()].to_vec(),
        length: grid.decimal(cut.length),
    }
}

fn total(scope: &Scope<'_>, cutting: &CableCutting) -> CuttingTotal {
    let cable = scope.job.cable(cutting.cable);
    CuttingTotal {
        cable: cable.tag.clone(),
        gauge: cable.gauge.clone(),
        cost: cutting.plan.cost,
        bound: cutting.plan.bound,
        proved: cutting.plan.proved,
        waste: scope.job.units.grid().decimal(cutting.plan.waste),
    }
}
