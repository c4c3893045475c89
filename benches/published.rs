//! Published optimisation instances through the engine's own path: value stated,
//! value reached, excess, time. `SERIES=steiner-b,cable-trench` and `EFFORT`
//! choose a part.

use duskwright_solver::optimise::Effort;
use duskwright_tests::optima::{self, Optimum, Standing};
use std::time::Instant;

const ALL: &str = "steiner-b,cable-trench,shortest-path,tree-40,tree-80,wind-farm,warehouse,p-median,steiner-c,tree-50,tree-100,tree-200";

fn series(name: &str) -> Vec<Optimum> {
    let trees = |prefixes: &[&str]| {
        let instances = prefixes
            .iter()
            .flat_map(|prefix| optima::capacitated_trees(prefix));
        instances.collect()
    };
    match name {
        "steiner-b" => optima::steiner_trees("b"),
        "steiner-c" => optima::steiner_trees("c"),
        "cable-trench" => optima::cable_trenches(),
        "shortest-path" => optima::shortest_paths(),
        "tree-40" => trees(&["tc40", "te40"]),
        "tree-80" => trees(&["tc80", "te80"]),
        "tree-50" => trees(&["cm50"]),
        "tree-100" => trees(&["cm100"]),
        "tree-200" => trees(&["cm200"]),
        "wind-farm" => optima::wind_farms(),
        "warehouse" => optima::warehouses(),
        "p-median" => ["pmed1", "pmed3"]
            .iter()
            .zip([400.0, 150.0])
            .filter_map(|(name, price)| optima::p_median(name, price))
            .collect(),
        _ => Vec::new(),
    }
}

fn main() {
    let effort = match std::env::var("EFFORT").as_deref() {
        Ok("quick") => Effort::Quick,
        Ok("thorough") => Effort::Thorough,
        _ => Effort::Standard,
    };
    let only = std::env::var("ONLY").unwrap_or_default();
    let chosen = std::env::var("SERIES").unwrap_or_else(|_| ALL.to_owned());
    for name in chosen.split(',') {
        let instances = series(name.trim());
        if instances.is_empty() {
            println!("{name}: skipped, no such instances at hand");
        }
        let (mut stated, mut reached) = (0.0, 0.0);
        for instance in instances.iter().filter(|one| one.name.contains(&only)) {
            let started = Instant::now();
            let solution = instance.solve(effort, 1);
            let seconds = started.elapsed().as_secs_f64();
            let value = instance.measured(&solution);
            let standing = match instance.standing {
                Standing::Optimal => "optimal",
                Standing::BestKnown => "best known",
                Standing::Orientation => "orientation",
            };
            println!(
                "{name:14} {:30} {standing:11} {:12.2} ours {value:12.2} excess {:6.2} % bound {:12.2} time {seconds:6.1} s",
                instance.name,
                instance.value,
                100.0 * instance.excess(value),
                solution.bound.value.value() - instance.added,
            );
            stated += instance.value;
            reached += value;
        }
        if stated > 0.0 {
            println!(
                "{name:14} sum {stated:.2} ours {reached:.2} excess {:.3} %",
                100.0 * (reached / stated - 1.0)
            );
        }
    }
}
