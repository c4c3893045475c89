//! Which runs a programme is built with: those that a plan cheaper than the
//! incumbent may hold.
//!
//! The programme's rows are priced: `u_f` for serving fixture `f`, `p_ef >= 0` for
//! `f` in trench `e`, `q_sf >= 0` for `f` on unit `s`. A run `r` then has the reduced cost
//!
//! ```text
//! c_r - sum u_f + sum p_ef + sum q_sf      over its fixtures f, its trenches e and its unit s
//! ```
//!
//! and for any such prices no plan of these runs costs less than
//!
//! ```text
//! L = sum u_f + sum_r min(0, reduced cost) + sum_e min(0, d_e - sum_f p_ef) + sum_s min(0, t_s - sum_f q_sf)
//! ```
//!
//! so that a run whose reduced cost exceeds the incumbent's cost less `L` is in no cheaper plan
//! and is left out (prices by subgradient steps after B. T. Polyak, USSR Comput. Math. Math.
//! Phys. 9 (1969) 14-29; from memory). Where trenches cost nothing that leaves few; where they
//! do, `L` stays low in so few steps, and the places go in turn to the runs of the cheapest
//! plans and to those of the least reduced cost. Prices from the linear relaxation itself, with
//! a row for each fixture and trench, would take HiGHS longer than all the search.

use super::{Column, Kind, Known, Pool, UnitKey, runs_by_key};
use crate::ids::{FixtureId, SegmentId};
use crate::optimise::state::State;
use crate::plan::TransformerSource;
use crate::run::Context;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Most columns of a programme; beyond, it would cost more than it brings.
const MOST_COLUMNS: usize = 1000;

/// Most runs that are priced, and links of the programme for each of them: pricing all for a
/// small programme took longer than its solution.
const MOST_PRICED: usize = 2000;
const LINKS_PER_PRICED: usize = 2;

/// Steps of the prices.
const STEPS: u32 = 200;
/// Steps without a better `L` after which they are halved.
const PATIENCE: u32 = 10;

/// The columns of a programme: the plan's own, then others as far as `most_links` goes
/// (a link is a place of a fixture in a run, or of a fixture and a trench). The plan's runs are in the pool.
pub(super) fn choose(
    ctx: &Context<'_>,
    pool: &Pool,
    plan: &State,
    most_links: usize,
) -> Vec<Column> {
    let runs = runs_by_key(plan).into_iter();
    let own: Vec<Kind> = runs.map(|(key, _, run)| Kind::of(ctx, key, run)).collect();
    let (mut known, mut others): (Vec<(&Kind, &Known)>, Vec<_>) =
        (pool.known.iter()).partition(|(kind, _)| own.contains(kind));
    let own = known.len();
    others.sort_by(|x, y| x.1.plan_cost.total_cmp(&y.1.plan_cost));
    known.extend(others);
    known.truncate(MOST_PRICED.min(own + most_links / LINKS_PER_PRICED));
    let rows = Rows::new(ctx, pool, &known);
    let (least, reduced) = rows.climb(rows.first_prices(own), plan.cost());
    let worth = |at: &usize| reduced[*at] <= plan.cost() - least;
    let by_plan: Vec<usize> = (own..known.len()).filter(worth).collect();
    let mut by_price = by_plan.clone();
    by_price.sort_by(|&x, &y| reduced[x].total_cmp(&reduced[y]));
    let in_turn = by_plan.iter().zip(&by_price).flat_map(|(&x, &y)| [x, y]);
    let mut taken = vec![false; known.len()];
    let mut links = 0;
    (0..own)
        .chain(in_turn)
        .filter(|&at| !std::mem::replace(&mut taken[at], true))
        .take_while(|&at| {
            links += known[at].0.fixtures.len() * (1 + known[at].0.trenches.len());
            at < own || links <= most_links
        })
        .take(MOST_COLUMNS)
        .map(|at| Column {
            kind: known[at].0.clone(),
            run: Arc::clone(&known[at].1.run),
        })
        .collect()
}

/// A link of a fixture to something that is paid once: a trench, a unit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Shared {
    Trench(SegmentId),
    Unit(UnitKey),
}

/// The rows of the programme as the prices see them; costs in the job's money.
struct Rows {
    /// Cost of each run by itself.
    cost: Vec<f64>,
    /// Fixtures of each run.
    fixtures: Vec<Vec<FixtureId>>,
    /// For each run the links it fills.
    links: Vec<Vec<usize>>,
    /// For each link what is paid, as a position in `paid`.
    link_of: Vec<usize>,
    /// Cost of each trench and unit.
    paid: Vec<f64>,
    /// Fixtures of the job.
    count: usize,
}

/// A number for each row: prices in the job's money, or by how much runs miss the row.
struct Prices {
    /// By fixture: `u_f`.
    serve: Vec<f64>,
    /// By link: `p_ef` and `q_sf`, never below 0.
    link: Vec<f64>,
}

impl Rows {
    fn new(ctx: &Context<'_>, pool: &Pool, known: &[(&Kind, &Known)]) -> Self {
        let mut rows = Self {
            cost: Vec::new(),
            fixtures: Vec::new(),
            links: Vec::new(),
            link_of: Vec::new(),
            paid: Vec::new(),
            count: ctx.fixtures.len(),
        };
        let mut link_at: BTreeMap<(Shared, FixtureId), usize> = BTreeMap::new();
        let mut paid_at: BTreeMap<Shared, usize> = BTreeMap::new();
        for (kind, known) in known {
            let mut links = Vec::new();
            for shared in shared(kind) {
                let paid = *paid_at.entry(shared).or_insert_with(|| {
                    rows.paid.push(match shared {
                        Shared::Trench(segment) => ctx.opening[segment.index()],
                        Shared::Unit(key) => match key.source {
                            TransformerSource::New(_) => ctx.unit_cost(pool.models[&key].model),
                            TransformerSource::Existing(_) => 0.0,
                        },
                    });
                    rows.paid.len() - 1
                });
                for &fixture in &kind.fixtures {
                    let next = rows.link_of.len();
                    let link = *link_at.entry((shared, fixture)).or_insert(next);
                    if link == next {
                        rows.link_of.push(paid);
                    }
                    links.push(link);
                }
            }
            rows.cost.push(known.run.figures.cost);
            rows.fixtures.push(kind.fixtures.clone());
            rows.links.push(links);
        }
        rows
    }

    /// What the plan pays, shared out among the fixtures that use it: its own runs,
    /// the first so many, have no reduced cost.
    fn first_prices(&self, own: usize) -> Prices {
        let mut prices = Prices {
            serve: vec![0.0; self.count],
            link: vec![0.0; self.link_of.len()],
        };
        let mut users = vec![0.0; self.paid.len()];
        for run in 0..own {
            for &link in &self.links[run] {
                users[self.link_of[link]] += 1.0;
            }
        }
        for run in 0..own {
            for &link in &self.links[run] {
                let paid = self.link_of[link];
                prices.link[link] = self.paid[paid] / users[paid];
            }
            let linked: f64 = self.links[run].iter().map(|&link| prices.link[link]).sum();
            let each = (self.cost[run] + linked) / self.fixtures[run].len().max(1) as f64;
            for id in &self.fixtures[run] {
                prices.serve[id.index()] = each;
            }
        }
        prices
    }

    /// `L` at some prices, with the reduced costs and the rows' violation.
    fn evaluate(&self, prices: &Prices, reduced: &mut [f64], miss: &mut Prices) -> f64 {
        miss.serve.fill(1.0);
        miss.link.fill(0.0);
        let mut least: f64 = prices.serve.iter().sum();
        for (run, reduced) in reduced.iter_mut().enumerate() {
            let served = self.fixtures[run].iter();
            let served: f64 = served.map(|id| prices.serve[id.index()]).sum();
            let linked: f64 = self.links[run].iter().map(|&link| prices.link[link]).sum();
            let cost = self.cost[run] - served + linked;
            *reduced = cost;
            if cost < 0.0 {
                least += cost;
                for id in &self.fixtures[run] {
                    miss.serve[id.index()] -= 1.0;
                }
                for &link in &self.links[run] {
                    miss.link[link] += 1.0;
                }
            }
        }
        let mut left = self.paid.clone();
        for (link, &paid) in self.link_of.iter().enumerate() {
            left[paid] -= prices.link[link];
        }
        least += left.iter().map(|left| left.min(0.0)).sum::<f64>();
        for (link, &paid) in self.link_of.iter().enumerate() {
            if left[paid] < 0.0 {
                miss.link[link] -= 1.0;
            }
        }
        least
    }

    /// Improves the prices; the best `L` and the reduced costs there.
    fn climb(&self, mut prices: Prices, aim: f64) -> (f64, Vec<f64>) {
        let mut miss = Prices {
            serve: vec![0.0; prices.serve.len()],
            link: vec![0.0; prices.link.len()],
        };
        let mut reduced = vec![0.0; self.cost.len()];
        let mut best = (f64::NEG_INFINITY, Vec::new());
        let (mut scale, mut waited) = (1.0, 0);
        for _ in 0..STEPS {
            let least = self.evaluate(&prices, &mut reduced, &mut miss);
            if least > best.0 {
                best = (least, reduced.clone());
                waited = 0;
            } else {
                waited += 1;
                if waited >= PATIENCE {
                    scale /= 2.0;
                    waited = 0;
                }
            }
            let square = |values: &[f64]| values.iter().map(|value| value * value).sum::<f64>();
            // A link that is not priced and not filled pulls nowhere.
            for (miss, &price) in miss.link.iter_mut().zip(&prices.link) {
                if price <= 0.0 && *miss < 0.0 {
                    *miss = 0.0;
                }
            }
            let norm = square(&miss.serve) + square(&miss.link);
            if norm <= 0.0 || aim <= least {
                break;
            }
            let step = scale * (aim - least) / norm;
            for (price, miss) in prices.serve.iter_mut().zip(&miss.serve) {
                *price += step * miss;
            }
            for (price, miss) in prices.link.iter_mut().zip(&miss.link) {
                *price = (*price + step * miss).max(0.0);
            }
        }
        best
    }
}

/// What a run shares with others.
fn shared(kind: &Kind) -> impl Iterator<Item = Shared> + '_ {
    let trenches = kind.trenches.iter().map(|&segment| Shared::Trench(segment));
    trenches.chain([Shared::Unit(kind.unit)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::optimise::insert::{Random, child_random};
    use rand::RngExt as _;

    const FIXTURES: usize = 5;

    /// Runs of one to three of five fixtures, each in up to three of four trenches, on one of two units.
    fn made_up(random: &mut Random) -> Rows {
        let mut rows = Rows {
            cost: Vec::new(),
            fixtures: Vec::new(),
            links: Vec::new(),
            link_of: (0..6).flat_map(|paid| [paid; FIXTURES]).collect(),
            paid: (0..6)
                .map(|_| f64::from(random.random_range(0..9_u32)))
                .collect(),
            count: FIXTURES,
        };
        for run in 0..12 {
            let first = run % FIXTURES;
            let mut fixtures = vec![first];
            for _ in 0..random.random_range(0..3_u32) {
                fixtures.push(random.random_range(0..FIXTURES));
            }
            fixtures.sort_unstable();
            fixtures.dedup();
            let mut shared = vec![4 + random.random_range(0..2_usize)];
            for _ in 0..random.random_range(0..4_u32) {
                shared.push(random.random_range(0..4_usize));
            }
            shared.sort_unstable();
            shared.dedup();
            let pairs = shared
                .iter()
                .flat_map(|paid| fixtures.iter().map(move |at| paid * FIXTURES + at));
            rows.links.push(pairs.collect());
            rows.cost.push(f64::from(random.random_range(1..20_u32)));
            rows.fixtures
                .push(fixtures.into_iter().map(FixtureId::new).collect());
        }
        rows
    }

    /// The cheapest choice of runs that serves each fixture once, by trying all.
    fn cheapest(rows: &Rows) -> Option<(f64, usize)> {
        let choices = 0..1_usize << rows.cost.len();
        choices
            .filter_map(|choice| {
                let mut served = [0; FIXTURES];
                let mut paid = vec![false; rows.paid.len()];
                let mut cost = 0.0;
                for run in (0..rows.cost.len()).filter(|run| choice >> run & 1 == 1) {
                    cost += rows.cost[run];
                    rows.fixtures[run]
                        .iter()
                        .for_each(|id| served[id.index()] += 1);
                    rows.links[run]
                        .iter()
                        .for_each(|&link| paid[rows.link_of[link]] = true);
                }
                let shared: f64 = (rows.paid.iter().zip(&paid))
                    .filter(|(_, paid)| **paid)
                    .map(|(price, _)| price)
                    .sum();
                served
                    .iter()
                    .all(|&times| times == 1)
                    .then_some((cost + shared, choice))
            })
            .min_by(|x, y| x.0.total_cmp(&y.0))
    }

    /// Whatever the prices, no choice costs less than `L`, and none of the cheapest
    /// choice's runs is left out.
    #[test]
    fn the_cheapest_choice_is_never_left_out() {
        let mut random = child_random(1, 0);
        let (mut tried, mut left_out) = (0, 0);
        for _ in 0..60 {
            let rows = made_up(&mut random);
            let Some((cost, choice)) = cheapest(&rows) else {
                continue;
            };
            tried += 1;
            let (least, reduced) = rows.climb(rows.first_prices(0), cost);
            assert!(least <= cost + 1e-9, "{least} above {cost}");
            for (run, reduced) in reduced.iter().enumerate() {
                let kept = *reduced <= cost - least + 1e-9;
                assert!(
                    kept || choice >> run & 1 == 0,
                    "run {run} of the cheapest choice"
                );
                left_out += usize::from(!kept);
            }
        }
        assert!(
            tried > 40 && left_out > 100,
            "{tried} choices, {left_out} runs left out"
        );
    }
}
