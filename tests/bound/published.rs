//! The bound against known optima: Steiner trees (J. E. Beasley 1989, OR-Library
//! series B) and Steiner cable trenches on the same graphs (values proved for
//! this project).

use crate::jobs;
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::Silent;
use duskwright_solver::optimise::bound::{BoundWork, lower_bound};
use std::path::PathBuf;

struct Instance {
    nodes: usize,
    edges: Vec<(usize, usize, f64)>,
    terminals: Vec<usize>,
}

fn reference_data() -> Option<PathBuf> {
    let folder = std::env::var_os("DUSKWRIGHT_REFERENCE_DATA").map_or_else(
        || {
            PathBuf::from(concat!(
                env!("CARGO_MANIFEST_DIR"),
                "/../../shared/reference-data"
            ))
        },
        PathBuf::from,
    );
    folder.is_dir().then_some(folder)
}

/// Reads the parts of a SteinLib 1.0 text that matter; nodes from 0.
fn instance(text: &str) -> Instance {
    let mut instance = Instance {
        nodes: 0,
        edges: Vec::new(),
        terminals: Vec::new(),
    };
    for line in text.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        let number = |at: usize| words[at].parse::<usize>().expect("a whole number");
        match words.first().copied() {
            Some("Nodes") => instance.nodes = number(1),
            Some("E") => instance
                .edges
                .push((number(1) - 1, number(2) - 1, number(3) as f64)),
            Some("T") => instance.terminals.push(number(1) - 1),
            _ => {}
        }
    }
    instance
}

fn rows(folder: &std::path::Path, series: &str) -> Vec<(String, String, f64)> {
    let text = std::fs::read_to_string(folder.join(series).join("best-known.csv"))
        .expect("best-known.csv");
    text.lines()
        .skip(1)
        .map(|line| {
            let mut fields = line.split(',');
            let mut next = || fields.next().unwrap_or_default().to_owned();
            let (name, parameter) = (next(), next());
            (name, parameter, next().parse().expect("a value"))
        })
        .collect()
}

fn read(folder: &std::path::Path, name: &str) -> Instance {
    instance(
        &std::fs::read_to_string(folder.join("steiner-b").join(format!("{name}.stp")))
            .expect("the instance"),
    )
}

fn translated(instance: &Instance) -> Job {
    jobs::job(
        instance.nodes,
        &instance.edges,
        instance.terminals[0],
        &instance.terminals[1..],
    )
}

/// Steps that a test can afford.
const WORK: BoundWork = BoundWork(1_500_000);

#[test]
fn the_bound_meets_steiner_tree_optima_from_below() {
    let Some(folder) = reference_data() else {
        println!("skipped: no reference data");
        return;
    };
    for (name, _, optimum) in rows(&folder, "steiner-b") {
        let job = translated(&read(&folder, &name));
        let bound = lower_bound(&job, Layout::Mixed, None, WORK, &Silent);
        println!(
            "{name}: optimum {optimum}, bound {:.3} {:?}",
            bound.value.value(),
            bound.how
        );
        assert!(
            bound.value.value() <= optimum,
            "{name}: bound above the optimum"
        );
    }
}

#[test]
fn the_bound_meets_steiner_cable_trench_optima_from_below() {
    let Some(folder) = reference_data() else {
        println!("skipped: no reference data");
        return;
    };
    for (name, parameter, optimum) in rows(&folder, "cable-trench-derived") {
        let trench: f64 = parameter
            .split_whitespace()
            .find_map(|word| word.strip_prefix("trench="))
            .and_then(|value| value.parse().ok())
            .expect("a trench price");
        let mut job = translated(&read(&folder, &name));
        job.surfaces = vec![jobs::surface(trench)];
        job.cables = vec![jobs::cable("a", 4.0, 0.0, 1.0)];
        job.rules.most_fixtures_per_circuit = Some(1);
        let bound = lower_bound(&job, Layout::Mixed, None, WORK, &Silent);
        println!(
            "{name} {parameter}: optimum {optimum}, bound {:.3} {:?}",
            bound.value.value(),
            bound.how
        );
        assert!(
            bound.value.value() <= optimum,
            "{name}: bound above the optimum"
        );
    }
}
