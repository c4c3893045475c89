//! The cutting of a plan, held against the plan and the tables by the checker.

use duskwright_solver::bill::CableCutting;
use duskwright_solver::check::{Rule, cutting};
use duskwright_solver::cut::{CutEffort, CutSource, cut, cut_jobs};
use duskwright_solver::job::{Job, Remnant, Spool};
use duskwright_solver::plan::Plan;
use duskwright_solver::units::{GridSteps, Metres};
use duskwright_tests::build::{THICK, chain, money, row};

/// The chain of three pieces cut from a remnant that holds one of them and spools of 25 m.
fn cut_chain() -> (Job, Plan, Vec<CableCutting>) {
    let (mut job, plan) = (row(), chain());
    let grid = job.units.grid();
    for cable in &mut job.cables {
        cable.spools = vec![Spool {
            length: grid.floor(Metres::new(25.0)),
            price: money("40"),
        }];
        cable.stock = vec![Remnant {
            length: grid.floor(Metres::new(12.0)),
            count: 1,
        }];
    }
    let cuttings = cut_jobs(&job, &plan, GridSteps(0))
        .into_iter()
        .map(|(cable, problem)| CableCutting {
            cable,
            plan: cut(&problem, &CutEffort::default()).expect("spools hold every piece"),
            problem,
        })
        .collect();
    (job, plan, cuttings)
}

/// What the checker says after one change.
fn said_of(change: impl FnOnce(&mut CableCutting, &mut Job)) -> Vec<String> {
    let (mut job, plan, mut cuttings) = cut_chain();
    change(&mut cuttings[0], &mut job);
    let found = cutting(&job, &plan, &cuttings);
    found.iter().map(ToString::to_string).collect()
}

fn only(said: &[String], words: &str) {
    assert_eq!(said.len(), 1, "{said:#?}");
    assert!(said[0].contains(words), "{said:#?}");
}

#[test]
fn a_cutting_that_fits_is_found_to_fit() {
    let (_, plan, cuttings) = cut_chain();
    assert_eq!(plan.circuits[0].home_run().cable, THICK);
    assert_eq!(cuttings.len(), 1);
    assert!(cuttings[0].plan.spools.len() >= 2, "{:?}", cuttings[0].plan);
    assert_eq!(said_of(|_, _| {}), Vec::<String>::new());
}

#[test]
fn a_piece_left_out_is_found() {
    let said = said_of(|cutting, _| {
        cutting.plan.spools[0].cuts.clear();
    });
    only(&said, "is cut from no spool");
    assert!(said[0].starts_with(Rule::Cutting.code()), "{said:?}");
}

#[test]
fn a_piece_cut_twice_is_found() {
    let said = said_of(|cutting, _| {
        let again = cutting.plan.spools[0].cuts[0].clone();
        cutting.plan.spools[0].cuts.push(again);
    });
    assert!(said.iter().any(|one| one.contains("cut twice")), "{said:?}");
    assert!(
        said.iter().any(|one| one.contains("steps of length")),
        "{said:?}"
    );
}

#[test]
fn a_piece_of_another_length_than_the_plans_is_found() {
    let said = said_of(|cutting, _| cutting.problem.pieces[0].length = GridSteps(1));
    only(&said, "is cut at 1 steps, the plan has");
}

#[test]
fn a_spool_that_is_on_no_table_is_found() {
    let said = said_of(|_, job| job.cables[THICK.index()].spools[0].length = GridSteps(4000));
    assert!(!said.is_empty());
    assert!(
        said.iter().all(|one| one.contains("is in no table")),
        "{said:?}"
    );
}

#[test]
fn more_remnants_than_lie_on_hand_are_found() {
    let said = said_of(|cutting, job| {
        let drawn = cutting.plan.spools.iter();
        assert!(
            drawn
                .into_iter()
                .any(|spool| spool.source == CutSource::Stock(0))
        );
        job.cables[THICK.index()].stock[0].count = 0;
    });
    only(&said, "found 1.000000, allowed 0.000000");
}

#[test]
fn a_price_that_is_not_the_sum_of_the_spools_is_found() {
    let said = said_of(|cutting, _| cutting.plan.cost = money("1.5"));
    only(&said, "price of the spools");
}
