//! Cutting plans against exhaustive search on small cases.

use duskwright_solver::cut::{CutEffort, CutError, CutJob, CutOrder, CutPiece, cut, cut_order};
use duskwright_solver::job::{Remnant, Spool};
use duskwright_solver::units::{GridSteps, Money};
use duskwright_tests::cut_lists::{Draws, assert_cuts};
use proptest::prelude::*;
use rust_decimal::Decimal;

/// Least price in cents by trying every piece on every open and every new spool. `None`: impossible.
fn exhaustive(job: &CutJob) -> Option<i64> {
    let mut lengths: Vec<i64> = job.pieces.iter().map(|piece| piece.length.0).collect();
    lengths.sort_unstable_by_key(|&length| std::cmp::Reverse(length));
    let mut stock: Vec<i64> = Vec::new();
    for remnant in &job.stock {
        stock.extend((0..remnant.count).map(|_| remnant.length.0));
    }
    let mut best = None;
    place(job, &lengths, &mut stock, 0, &mut best);
    best
}

fn place(job: &CutJob, left: &[i64], rooms: &mut Vec<i64>, price: i64, best: &mut Option<i64>) {
    if best.is_some_and(|best| price >= best) {
        return;
    }
    let Some((&longest, rest)) = left.split_first() else {
        *best = Some(price);
        return;
    };
    for spool in 0..rooms.len() {
        let seen = rooms[..spool].contains(&rooms[spool]);
        if rooms[spool] >= longest && !seen {
            rooms[spool] -= longest;
            place(job, rest, rooms, price, best);
            rooms[spool] += longest;
        }
    }
    for spool in &job.spools {
        if spool.length.0 >= longest {
            rooms.push(spool.length.0 - longest);
            place(job, rest, rooms, price + cents(spool.price), best);
            rooms.pop();
        }
    }
}

fn cents(price: Money) -> i64 {
    i64::try_from(
        (price.decimal() * Decimal::from(100)).mantissa()
            / 10_i128.pow((price.decimal() * Decimal::from(100)).scale()),
    )
    .expect("small prices")
}

fn spool((length, cents): (i64, i64)) -> Spool {
    Spool {
        length: GridSteps(length),
        price: Money::new(Decimal::new(cents, 2)),
    }
}

fn pieces(lengths: &[(i64, bool)]) -> Vec<CutPiece> {
    let named = lengths
        .iter()
        .enumerate()
        .map(|(index, &(length, joined))| {
            let piece = CutPiece::new(format!("p{index}"), GridSteps(length));
            if joined { piece.joined() } else { piece }
        });
    named.collect()
}

fn small_jobs() -> impl Strategy<Value = CutJob> {
    let lengths = prop::collection::vec((4_i64..60, any::<bool>()), 1..9);
    let spools = prop::collection::vec((30_i64..130, 0_i64..900), 0..4);
    let stock = prop::collection::vec((5_i64..90, 0_u32..3), 0..3);
    (lengths, spools, stock).prop_map(|(lengths, spools, stock)| CutJob {
        pieces: pieces(&lengths),
        spools: spools.into_iter().map(spool).collect(),
        stock: stock
            .into_iter()
            .map(|(length, count)| Remnant {
                length: GridSteps(length),
                count,
            })
            .collect(),
        shortest_useful: GridSteps(10),
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_small_cutting_plan_costs_what_exhaustive_search_finds(job in small_jobs()) {
        match (exhaustive(&job), cut(&job, &CutEffort::default())) {
            (Some(least), Ok(plan)) => {
                assert_cuts(&job, &plan);
                prop_assert_eq!(cents(plan.cost), least);
                prop_assert!(plan.proved, "bound {}", plan.bound);
            }
            (None, Err(CutError::PieceTooLong { .. } | CutError::StockTooSmall { .. })) => {}
            (least, planned) => prop_assert!(false, "exhaustive {:?}, planned {:?}", least, planned),
        }
    }

    #[test]
    fn jobs_cut_together_never_cost_more_than_one_by_one(
        lists in prop::collection::vec(prop::collection::vec((4_i64..60, any::<bool>()), 0..6), 1..5),
        spools in prop::collection::vec((60_i64..130, 1_i64..900), 1..3),
        remnant in 5_i64..90,
    ) {
        let order = CutOrder {
            lists: lists.iter().map(|lengths| pieces(lengths)).collect(),
            spools: spools.into_iter().map(spool).collect(),
            stock: vec![Remnant { length: GridSteps(remnant), count: 1 }],
            shortest_useful: GridSteps(10),
        };
        let planned = cut_order(&order, &CutEffort::default()).expect("every piece fits a spool");
        let saving = planned.saving().expect("every piece fits a spool on sale");
        prop_assert!(saving >= Money::ZERO);
    }
}

/// Tight three-to-a-spool cases, where constructions fail and proofs of impossibility are needed.
#[test]
fn tight_cases_agree_with_exhaustive_search() {
    let mut draws = Draws::new(1);
    for case in 0..150 {
        let count = 6 + draws.below(4);
        let lengths: Vec<(i64, bool)> = (0..count)
            .map(|_| (250 + draws.below(200).cast_signed(), draws.below(2) == 0))
            .collect();
        let total: i64 = lengths.iter().map(|&(length, _)| length).sum();
        let third = total * 3 / count.cast_signed();
        let job = CutJob {
            pieces: pieces(&lengths),
            spools: vec![
                spool((third + 1 + case % 7, 300)),
                spool((2 * third + case % 5, 590)),
            ],
            stock: vec![Remnant {
                length: GridSteps(third),
                count: 1,
            }],
            shortest_useful: GridSteps(50),
        };
        let plan = cut(&job, &CutEffort::default()).expect("every piece fits");
        assert_cuts(&job, &plan);
        assert_eq!(
            Some(cents(plan.cost)),
            exhaustive(&job),
            "case {case}: {job:?}"
        );
        assert!(
            plan.proved,
            "case {case}: bound {} of {}",
            plan.bound, plan.cost
        );
    }
}
