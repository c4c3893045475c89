//! The order, put together.

use super::error::OrderError;
use super::lot::Lot;
use super::model::{CableOrder, Goods, Order, OrderLine, OrderedJob, PieceLabel, PlannedJob};
use super::sheet::CutLot;
use super::{agree, goods, refusal, stock};
use crate::bill::Unit;
use crate::cut::{CutEffort, cut_order};
use crate::job::Job;
use crate::units::{GridSteps, Money, UnitSystem};
use rayon::prelude::*;
use rust_decimal::Decimal;

/// What the caller decides about an order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct OrderChoice {
    /// Whether fixtures are on the list.
    pub fixtures: bool,
    /// Work for the cutting of each cable.
    pub effort: CutEffort,
}

impl Order {
    /// Works out an order; the cables are cut in parallel on rayon's current pool.
    ///
    /// The same jobs in the same order give the same order of goods, cuts and labels.
    ///
    /// # Errors
    /// [`OrderError`] when the jobs cannot be ordered together, or a piece cannot be cut.
    /// # Panics
    /// When an id of a plan was made for another job.
    pub fn of(jobs: &[PlannedJob<'_>], choice: &OrderChoice) -> Result<Self, OrderError> {
        agree::check(jobs)?;
        let units = jobs[0].job.units;
        let shortest = shortest_useful(jobs);
        let lots = Lot::all(jobs);
        let (by_spool, by_length): (Vec<&Lot<'_>>, Vec<&Lot<'_>>) =
            lots.iter().partition(|lot| !lot.cable.spools.is_empty());
        let cuts: Vec<CutLot<'_>> = by_spool
            .into_par_iter()
            .map(|lot| cut_lot(jobs, lot, shortest, &choice.effort))
            .collect::<Result<_, _>>()?;
        let mut order = Self::empty(jobs, &lots, shortest);
        for lot in &lots {
            match cuts.iter().find(|cut| std::ptr::eq(cut.lot, lot)) {
                Some(cut) => order.add_cut(cut, units),
                None => order.add_by_length(lot, jobs.len(), units),
            }
        }
        order.stock.extend(stock::untouched(jobs, &cuts));
        order.lines.extend(goods::lines(jobs, choice.fixtures)?);
        order.total = order.lines.iter().map(|line| line.extension).sum();
        order.separately = together(&order.cables, jobs.len());
        order.saving = order.cables.iter().map(CableOrder::saving).sum();
        order.remark(jobs, &by_length);
        Ok(order)
    }

    fn empty(jobs: &[PlannedJob<'_>], lots: &[Lot<'_>], shortest: GridSteps) -> Self {
        let first = jobs[0].job;
        let jobs: Vec<OrderedJob> = (0..jobs.len())
            .map(|index| summary(jobs, lots, index))
            .collect();
        Self {
            currency: first.currency.clone(),
            units: first.units,
            length_unit: first.units.length_symbol().to_owned(),
            shortest_useful: first.units.grid().decimal(shortest),
            cable: jobs.iter().map(|job| job.cable).sum(),
            jobs,
            lines: Vec::new(),
            total: Money::ZERO,
            cables: Vec::new(),
            separately: None,
            saving: None,
            spools: Vec::new(),
            labels: Vec::new(),
            stock: Vec::new(),
            remarks: Vec::new(),
        }
    }

    fn add_cut(&mut self, cut: &CutLot<'_>, units: UnitSystem) {
        let grid = units.grid();
        let cable = cut.lot.cable;
        for (spool, count) in cut.problem.spools.iter().zip(cut.bought()) {
            if count > 0 {
                let quantity = Decimal::from(count);
                self.lines.push(OrderLine {
                    goods: Goods::Spool,
                    item: cable.tag.clone(),
                    size: cable.gauge.clone(),
                    spool_length: Some(grid.decimal(spool.length)),
                    quantity,
                    unit: Unit::Each,
                    unit_price: spool.price,
                    extension: spool.price.times(quantity).cents(),
                    by_job: Vec::new(),
                });
            }
        }
        let first = u32::try_from(self.spools.len() + 1).expect("spools are few");
        self.spools.extend(cut.spools(grid, first));
        self.stock.extend(stock::rows(cut, grid));
        self.cables.push(cut.figures(grid));
        let places = cut.places(first, cut.lot.pieces().count());
        let mut labels: Vec<PieceLabel> = cut
            .lot
            .pieces()
            .zip(places)
            .map(|(piece, place)| PieceLabel {
                cut: Some(place),
                ..piece.label.clone()
            })
            .collect();
        labels.sort_by_key(|label| label.cut);
        self.labels.extend(labels);
    }

    fn add_by_length(&mut self, lot: &Lot<'_>, jobs: usize, units: UnitSystem) {
        let grid = units.grid();
        let of_job = |job: usize| lot.lists[job].iter().map(|piece| piece.steps).sum();
        let by_job: Vec<Decimal> = (0..jobs).map(|job| grid.decimal(of_job(job))).collect();
        let quantity: Decimal = by_job.iter().copied().sum();
        let price = lot.cable.price.map_or(Money::ZERO, |price| price.per_unit);
        self.lines.push(OrderLine {
            goods: Goods::CableByLength,
            item: lot.cable.tag.clone(),
            size: lot.cable.gauge.clone(),
            spool_length: None,
            quantity,
            unit: Unit::length(units),
            unit_price: price,
            extension: price.times(quantity).cents(),
            by_job,
        });
        let labels = lot.pieces().map(|piece| piece.label.clone());
        self.labels.extend(labels);
    }

    fn remark(&mut self, jobs: &[PlannedJob<'_>], by_length: &[&Lot<'_>]) {
        let free = self
            .lines
            .iter()
            .filter(|line| line.unit_price == Money::ZERO);
        let free = free.map(|line| {
            format!(
                "{} `{}` has a price of zero: the total leaves it out.",
                line.goods.words(),
                line.item
            )
        });
        let unproved = self
            .cables
            .iter()
            .filter(|cable| !cable.proved)
            .map(|cable| {
                format!(
                    "Cable `{}`: a cheaper cutting may exist, but none below {}.",
                    cable.cable, cable.bound
                )
            });
        let uncut = by_length.iter().filter(|lot| !lot.cable.stock.is_empty());
        let uncut = uncut.map(|lot| {
            format!(
                "Cable `{}` is bought by length, for no spool of it is on sale; what is on hand of it was not drawn on.",
                lot.cable.tag
            )
        });
        let mut remarks: Vec<String> = free.chain(unproved).chain(uncut).collect();
        let differs = jobs
            .iter()
            .any(|one| one.job.rates.shortest_useful != jobs[0].job.rates.shortest_useful);
        if differs {
            remarks.push(format!(
                "The jobs name different shortest useful lengths; the longest of them is used: {} {}.",
                self.shortest_useful, self.length_unit
            ));
        }
        self.remarks = remarks;
    }
}

fn cut_lot<'a>(
    jobs: &[PlannedJob<'_>],
    lot: &'a Lot<'a>,
    shortest: GridSteps,
    effort: &CutEffort,
) -> Result<CutLot<'a>, OrderError> {
    let problem = lot.problem(shortest);
    let answer =
        cut_order(&problem, effort).map_err(|error| refusal::of_lot(jobs[0].job, lot, &error))?;
    Ok(CutLot {
        lot,
        problem,
        answer,
    })
}

/// The longest of the jobs' shortest useful lengths, on the grid.
fn shortest_useful(jobs: &[PlannedJob<'_>]) -> GridSteps {
    let of = |job: &Job| job.units.grid().ceil(job.rates.shortest_useful);
    let all = jobs.iter().map(|planned| of(planned.job));
    all.max().unwrap_or_default()
}

fn summary(jobs: &[PlannedJob<'_>], lots: &[Lot<'_>], index: usize) -> OrderedJob {
    let PlannedJob { job, plan } = jobs[index];
    let count = |number: usize| u32::try_from(number).expect("pieces and fixtures are few");
    let pieces = || lots.iter().flat_map(|lot| &lot.lists[index]);
    OrderedJob {
        number: count(index + 1),
        name: job.name.clone(),
        fixtures: count(
            plan.circuits
                .iter()
                .map(|circuit| circuit.leads.len())
                .sum(),
        ),
        pieces: count(pieces().count()),
        cable: job
            .units
            .grid()
            .decimal(pieces().map(|piece| piece.steps).sum()),
    }
}

/// By job, over all cables.
fn together(cables: &[CableOrder], jobs: usize) -> Option<Vec<Money>> {
    cables
        .iter()
        .try_fold(vec![Money::ZERO; jobs], |sums, cable| {
            let alone = cable.separately.as_ref()?;
            let added = sums.iter().zip(alone).map(|(&sum, &more)| sum + more);
            Some(added.collect())
        })
}
