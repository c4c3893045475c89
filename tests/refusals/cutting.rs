//! Cut lists that cannot be cut: the whole message.

use duskwright_solver::cut::{CutEffort, CutJob, CutPiece, cut};
use duskwright_solver::job::{Remnant, Spool};
use duskwright_solver::units::GridSteps;
use duskwright_tests::build::money;

fn spool(length: i64, price: &str) -> Spool {
    Spool {
        length: GridSteps(length),
        price: money(price),
    }
}

fn job(pieces: &[(&str, i64)], spools: Vec<Spool>, stock: &[(i64, u32)]) -> CutJob {
    let named = pieces
        .iter()
        .map(|&(id, length)| CutPiece::new(id, GridSteps(length)));
    let held = stock.iter().map(|&(length, count)| Remnant {
        length: GridSteps(length),
        count,
    });
    CutJob {
        pieces: named.collect(),
        spools,
        stock: held.collect(),
        shortest_useful: GridSteps(0),
    }
}

fn refusal(job: &CutJob) -> String {
    cut(job, &CutEffort::default())
        .expect_err("a refusal")
        .to_string()
}

#[test]
fn a_piece_longer_than_every_spool_is_named_with_what_would_help() {
    let job = job(
        &[("C1-P1", 900), ("C1-P2", 1200), ("C1-P3", 1300)],
        vec![spool(1000, "50")],
        &[],
    );
    assert_eq!(
        refusal(&job),
        "pieces are longer than every spool and remnant: `C1-P2` (1200 steps), `C1-P3` (1300 steps); \
         longest at hand is 1000 grid steps; offer a spool of at least 1300 steps, or plan a joint inside the piece"
    );
}

#[test]
fn nothing_on_sale_and_nothing_on_hand_is_said() {
    assert_eq!(
        refusal(&job(&[("C1-P1", 900)], Vec::new(), &[(2000, 0)])),
        "a piece is longer than every spool and remnant: `C1-P1` (900 steps); longest at hand is 0 grid steps; \
         offer a spool of at least 900 steps, or plan a joint inside the piece"
    );
}

#[test]
fn pieces_for_which_only_too_few_remnants_are_long_enough_are_named() {
    assert_eq!(
        refusal(&job(
            &[("A", 900), ("B", 900), ("C", 10)],
            vec![spool(100, "5")],
            &[(1000, 1)]
        )),
        "longer than every spool on sale, and the remnants on hand do not hold them all: \
         `A` (900 steps), `B` (900 steps); offer a spool of at least 900 steps"
    );
}

#[test]
fn lengths_and_prices_out_of_range_are_refused() {
    assert_eq!(
        refusal(&job(&[("A", 0)], vec![spool(100, "5")], &[])),
        "piece `A` has length 0 steps; a length above zero is needed"
    );
    assert_eq!(
        refusal(&job(
            &[("A", 5)],
            vec![spool(100, "5"), spool(-3, "5")],
            &[]
        )),
        "spool 2 has length -3 steps; a length above zero is needed"
    );
    assert_eq!(
        refusal(&job(&[("A", 5)], vec![spool(100, "5")], &[(0, 1)])),
        "remnant 1 has length 0 steps; a length above zero is needed"
    );
    assert_eq!(
        refusal(&job(&[("A", 5)], vec![spool(100, "-0.01")], &[])),
        "spool 1 costs -0.01; accepted are prices from zero to 1000000, with at most 4 decimals"
    );
    assert_eq!(
        refusal(&job(&[("A", 5)], vec![spool(2_000_000, "1")], &[])),
        "the length of a spool in grid steps is 2000000; at most 1000000 can be cut exactly"
    );
}
