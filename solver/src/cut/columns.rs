//! The linear relaxation over patterns: HiGHS for the master, the exact
//! knapsack for pricing.

use super::cover::Cover;
use super::knapsack::Knapsack;
use super::packing::{Packing, Pattern};
use crate::back_end::{self, repeatable};
use good_lp::{
    Expression, ProblemVariables, ResolutionError, Solution, SolverModel, Variable, variable,
};
use std::collections::BTreeSet;

/// Fixed-point scale of dual weights. Rounding a dual down to a multiple of
/// 2^-32 keeps every inequality valid and moves a bound by less than 1e-5.
const WEIGHT_SCALE: f64 = 4_294_967_296.0;
/// A pattern enters when its reduced cost is below minus this (prices scaled to 1).
const REDUCED_COST: f64 = 1e-7;
/// Pieces left out, weighed by length, below which a relaxation counts as holding all.
const LEFT_OUT: f64 = 1e-7;
/// Patterns added per kind and round.
const PER_ROUND: usize = 12;

/// A pattern for a kind of spool.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Column {
    pub(super) kind: usize,
    pub(super) pattern: Pattern,
}

/// What the relaxation minimises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Aim {
    /// Price of the spools.
    LeastCost,
    /// Length of the pieces left out of a given set of spools.
    Fit,
}

/// Outcome of a relaxation.
#[derive(Clone, Debug)]
pub(super) enum Relaxed {
    /// Proved, exactly: the spools given cannot hold the pieces.
    Excluded(Cover),
    /// Solved: columns in use with their values, and the weights of the pieces.
    Solved {
        used: Vec<(Column, f64)>,
        weights: Vec<i64>,
    },
    /// Not settled (effort used up, or within tolerances).
    Unsettled,
}

/// Columns known so far, kept across relaxations.
#[derive(Clone, Debug, Default)]
pub(super) struct Columns {
    known: BTreeSet<Column>,
    /// Linear programmes that may still be solved.
    pub(super) left: u32,
}

/// One solved master.
struct Master {
    value: f64,
    columns: Vec<(Column, f64)>,
    weights: Vec<i64>,
    /// Price of one more spool of each kind, fixed-point, >= 0.
    supply: Vec<i64>,
}

impl Columns {
    pub(super) fn new(left: u32) -> Self {
        Self {
            known: BTreeSet::new(),
            left,
        }
    }
    /// Adds patterns of a packing.
    pub(super) fn add(&mut self, kind: usize, pattern: Pattern) {
        if !pattern.is_empty() {
            self.known.insert(Column { kind, pattern });
        }
    }

    /// Solves the relaxation of `packing` with at most `limits` spools of each kind (`None`: any number).
    pub(super) fn relax(&mut self, packing: &Packing, limits: &[Option<u32>], aim: Aim) -> Relaxed {
        let mut pool = self.fitting(packing, limits);
        let dearest = packing
            .kinds
            .iter()
            .map(|kind| kind.cost)
            .max()
            .unwrap_or(1)
            .max(1);
        let price = |kind: usize| match aim {
            Aim::LeastCost => packing.kinds[kind].cost as f64 / dearest as f64,
            Aim::Fit => 0.0,
        };
        let mut turn = 0;
        loop {
            if self.left == 0 {
                return Relaxed::Unsettled;
            }
            self.left -= 1;
            let Some(master) = master(packing, limits, aim, &pool, price) else {
                return Relaxed::Unsettled;
            };
            if aim == Aim::Fit && master.value <= LEFT_OUT {
                return master.solved();
            }
            turn += 1;
            let (sizes, demand) = (&packing.sizes, &packing.demand);
            let solved = Knapsack::solve(sizes, demand, &master.weights, packing.longest(), turn);
            if aim == Aim::Fit {
                let cover = Cover::solved(packing, &master.weights, &solved);
                let counts: Vec<u32> = limits.iter().map(|limit| limit.unwrap_or(0)).collect();
                if cover.missing(&counts) > 0 {
                    return Relaxed::Excluded(cover);
                }
            }
            let before = pool.len();
            for (kind, limit) in limits.iter().enumerate() {
                let charge = price(kind).mul_add(WEIGHT_SCALE, REDUCED_COST * WEIGHT_SCALE) as i64;
                let hurdle = i128::from(charge + master.supply[kind]);
                if *limit == Some(0)
                    || i128::from(solved.carry(packing.kinds[kind].capacity)) <= hurdle
                {
                    continue;
                }
                for pattern in solved.variants(packing.kinds[kind].capacity, PER_ROUND) {
                    if pattern.total(&master.weights) > hurdle {
                        pool.insert(Column { kind, pattern });
                    }
                }
            }
            self.known.extend(pool.iter().cloned());
            if pool.len() == before {
                return match aim {
                    Aim::LeastCost => master.solved(),
                    Aim::Fit => Relaxed::Unsettled,
                };
            }
        }
    }

    fn fitting(&self, packing: &Packing, limits: &[Option<u32>]) -> BTreeSet<Column> {
        let open = self
            .known
            .iter()
            .filter(|column| limits[column.kind] != Some(0));
        let trimmed = open.map(|column| Column {
            kind: column.kind,
            pattern: column.pattern.trimmed(&packing.demand),
        });
        trimmed
            .filter(|column| !column.pattern.is_empty())
            .collect()
    }
    /// Everything known, trimmed to a demand and a supply.
    pub(super) fn all(&self, packing: &Packing, limits: &[Option<u32>]) -> Vec<Column> {
        self.fitting(packing, limits).into_iter().collect()
    }
}

impl Master {
    fn solved(self) -> Relaxed {
        Relaxed::Solved {
            used: self
                .columns
                .into_iter()
                .filter(|&(_, value)| value > LEFT_OUT)
                .collect(),
            weights: self.weights,
        }
    }
}

fn master(
    packing: &Packing,
    limits: &[Option<u32>],
    aim: Aim,
    pool: &BTreeSet<Column>,
    price: impl Fn(usize) -> f64,
) -> Option<Master> {
    /// Price of leaving a piece out when price is minimised; the dearest spool is 1.
    const LEFT_OUT_PRICE: f64 = 10.0;
    /// Above what one more spool can be worth: it holds fewer than 100,000 pieces.
    const SUPPLY_PRICE: f64 = 1e6;
    let longest = packing.longest() as f64;
    let mut variables = ProblemVariables::new();
    let mut cost = Expression::with_capacity(pool.len() + packing.sizes.len());
    let mut rows: Vec<Expression> = vec![Expression::with_capacity(16); packing.sizes.len()];
    let mut supply: Vec<Expression> = vec![Expression::with_capacity(16); packing.kinds.len()];
    for (row, &size) in rows.iter_mut().zip(&packing.sizes) {
        let out = variables.add(variable().min(0.0));
        let weight = match aim {
            Aim::LeastCost => LEFT_OUT_PRICE,
            Aim::Fit => size as f64 / longest,
        };
        cost.add_mul(weight, out);
        row.add_mul(1.0, out);
    }
    let mut chosen: Vec<Variable> = Vec::with_capacity(pool.len());
    for column in pool {
        let times = variables.add(variable().min(0.0));
        cost.add_mul(price(column.kind), times);
        supply[column.kind].add_mul(1.0, times);
        for (class, count) in column.pattern.parts() {
            rows[class].add_mul(f64::from(count), times);
        }
        chosen.push(times);
    }
    let mut problem = repeatable(variables, cost.clone());
    let demand_rows: Vec<_> = rows
        .into_iter()
        .zip(&packing.demand)
        .map(|(row, &count)| problem.add_constraint(row.geq(f64::from(count))))
        .collect();
    let supply_rows: Vec<_> = supply
        .into_iter()
        .zip(limits)
        .map(|(row, limit)| limit.map(|most| problem.add_constraint(row.leq(f64::from(most)))))
        .collect();
    let solution = back_end::solve(problem).ok()?;
    let value = cost.eval_with(&solution);
    let values: Vec<f64> = chosen.iter().map(|&times| solution.value(times)).collect();
    let duals = solution.dual_rows();
    let fixed = |dual: f64, most: f64| (dual.max(0.0).min(most) * WEIGHT_SCALE) as i64;
    let weights = (0..demand_rows.len())
        .map(|row| fixed(duals[row], LEFT_OUT_PRICE))
        .collect();
    let mut row = demand_rows.len();
    let supply = supply_rows.iter().map(|limited| match limited {
        Some(_) => {
            row += 1;
            fixed(-duals[row - 1], SUPPLY_PRICE)
        }
        None => 0,
    });
    Some(Master {
        value,
        supply: supply.collect(),
        columns: pool.iter().cloned().zip(values).collect(),
        weights,
    })
}

/// Outcome of an integer programme over listed columns.
#[derive(Clone, Debug)]
pub(super) enum Chosen {
    /// How often to use each column, those not used left out.
    Packs(Vec<(Column, u32)>),
    /// No choice packs.
    Never,
    /// Node limit.
    Unsettled,
}

/// Chooses columns that hold the whole demand within the limits, in at most `nodes` nodes.
pub(super) fn choose(
    packing: &Packing,
    limits: &[Option<u32>],
    columns: &[Column],
    nodes: u32,
) -> Chosen {
    let mut variables = ProblemVariables::new();
    let mut rows: Vec<Expression> = vec![Expression::with_capacity(16); packing.sizes.len()];
    let mut supply: Vec<Expression> = vec![Expression::with_capacity(16); packing.kinds.len()];
    let mut times = Vec::with_capacity(columns.len());
    for column in columns {
        let most = column
            .pattern
            .parts()
            .map(|(class, count)| packing.demand[class].div_ceil(count));
        let most = most
            .max()
            .unwrap_or(0)
            .min(limits[column.kind].unwrap_or(u32::MAX));
        let chosen = variables.add(variable().integer().min(0.0).max(f64::from(most)));
        supply[column.kind].add_mul(1.0, chosen);
        for (class, count) in column.pattern.parts() {
            rows[class].add_mul(f64::from(count), chosen);
        }
        times.push(chosen);
    }
    let nodes = i32::try_from(nodes).unwrap_or(i32::MAX);
    let mut problem =
        repeatable(variables, Expression::with_capacity(0)).set_option("mip_max_nodes", nodes);
    for (row, &count) in rows.into_iter().zip(&packing.demand) {
        problem.add_constraint(row.geq(f64::from(count)));
    }
    for (row, limit) in supply.into_iter().zip(limits) {
        if let Some(most) = limit {
            problem.add_constraint(row.leq(f64::from(*most)));
        }
    }
    match back_end::solve(problem) {
        Ok(solution) => {
            let used = columns
                .iter()
                .zip(&times)
                .map(|(column, &chosen)| (column.clone(), solution.value(chosen).round() as u32));
            Chosen::Packs(used.filter(|&(_, count)| count > 0).collect())
        }
        Err(ResolutionError::Infeasible) => Chosen::Never,
        Err(_) => Chosen::Unsettled,
    }
}
