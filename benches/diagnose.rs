//! Diagnosis on simulated faults of the samples: how often the true cause comes first.
//!
//! `bench-diagnose [CASES [SEED]]`, 1,000 and 1 without. Half as many sound installations
//! are drawn besides. Plans are made at quick effort, or read from
//! `$DUSKWRIGHT_PLANS/SAMPLE/plan.json` when that is set. The figures are the same on any
//! machine and any number of threads.
//!
//! Each case draws an installation (line, lengths, loads, temperature stray), one fault
//! of a kind and of a size, and the meter's errors: 1 % for volts, 3 % and 0.1 A for the
//! clamp, both as standard deviations of normal errors. Read is all that a technician
//! reaches: terminals, hubs, fixtures; no sealed splice. `meter` has voltmeter and clamp
//! alone (watched for some minutes where things come and go), `and eyes` adds what is lit
//! and what is tripped.
//!
//! A case is *distinguishable* when, without any error or straying, its readings lie at
//! least three standard deviations from those of a sound installation and from those of
//! every other fault at its nearest size, except from its twins: faults whose readings
//! come within one standard deviation. Twins are one answer, which names them all; how
//! many causes the first answer names is in the last column.

use duskwright_benches::sample;
use duskwright_solver::ids::PlacedId;
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::{Effort, Settings, Silent};
use duskwright_solver::plan::{Plan, json};
use duskwright_solver::service::diagnose::evidence::{Evidence, nearest};
use duskwright_solver::service::diagnose::library::Predicted;
use duskwright_solver::service::diagnose::rank::TWINS;
use duskwright_solver::service::diagnose::{Library, Reading, explain};
use duskwright_solver::service::fault::{Controls, Fault, Kind, Outcome, afflict};
use duskwright_solver::service::point::Quantity;
use duskwright_solver::service::uncertainty::{Stray, Uncertainty, normal};
use duskwright_solver::solve::{self, Outcome as Planned};
use duskwright_tests::build::two_commons;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;
use std::path::PathBuf;
use std::process::ExitCode;

const SAMPLES: [&str; 3] = ["courtyard", "garden", "estate"];
/// Squared distance from which two explanations are distinguishable.
const APART: f64 = 9.0;
/// Squared distance below which they are twins.
const SAME: f64 = TWINS;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(reason) => {
            eprintln!("{reason}");
            ExitCode::FAILURE
        }
    }
}

fn run() -> Result<(), String> {
    let mut words = std::env::args().skip(1);
    let mut number = |default: u64| match words.next() {
        None => Ok(default),
        Some(word) => word
            .parse()
            .map_err(|_| format!("`{word}`: accepted: bench-diagnose [CASES [SEED]]")),
    };
    let (cases, seed) = (number(1_000)?, number(1)?);
    let jobs: Vec<(Job, Plan)> = SAMPLES
        .into_iter()
        .map(|sample| sample::read(sample).and_then(|job| planned(sample, job)))
        // No sample is planned onto two commons of one secondary.
        .chain([Ok(two_commons())])
        .collect::<Result<_, _>>()?;
    let by = Uncertainty::default();
    let controls = Controls {
        sensor: true,
        clock: true,
    };
    let libraries: Vec<Library<'_>> = jobs
        .iter()
        .flat_map(|(job, plan)| {
            (0..plan.transformers.len())
                .map(move |index| Library::of(job, plan, PlacedId::new(index), controls, &by))
        })
        .filter(|library| !library.healthy.circuitry.runs.is_empty())
        .collect();
    let kinds: Vec<Kind> = Kind::ALL
        .into_iter()
        .filter(|&kind| {
            libraries
                .iter()
                .any(|library| of_kind(library, kind).next().is_some())
        })
        .collect();
    let told: Vec<Told> = (0..cases)
        .into_par_iter()
        .map(|case| {
            let kind = kinds[(case % kinds.len() as u64) as usize];
            faulty(&libraries, kind, seed, case)
        })
        .collect();
    let sound: Vec<[bool; 2]> = (0..cases / 2)
        .into_par_iter()
        .map(|case| no_alarm(&libraries, seed, case))
        .collect();
    print(&kinds, &told, &sound);
    Ok(())
}

/// What came of one faulty case.
struct Told {
    kind: Kind,
    /// By mode.
    modes: [Placed; 2],
}

/// Where the true cause was placed.
#[derive(Clone, Copy)]
struct Placed {
    distinguishable: bool,
    /// Position of the answer that holds the true cause.
    position: Option<usize>,
    /// Position of the answer that holds a cause of the true kind.
    kind_position: Option<usize>,
    /// Causes in the first answer.
    causes: usize,
}

fn of_kind<'a>(library: &'a Library<'_>, kind: Kind) -> impl Iterator<Item = &'a Predicted> {
    library
        .predicted
        .iter()
        .filter(move |predicted| predicted.hypothesis.fault.kind() == kind)
}

fn generator(seed: u64, case: u64, stream: u64) -> Pcg64Mcg {
    Pcg64Mcg::seed_from_u64(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ (case << 8) ^ stream)
}

fn faulty(libraries: &[Library<'_>], kind: Kind, seed: u64, case: u64) -> Told {
    let mut random = generator(seed, case, 1);
    let fit: Vec<&Library<'_>> = libraries
        .iter()
        .filter(|library| of_kind(library, kind).next().is_some())
        .collect();
    loop {
        let library = fit[random.random_range(0..fit.len())];
        let (fault, size) = draw_fault(library, kind, &mut random);
        let mut condition = library.healthy.clone();
        Stray::draw(&condition.circuitry, &mut random).apply(&mut condition.circuitry, &library.by);
        condition.line = condition.circuitry.line;
        let Outcome::Stands(stands) =
            afflict(library.job, library.plan, &condition, &[(fault, size)])
        else {
            continue;
        };
        let (condition, state) = *stands;
        let truth: Vec<f64> = library
            .measurements
            .iter()
            .map(|&measurement| condition.reading(&state, measurement))
            .collect();
        let Some(plain) = library.simulate(&[(fault, size)]) else {
            continue;
        };
        let read = erring(library, &truth, &mut random);
        let modes = [false, true].map(|eyes| placed(library, fault, &plain, &read, eyes));
        return Told { kind, modes };
    }
}

/// A fault of a kind, each of the kind as likely, and a size, sizes even in their logarithm.
fn draw_fault(library: &Library<'_>, kind: Kind, random: &mut Pcg64Mcg) -> (Fault, f64) {
    let known: Vec<&Predicted> = of_kind(library, kind).collect();
    let chosen = known[random.random_range(0..known.len())];
    let sizes = chosen.hypothesis.sizes;
    let size = if chosen.hypothesis.continuous {
        let (first, last) = (sizes[0], sizes[sizes.len() - 1]);
        let share: f64 = random.random();
        first * (share * (last / first).ln()).exp()
    } else {
        sizes[random.random_range(0..sizes.len())]
    };
    (chosen.hypothesis.fault, size)
}

fn erring(library: &Library<'_>, truth: &[f64], random: &mut Pcg64Mcg) -> Vec<f64> {
    library
        .measurements
        .iter()
        .zip(truth)
        .map(|(measurement, &truth)| {
            if measurement.quantity.is_seen() {
                truth
            } else {
                let error = library.by.meter(measurement.quantity, truth);
                (truth + error * normal(random)).max(0.0)
            }
        })
        .collect()
}

fn readings(library: &Library<'_>, values: &[f64], eyes: bool) -> Vec<Reading> {
    let taken = |index: &usize| {
        let quantity = library.measurements[*index].quantity;
        library.reachable[*index]
            && (eyes || !matches!(quantity, Quantity::Lit | Quantity::Tripped))
    };
    (0..values.len())
        .filter(taken)
        .map(|measurement| Reading {
            measurement,
            value: values[measurement],
        })
        .collect()
}

fn placed(library: &Library<'_>, fault: Fault, plain: &[f64], read: &[f64], eyes: bool) -> Placed {
    let ranking = explain(library, &readings(library, read, eyes));
    let groups = ranking.groups();
    let holds = |group: &[usize], wanted: &dyn Fn(Fault) -> bool| {
        group.iter().any(|&index| {
            let faults = &ranking.explanations[index].faults;
            faults.len() == 1 && wanted(faults[0].0)
        })
    };
    let place =
        |wanted: &dyn Fn(Fault) -> bool| groups.iter().position(|group| holds(group, wanted));
    Placed {
        distinguishable: is_distinguishable(library, fault, plain, eyes),
        position: place(&|other| other == fault),
        kind_position: place(&|other| other.kind() == fault.kind()),
        causes: groups[0].len(),
    }
}

fn is_distinguishable(library: &Library<'_>, fault: Fault, plain: &[f64], eyes: bool) -> bool {
    let evidence = Evidence::of(library, &readings(library, plain, eyes), |_, _| 1.0);
    if evidence.misfit(&evidence.whiten(&library.sound)) < APART {
        return false;
    }
    library
        .predicted
        .iter()
        .filter(|predicted| predicted.hypothesis.fault != fault)
        .all(|predicted| {
            let whitened: Vec<Vec<f64>> = predicted
                .sizes
                .iter()
                .map(|size| evidence.whiten(&size.readings))
                .collect();
            let misfit = nearest(predicted, &whitened, evidence.read()).misfit;
            !(SAME..APART).contains(&misfit)
        })
}

/// Whether a sound installation is called sound, by mode.
fn no_alarm(libraries: &[Library<'_>], seed: u64, case: u64) -> [bool; 2] {
    let mut random = generator(seed, case, 2);
    let library = &libraries[random.random_range(0..libraries.len())];
    let mut condition = library.healthy.clone();
    Stray::draw(&condition.circuitry, &mut random).apply(&mut condition.circuitry, &library.by);
    condition.line = condition.circuitry.line;
    let state = condition.solve();
    let truth: Vec<f64> = library
        .measurements
        .iter()
        .map(|&measurement| condition.reading(&state, measurement))
        .collect();
    let read = erring(library, &truth, &mut random);
    [false, true].map(|eyes| {
        let ranking = explain(library, &readings(library, &read, eyes));
        ranking.explanations[ranking.groups()[0][0]]
            .faults
            .is_empty()
    })
}

fn print(kinds: &[Kind], told: &[Told], sound: &[[bool; 2]]) {
    for (mode, name) in ["meter", "meter and eyes"].into_iter().enumerate() {
        println!("## {name}\n");
        println!(
            "| fault | cases | distinguishable | first | first three | kind first | all: first | all: first three | causes in the first answer |"
        );
        println!("|---|---:|---:|---:|---:|---:|---:|---:|---:|");
        for &kind in kinds {
            let of_kind: Vec<Placed> = told
                .iter()
                .filter(|told| told.kind == kind)
                .map(|told| told.modes[mode])
                .collect();
            println!("{}", row(kind.words(), &of_kind));
        }
        let all: Vec<Placed> = told.iter().map(|told| told.modes[mode]).collect();
        println!("{}", row("all", &all));
        let quiet = sound.iter().filter(|sound| sound[mode]).count();
        println!(
            "\nsound installations called sound: {quiet} of {} ({})\n",
            sound.len(),
            percent(quiet, sound.len())
        );
    }
}

fn row(name: &str, cases: &[Placed]) -> String {
    let apart: Vec<Placed> = cases
        .iter()
        .copied()
        .filter(|case| case.distinguishable)
        .collect();
    let within = |cases: &[Placed], most: usize| {
        let hits = cases
            .iter()
            .filter(|case| case.position.is_some_and(|place| place < most));
        percent(hits.count(), cases.len())
    };
    let kind = apart
        .iter()
        .filter(|case| case.kind_position == Some(0))
        .count();
    let causes: usize = cases.iter().map(|case| case.causes).sum();
    format!(
        "| {name} | {} | {} | {} | {} | {} | {} | {} | {:.1} |",
        cases.len(),
        apart.len(),
        within(&apart, 1),
        within(&apart, 3),
        percent(kind, apart.len()),
        within(cases, 1),
        within(cases, 3),
        causes as f64 / cases.len().max(1) as f64
    )
}

fn percent(part: usize, whole: usize) -> String {
    if whole == 0 {
        return "-".to_owned();
    }
    format!("{:.1} %", 100.0 * part as f64 / whole as f64)
}

fn planned(sample: &str, job: Job) -> Result<(Job, Plan), String> {
    if let Some(folder) = std::env::var_os("DUSKWRIGHT_PLANS") {
        let path = PathBuf::from(folder).join(sample).join("plan.json");
        let text = std::fs::read_to_string(&path)
            .map_err(|error| format!("{}: {error}", path.display()))?;
        let file = json::from_json(&job, &text).map_err(|faults| faults.to_string())?;
        return Ok((job, file.plan));
    }
    let settings = Settings {
        effort: Effort::Quick,
        layout: Layout::Mixed,
        seed: 1,
    };
    match solve::plan(&job, &settings, &Silent) {
        Planned::Feasible(solution) => Ok((job, solution.plan)),
        _ => Err(format!("{sample}: no plan at quick effort")),
    }
}
