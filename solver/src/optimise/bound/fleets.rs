//! Least cost of new transformers for a load: whole numbers of them, zones apart,
//! by dynamic programming over their number and what they may deliver together.
//!
//! Every zone switched at a whole transformer needs transformers of its own, and the zones
//! switched at a secondary need others, with secondaries enough: a *group* each. Whatever
//! a plan buys for a group holds a cover of the group's load, and what it buys besides adds
//! to the whole alone; so every fleet is one cover for each group and any transformers more.

use super::sources::{VA_TOLERANCE, most_apparent};
use crate::job::Job;
use std::collections::BTreeMap;

/// Steps per least demand.
const STEPS_PER_DEMAND: usize = 800;

/// Demand covered at most, as a multiple of the least: beyond that fleets are not told apart.
const MOST_DEMANDS: usize = 3;

/// Transformers counted one by one; the last number stands for more as well.
const MOST_COUNTED: usize = 16;

/// What a group of fixtures needs of transformers of its own.
#[derive(Clone, Copy, Debug)]
pub(super) struct Group {
    /// VA, above what standing transformers may carry.
    pub va: f64,
    /// Secondaries.
    pub secondaries: usize,
    /// Transformers of its own, at least.
    pub transformers: usize,
}

/// One transformer model: what it adds, and its money.
#[derive(Clone, Copy, Debug)]
struct Size {
    steps: usize,
    secondaries: usize,
    cost: f64,
}

/// Transformers bought together.
#[derive(Clone, Copy, Debug)]
struct Cover {
    count: usize,
    steps: usize,
    cost: f64,
}

/// Least cost of new transformers by their number and what they may deliver.
pub(super) struct Fleets {
    step_va: f64,
    /// `least[n][d]`: least cost of exactly `n` transformers that deliver exactly `d` steps;
    /// the last `n` and the last `d` stand for more as well.
    least: Vec<Vec<f64>>,
}

impl Fleets {
    /// Fleets for a load of `demand_va` of which `groups` need some of their own.
    pub(super) fn new(job: &Job, demand_va: f64, groups: &[Group]) -> Self {
        let labour = job.rates.labour.cost().value();
        let step_va = (demand_va / STEPS_PER_DEMAND as f64).max(1e-9);
        let most_steps = STEPS_PER_DEMAND * MOST_DEMANDS;
        let sizes: Vec<Size> = (job.transformers.iter())
            .map(|model| {
                let steps = (most_apparent(job, model) / step_va).ceil() as usize;
                let cost = model.price.cost().value() + model.hours.value() * labour;
                Size {
                    steps: steps.min(most_steps),
                    secondaries: model.secondaries.len(),
                    cost: cost.max(0.0),
                }
            })
            .collect();
        let nothing = vec![vec![f64::INFINITY; most_steps + 1]; MOST_COUNTED + 1];
        let mut least = nothing.clone();
        least[0][0] = 0.0;
        for group in groups {
            let mut with = nothing.clone();
            for cover in covers(&sizes, steps_of(group.va, step_va), group) {
                for (n, row) in least.iter().enumerate() {
                    add(&mut with[(n + cover.count).min(MOST_COUNTED)], row, cover);
                }
            }
            least = with;
        }
        for n in 0..=MOST_COUNTED {
            let next = (n + 1).min(MOST_COUNTED);
            for size in &sizes {
                for d in 0..=most_steps {
                    let to = (d + size.steps).min(most_steps);
                    let cost = least[n][d] + size.cost;
                    if cost < least[next][to] {
                        least[next][to] = cost;
                    }
                }
            }
        }
        Self { step_va, least }
    }

    /// Least cost of at least `fresh` new transformers by what they may deliver; `besides` is
    /// the further money for their number, infinite where so many find no place.
    pub(super) fn costs(&self, fresh: usize, besides: &dyn Fn(usize) -> f64) -> Costs {
        let mut least = vec![f64::INFINITY; self.least[0].len()];
        for (n, row) in self.least.iter().enumerate().skip(fresh.min(MOST_COUNTED)) {
            let besides = besides(n);
            for (least, cost) in least.iter_mut().zip(row) {
                *least = least.min(cost + besides);
            }
        }
        // What delivers more delivers less as well.
        for d in (1..least.len()).rev() {
            least[d - 1] = least[d - 1].min(least[d]);
        }
        Costs {
            step_va: self.step_va,
            least,
        }
    }
}

/// Steps that `va` fills for certain.
fn steps_of(va: f64, step_va: f64) -> usize {
    ((va - VA_TOLERANCE) / step_va).floor().max(0.0) as usize
}

/// `row` with `cover` bought besides.
fn add(with: &mut [f64], row: &[f64], cover: Cover) {
    let last = row.len() - 1;
    for (d, cost) in row.iter().enumerate().filter(|(_, cost)| cost.is_finite()) {
        let to = &mut with[(d + cover.steps).min(last)];
        *to = to.min(cost + cover.cost);
    }
}

/// Sets of transformers, at least one, that deliver `steps` with the secondaries of a group and
/// are as many: all of which no part suffices, but for those that another of as many betters.
fn covers(sizes: &[Size], steps: usize, group: &Group) -> Vec<Cover> {
    let secondaries = group.secondaries;
    // Least cost by steps and secondaries of sets that do not suffice yet.
    let mut partial = BTreeMap::from([((0, 0), 0.0)]);
    let mut found: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    let least = |map: &mut BTreeMap<(usize, usize), f64>, key, cost: f64| {
        let known = map.entry(key).or_insert(f64::INFINITY);
        *known = known.min(cost);
    };
    for count in 1..=MOST_COUNTED {
        let mut next = BTreeMap::new();
        for (&(have, with), cost) in &partial {
            for size in sizes {
                let useful = (have < steps && size.steps > 0)
                    || (with < secondaries && size.secondaries > 0)
                    || count <= group.transformers;
                if count > 1 && !useful {
                    continue;
                }
                let (have, with) = (have + size.steps, with + size.secondaries);
                if have >= steps && with >= secondaries && count >= group.transformers {
                    least(&mut found, (count, have), cost + size.cost);
                } else {
                    least(&mut next, (have, with.min(secondaries)), cost + size.cost);
                }
            }
        }
        partial = next;
    }
    // Sets of more transformers: at least this dear, and nothing is known of what they deliver.
    if let Some(cost) = partial.into_values().reduce(f64::min) {
        least(&mut found, (MOST_COUNTED, usize::MAX / 2), cost);
    }
    let mut kept: Vec<Cover> = Vec::new();
    for ((count, steps), cost) in found.into_iter().rev() {
        let betters = |other: &Cover| other.count == count && other.cost <= cost;
        if !kept.iter().any(betters) {
            kept.push(Cover { count, steps, cost });
        }
    }
    kept
}

/// Least cost by what the transformers may deliver.
pub(super) struct Costs {
    step_va: f64,
    /// By steps; never falls.
    least: Vec<f64>,
}

/// A range of what fleets may deliver.
#[derive(Clone, Copy, Debug)]
pub(super) struct Level {
    /// Least cost of a fleet in this range.
    pub cost: f64,
    /// Most VA that a fleet in this range may deliver; infinite for the last.
    pub most_va: f64,
    /// Steps that it delivers at least.
    pub from: usize,
}

impl Costs {
    /// Least cost of a fleet that delivers `va`.
    pub(super) fn of(&self, va: f64) -> f64 {
        self.of_steps(steps_of(va, self.step_va))
    }

    /// Least cost of a fleet that delivers so many steps.
    pub(super) fn of_steps(&self, steps: usize) -> f64 {
        self.least[steps.min(self.least.len() - 1)]
    }

    /// The ranges told apart, for fleets that deliver `from_va` or more: every fleet is in one,
    /// by what it may deliver.
    pub(super) fn levels(&self, from_va: f64) -> Vec<Level> {
        let first = steps_of(from_va, self.step_va).min(self.least.len() - 1);
        let mut levels = Vec::new();
        let (mut cost, mut from) = (self.least[first], first);
        for d in first + 1..self.least.len() {
            if self.least[d] > cost {
                // A fleet of `d` steps, its transformers rounded up, costs more; one of fewer may not.
                levels.push(Level {
                    cost,
                    most_va: (d - 1) as f64 * self.step_va + VA_TOLERANCE,
                    from,
                });
                (cost, from) = (self.least[d], d);
            }
        }
        levels.push(Level {
            cost,
            most_va: f64::INFINITY,
            from,
        });
        levels.retain(|level| level.cost.is_finite());
        levels
    }
}
