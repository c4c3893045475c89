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
    let pieces = [(5, 44), (7, 33), (17, 12)];
    let lengths = pieces
        .iter()
        .flat_map(|&(count, length)| vec![length; count]);
    CutJob {
        pieces: lengths
            .enumerate()
            .map(|(at, length)| CutPiece::new(at.to_string(), GridSteps(length)))
            .collect(),
        spools: vec![Spool {
            length: GridSteps(132),
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
