//! The cut sheet: what comes off each spool, for someone at the bench.

use super::lot::{Lot, LotPiece};
use super::model::{CableOrder, CutLine, CutRef, SpoolCut};
use crate::cut::{Cut, CutOrder, CutOrderPlan, CutSource, CutSpool};
use crate::units::{GridSteps, LengthGrid, Money};

/// A lot that has been cut.
pub(super) struct CutLot<'a> {
    pub(super) lot: &'a Lot<'a>,
    pub(super) problem: CutOrder,
    pub(super) answer: CutOrderPlan,
}

impl CutLot<'_> {
    /// The spools as the sheet lists them, numbered from `first`.
    pub(super) fn spools(&self, grid: LengthGrid, first: u32) -> Vec<SpoolCut> {
        let pieces: Vec<&LotPiece> = self.lot.pieces().collect();
        let places = self.places(first, pieces.len());
        let spools = self.answer.plan.spools.iter().zip(first..);
        spools
            .map(|(spool, number)| self.spool(grid, spool, number, &pieces, &places))
            .collect()
    }

    /// Where each piece is cut.
    pub(super) fn places(&self, first: u32, pieces: usize) -> Vec<CutRef> {
        let mut places = vec![CutRef { spool: 0, cut: 0 }; pieces];
        for (spool, number) in self.answer.plan.spools.iter().zip(first..) {
            for (cut, at) in spool.cuts.iter().zip(1..) {
                places[cut.pieces.clone()].fill(CutRef {
                    spool: number,
                    cut: at,
                });
            }
        }
        places
    }

    fn spool(
        &self,
        grid: LengthGrid,
        spool: &CutSpool,
        number: u32,
        pieces: &[&LotPiece],
        places: &[CutRef],
    ) -> SpoolCut {
        let cuts = spool.cuts.iter().zip(1..);
        SpoolCut {
            number,
            cable: self.lot.cable.tag.clone(),
            gauge: self.lot.cable.gauge.clone(),
            bought: matches!(spool.source, CutSource::Bought(_)),
            length: grid.decimal(spool.length),
            price: match spool.source {
                CutSource::Bought(index) => self.problem.spools[index].price,
                CutSource::Stock(_) => Money::ZERO,
            },
            cuts: cuts
                .map(|(cut, at)| line(grid, cut, at, pieces, places))
                .collect(),
            left: grid.decimal(spool.remnant),
            keep: self.keeps(spool),
        }
    }

    fn keeps(&self, spool: &CutSpool) -> bool {
        spool.remnant.0 > 0 && spool.remnant >= self.problem.shortest_useful
    }

    /// Remnants worth keeping.
    pub(super) fn kept(&self) -> impl Iterator<Item = GridSteps> {
        let spools = self.answer.plan.spools.iter();
        spools
            .filter(|spool| self.keeps(spool))
            .map(|spool| spool.remnant)
    }

    /// How many remnants of each entry of the stock are used.
    pub(super) fn drawn(&self) -> Vec<u32> {
        let mut drawn = vec![0; self.problem.stock.len()];
        for spool in &self.answer.plan.spools {
            if let CutSource::Stock(index) = spool.source {
                drawn[index] += 1;
            }
        }
        drawn
    }

    /// How many spools of each entry on sale are bought.
    pub(super) fn bought(&self) -> Vec<u32> {
        let mut bought = vec![0; self.problem.spools.len()];
        for spool in &self.answer.plan.spools {
            if let CutSource::Bought(index) = spool.source {
                bought[index] += 1;
            }
        }
        bought
    }

    /// The cutting in figures.
    pub(super) fn figures(&self, grid: LengthGrid) -> CableOrder {
        let plan = &self.answer.plan;
        let count = |number: usize| u32::try_from(number).expect("pieces are few");
        let from = |bought: bool| -> GridSteps {
            let spools = plan.spools.iter();
            let of = spools.filter(|spool| matches!(spool.source, CutSource::Bought(_)) == bought);
            of.map(|spool| spool.length).sum()
        };
        CableOrder {
            cable: self.lot.cable.tag.clone(),
            gauge: self.lot.cable.gauge.clone(),
            pieces: count(self.lot.pieces().count()),
            needed: grid.decimal(self.lot.pieces().map(|piece| piece.steps).sum()),
            bought: grid.decimal(from(true)),
            drawn: grid.decimal(from(false)),
            waste: grid.decimal(plan.waste),
            kept: grid.decimal(plan.usable.iter().copied().sum()),
            partings: count(plan.partings),
            cost: plan.cost,
            bound: plan.bound,
            proved: plan.proved,
            separately: self.answer.separately.clone(),
        }
    }
}

fn line(
    grid: LengthGrid,
    cut: &Cut,
    number: u32,
    pieces: &[&LotPiece],
    places: &[CutRef],
) -> CutLine {
    let here = &pieces[cut.pieces.clone()];
    let (first, last) = (here[0], here[here.len() - 1]);
    let mut reached = GridSteps::default();
    let marks = here.iter().take(here.len() - 1).map(|piece| {
        reached = reached + piece.steps;
        grid.decimal(reached)
    });
    let end = cut.pieces.end;
    let parted_after = pieces.get(end).is_some_and(|next| next.joined);
    CutLine {
        number,
        job: first.label.job,
        length: grid.decimal(cut.length),
        marks: marks.collect(),
        pieces: here.iter().map(|piece| piece.label.id.clone()).collect(),
        from: first.label.from.clone(),
        to: last.label.to.clone(),
        continues: first.joined.then(|| places[cut.pieces.start - 1]),
        goes_on: parted_after.then(|| places[end]),
    }
}
