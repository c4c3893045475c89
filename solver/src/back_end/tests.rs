//! Jobs planned and cable cut while HiGHS goes wrong in every way that it can.

use super::planted::{self, Planted};
use crate::check;
use crate::cut::{CutEffort, CutJob, CutPiece, CutPlan, cut};
use crate::job::{self, Job, JobText, Layout, Spool};
use crate::optimise::{Effort, Settings, Silent};
use crate::order::{Order, OrderChoice, PlannedJob};
use crate::solve::{Outcome, Solution, plan};
use crate::units::{GridSteps, Money};
use rust_decimal::Decimal;
use std::fs;
use std::path::Path;

const WAYS: [Planted; 8] = [
    Planted::Fails,
    Planted::Infeasible,
    Planted::NothingInTime,
    Planted::Answers(0.0),
    Planted::Answers(1.0),
    Planted::Answers(-3.0),
    Planted::Answers(1e300),
    Planted::Answers(f64::NAN),
];

/// The smallest sample.
fn courtyard() -> Job {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../samples");
    let mut text = JobText::new();
    for (folder, prefix) in [
        ("courtyard", ""),
        ("catalogue-metric", "../catalogue-metric/"),
    ] {
        for entry in fs::read_dir(samples.join(folder)).expect("the samples are there") {
            let path = entry.expect("readable").path();
            let name = path.file_name().expect("a file").to_string_lossy();
            text = text.with(
                format!("{prefix}{name}"),
                fs::read(&path).expect("readable"),
            );
        }
    }
    job::read(&text).expect("a sound sample").0
}

fn solved(job: &Job) -> Box<Solution> {
    let settings = Settings {
        effort: Effort::Quick,
        layout: Layout::Mixed,
        seed: 1,
    };
    match plan(job, &settings, &Silent) {
        Outcome::Feasible(solution) => solution,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_job_is_planned_and_its_cable_ordered_without_hi_ghs() {
    let job = courtyard();
    let sound = solved(&job);
    let ordered = |solution: &Solution| {
        let planned = PlannedJob {
            job: &job,
            plan: &solution.plan,
        };
        Order::of(&[planned], &OrderChoice::default()).expect("stock and spools suffice")
    };
    let pieces = ordered(&sound).labels.len();
    for way in WAYS {
        let ((solution, order), asked) = planted::run(way, 2, || {
            let solution = solved(&job);
            let order = ordered(&solution);
            (solution, order)
        });
        assert!(asked > 0, "{way:?}: HiGHS was not asked");
        let verdict = check::verify(&job, &solution.plan);
        assert!(verdict.is_lawful(), "{way:?}: {:?}", verdict.violations);
        let cost = solution.cost.total().value();
        assert!(solution.bound.value.value() <= cost, "{way:?}");
        // The search's own moves carry the plan; the programme only combines what they found.
        assert!(cost <= sound.cost.total().value() * 1.05, "{way:?}: {cost}");
        assert!(!order.labels.is_empty() && pieces > 0, "{way:?}");
    }
}

/// A cut list that the constructions do not settle: the classical gap of
/// [`crate::cut`]'s tests, and a spool of another length.
fn cut_list() -> CutJob {
    cut_from(132, &[(5, 44), (7, 33), (17, 12)])
}

/// Pieces as `(how many, how long)`, on spools of one length, each for one unit of money.
fn cut_from(spool: i64, pieces: &[(usize, i64)]) -> CutJob {
    let lengths = pieces
        .iter()
        .flat_map(|&(count, length)| vec![length; count]);
    CutJob {
        pieces: lengths
            .enumerate()
            .map(|(at, length)| CutPiece::new(at.to_string(), GridSteps(length)))
            .collect(),
        spools: vec![Spool {
            length: GridSteps(spool),
            price: Money::new(Decimal::ONE),
        }],
        ..CutJob::default()
    }
}

/// Every piece off one spool, once, and no spool longer than it is.
fn assert_cut(job: &CutJob, made: &CutPlan, way: Planted) {
    let mut times = vec![0; job.pieces.len()];
    for spool in &made.spools {
        let mut used = GridSteps(0);
        for cut in &spool.cuts {
            for piece in cut.pieces.clone() {
                times[piece] += 1;
                used = GridSteps(used.0 + job.pieces[piece].length.0);
            }
        }
        assert_eq!(used.0 + spool.remnant.0, spool.length.0, "{way:?}");
        assert!(spool.remnant.0 >= 0, "{way:?}");
    }
    assert!(times.iter().all(|&count| count == 1), "{way:?}: {times:?}");
    assert!(made.bound <= made.cost, "{way:?}");
}

#[test]
fn a_cutting_plan_holds_every_piece_whatever_hi_ghs_says() {
    let job = cut_list();
    for way in WAYS {
        let (made, asked) = planted::run(way, 1, || cut(&job, &CutEffort::default()));
        assert!(asked > 0, "{way:?}: HiGHS was not asked");
        let made = made.expect("every piece fits");
        assert_cut(&job, &made, way);
        assert_eq!(made.cost, Money::new(Decimal::from(6)), "{way:?}");
    }
}

/// Without the programmes the least cost is known no better than by length: 655 of 132
/// are five spools at least, and six are bought.
#[test]
fn what_was_not_proved_is_not_called_proved() {
    let job = cut_list();
    for way in [Planted::Fails, Planted::NothingInTime] {
        let (made, _) = planted::run(way, 1, || cut(&job, &CutEffort::default()));
        let made = made.expect("every piece fits");
        assert!(!made.proved, "{way:?}");
        assert_eq!(made.bound, Money::new(Decimal::from(5)), "{way:?}");
    }
}

/// A list that five spools hold, 833 of 855, which neither constructions nor the dive find: the
/// closing programme does.
fn closed_list() -> CutJob {
    cut_from(171, &[(7, 49), (5, 38), (5, 37), (3, 31), (1, 22)])
}

/// HiGHS says of the programmes from some question on, wrongly, that they have no solution.
#[test]
fn a_wrong_word_that_nothing_packs_proves_nothing() {
    let job = closed_list();
    let sound = Planted::InfeasibleAfter(u32::MAX);
    let (best, asked) = planted::run(sound, 1, || cut(&job, &CutEffort::default()));
    let best = best.expect("every piece fits");
    assert!(best.proved && best.cost == Money::new(Decimal::from(5)));
    for answered in 0..asked {
        let way = Planted::InfeasibleAfter(answered);
        for steps in [0, 1_000, CutEffort::default().steps] {
            let effort = CutEffort {
                steps,
                ..CutEffort::default()
            };
            let (made, _) = planted::run(way, 1, || cut(&job, &effort));
            let made = made.expect("every piece fits");
            assert_cut(&job, &made, way);
            assert!(made.bound <= best.cost, "{way:?}, {steps} steps");
            assert!(
                !made.proved || made.cost == best.cost,
                "{way:?}, {steps} steps"
            );
        }
    }
    // The last question is the closing programme. Of six spools nothing is proved then, unless
    // our own search is let to find the five.
    let way = Planted::InfeasibleAfter(asked - 1);
    for (steps, cost) in [(0, 6), (CutEffort::default().steps, 5)] {
        let effort = CutEffort {
            steps,
            ..CutEffort::default()
        };
        let (made, _) = planted::run(way, 1, || cut(&job, &effort));
        let made = made.expect("every piece fits");
        assert_eq!(made.cost, Money::new(Decimal::from(cost)), "{steps} steps");
        assert_eq!(made.proved, cost == 5, "{steps} steps");
    }
}

/// That five spools do not hold the list of the gap is true, and not proved by being said.
#[test]
fn a_true_word_that_nothing_packs_is_confirmed_first() {
    let job = cut_list();
    for (steps, proved) in [(0, false), (CutEffort::default().steps, true)] {
        let effort = CutEffort {
            steps,
            ..CutEffort::default()
        };
        let made = cut(&job, &effort).expect("every piece fits");
        assert_eq!(made.cost, Money::new(Decimal::from(6)));
        assert_eq!(made.proved, proved, "{steps} steps");
    }
}
