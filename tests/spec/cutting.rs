//! Rules of cutting: what a pull is, when it is parted, what counts as waste.

use duskwright_solver::cut::{
    CutEffort, CutJob, CutOrder, CutPiece, CutSource, cut, cut_jobs, cut_order, pulls,
};
use duskwright_solver::job::{Remnant, Spool};
use duskwright_solver::units::{GridSteps, Money};
use duskwright_tests::build::*;
use duskwright_tests::cut_lists::assert_cuts;

fn spool(length: i64, price: &str) -> Spool {
    Spool {
        length: GridSteps(length),
        price: money(price),
    }
}

fn remnant(length: i64, count: u32) -> Remnant {
    Remnant {
        length: GridSteps(length),
        count,
    }
}

fn piece(id: &str, length: i64) -> CutPiece {
    CutPiece::new(id, GridSteps(length))
}

fn planned(job: &CutJob) -> duskwright_solver::cut::CutPlan {
    let plan = cut(job, &CutEffort::default()).expect("every piece fits");
    assert_cuts(job, &plan);
    assert!(plan.proved);
    plan
}

#[test]
fn a_chain_of_one_cable_is_one_pull_marked_at_its_joints() {
    let pulls = pulls(&row(), &chain());
    assert_eq!(pulls.len(), 1);
    // Three pieces of 10 m = 1000 steps of 1 cm each.
    assert_eq!(pulls[0].length(), GridSteps(3000));
    assert_eq!(pulls[0].marks(), [GridSteps(1000), GridSteps(2000)]);
    let ways: Vec<(&str, &str, &str)> = pulls[0]
        .pieces
        .iter()
        .map(|piece| (piece.id.as_str(), piece.from.as_str(), piece.to.as_str()))
        .collect();
    assert_eq!(
        ways,
        [
            ("C1-P1", "S", "A"),
            ("C1-P2", "A", "B"),
            ("C1-P3", "B", "C")
        ]
    );
}

#[test]
fn a_pull_ends_where_the_cable_changes_and_at_a_hub() {
    let mut plan = chain();
    plan.circuits[0].joints[2].incoming.cable = THIN;
    let lengths = |plan| {
        let pulls = pulls(&row(), plan);
        pulls.iter().map(|pull| pull.length().0).collect::<Vec<_>>()
    };
    assert_eq!(lengths(&plan), [2000, 1000]);

    let mut plan = chain();
    plan.circuits[0].joints[0].hardware = HUB;
    assert_eq!(lengths(&plan), [1000, 2000]);
}

#[test]
fn at_a_tee_the_pull_follows_the_longer_way_of_its_cable() {
    let mut plan = chain();
    // From A one piece back to S (10 m) and one on to C by way of B (20 m).
    plan.circuits[0].joints[1] = joint(S, SPLICE, Some(0), &[SA_LAWN]);
    plan.circuits[0].joints[2] = joint(C, SPLICE, Some(0), &[AB, BC]);
    let pulls = pulls(&row(), &plan);
    let lengths: Vec<i64> = pulls.iter().map(|pull| pull.length().0).collect();
    assert_eq!(lengths, [3000, 1000]);
    assert_eq!(pulls[0].marks(), [GridSteps(1000)]);
}

#[test]
fn each_cable_of_a_plan_is_a_cutting_problem_of_its_own() {
    let mut plan = chain();
    plan.circuits[0].joints[2].incoming.cable = THIN;
    let mut job = row();
    job.cables[1].spools = vec![spool(5000, "40")];
    job.cables[1].stock = vec![remnant(700, 2)];
    let jobs = cut_jobs(&job, &plan, GridSteps(300));
    let cables: Vec<_> = jobs
        .iter()
        .map(|(cable, list)| (*cable, list.pieces.len()))
        .collect();
    assert_eq!(cables, [(THICK, 2), (THIN, 1)]);
    assert_eq!(jobs[0].1.pieces[1], piece("C1-P2", 1000).joined());
    assert_eq!(jobs[1].1.spools, [spool(5000, "40")]);
    assert_eq!(jobs[1].1.stock, [remnant(700, 2)]);
}

#[test]
fn a_pull_stays_whole_where_that_costs_nothing() {
    // One spool of 1000 and one of 600 either way; A-B together take 600.
    let job = CutJob {
        pieces: vec![piece("A", 300), piece("B", 300).joined(), piece("C", 950)],
        spools: vec![spool(600, "30"), spool(1000, "45")],
        ..CutJob::default()
    };
    let plan = planned(&job);
    assert_eq!((plan.cost, plan.partings), (money("75"), 0));
    assert_eq!(plan.spools[0].cuts[0].pieces, 0..2);
}

#[test]
fn a_pull_is_parted_where_that_is_cheaper_or_no_spool_holds_it() {
    // Whole pulls of 700 need two spools of 1000; parted, 700 + 300 and 400 fit 1000 and 400.
    let job = CutJob {
        pieces: vec![piece("A", 700), piece("B", 300), piece("C", 400).joined()],
        spools: vec![spool(1000, "50"), spool(400, "21")],
        ..CutJob::default()
    };
    let plan = planned(&job);
    assert_eq!((plan.cost, plan.partings), (money("71"), 1));

    let longer_than_any_spool = CutJob {
        pieces: vec![
            piece("A", 700),
            piece("B", 600).joined(),
            piece("C", 300).joined(),
        ],
        spools: vec![spool(1000, "50")],
        ..CutJob::default()
    };
    let plan = planned(&longer_than_any_spool);
    assert_eq!((plan.cost, plan.partings), (money("100"), 1));
}

#[test]
fn remnants_on_hand_are_free_and_limited() {
    let job = CutJob {
        pieces: vec![piece("A", 90), piece("B", 90), piece("C", 90)],
        spools: vec![spool(100, "10")],
        stock: vec![remnant(95, 2)],
        shortest_useful: GridSteps(8),
    };
    let plan = planned(&job);
    assert_eq!(plan.cost, money("10"));
    assert_eq!((plan.drawn(&job), plan.bought(&job)), (vec![2], vec![1]));
    // Five steps are left of each remnant: waste. Ten are left of the spool: useful.
    assert_eq!(
        (plan.waste, plan.usable),
        (GridSteps(10), vec![GridSteps(10)])
    );
}

#[test]
fn a_free_spool_on_sale_is_used_as_often_as_needed() {
    let job = CutJob {
        pieces: vec![piece("A", 90), piece("B", 90), piece("C", 150)],
        spools: vec![spool(100, "0"), spool(200, "12")],
        ..CutJob::default()
    };
    let plan = planned(&job);
    assert_eq!(plan.cost, money("12"));
    assert!(
        plan.spools
            .iter()
            .all(|spool| matches!(spool.source, CutSource::Bought(_)))
    );
}

#[test]
fn nothing_to_cut_costs_nothing() {
    let plan = planned(&CutJob::default());
    assert_eq!((plan.cost, plan.spools.len()), (Money::ZERO, 0));
}

#[test]
fn jobs_cut_together_save_what_one_by_one_wastes() {
    // One by one: 60 from a spool of 100 twice, the 40 left are no use to the other job.
    // Together: 60 and 60 from one of 120.
    let order = CutOrder {
        lists: vec![vec![piece("A", 60)], vec![piece("B", 60)]],
        spools: vec![spool(100, "10"), spool(120, "13")],
        stock: Vec::new(),
        shortest_useful: GridSteps(20),
    };
    let planned = cut_order(&order, &CutEffort::default()).expect("every piece fits");
    assert_eq!(planned.separately, Some(vec![money("10"), money("10")]));
    assert_eq!(
        (planned.plan.cost, planned.saving()),
        (money("13"), Some(money("7")))
    );
    assert_eq!(planned.starts, [0, 1]);
}

#[test]
fn a_useful_remnant_of_one_job_serves_the_next() {
    let order = CutOrder {
        lists: vec![vec![piece("A", 60)], vec![piece("B", 40)]],
        spools: vec![spool(100, "10")],
        stock: Vec::new(),
        shortest_useful: GridSteps(20),
    };
    let planned = cut_order(&order, &CutEffort::default()).expect("every piece fits");
    assert_eq!(planned.separately, Some(vec![money("10"), Money::ZERO]));
    assert_eq!(planned.saving(), Some(Money::ZERO));
}
