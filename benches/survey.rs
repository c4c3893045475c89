//! How long a survey of a large estate takes, how many segments it makes, and what its
//! cheapest ways cost beside an independent solution.
//!
//! `--plan FIXTURES AREAS SEED` prints that made-up plan and the cheapest ways through its
//! graph as JSON instead, for a comparison with other programs.

#[path = "../tests/survey/reference.rs"]
mod reference;
#[path = "../tests/support/site_plans.rs"]
mod site_plans;
#[path = "../tests/survey/ways.rs"]
mod ways;

use duskwright_survey::plan::{AreaKind, LineKind, SitePlan};
use duskwright_survey::{Graph, derive};
use serde_json::{Value, json};
use site_plans::{RATES, made_up, rates};
use std::time::Instant;

/// Sizes: fixtures, areas.
const SIZES: [(usize, usize); 4] = [(50, 25), (100, 50), (200, 100), (400, 200)];
/// Seed of the plans of the table.
const SEED: u64 = 7;
/// Small plans whose ways are solved again: fixtures, areas, number of them.
const SMALL: (usize, usize, u64) = (14, 9, 8);

fn main() {
    let words: Vec<u64> = std::env::args()
        .skip(1)
        .filter_map(|word| word.parse().ok())
        .collect();
    if let [fixtures, areas, seed] = words[..] {
        println!(
            "{}",
            described(&made_up(fixtures as usize, areas as usize, seed))
        );
        return;
    }
    println!("| fixtures | areas | corners | nodes | segments | 12 a fixture and corners | s |");
    println!("|---|---|---|---|---|---|---|");
    for (fixtures, areas) in SIZES {
        let plan = made_up(fixtures, areas, SEED);
        let start = Instant::now();
        let graph = graph(&plan);
        let seconds = start.elapsed().as_secs_f64();
        let corners: usize = plan
            .areas
            .iter()
            .map(|area| area.outline.exterior().0.len() - 1)
            .sum();
        println!(
            "| {fixtures} | {areas} | {corners} | {} | {} | {} | {seconds:.2} |",
            graph.nodes.len(),
            graph.segments.len(),
            12 * fixtures + corners,
        );
    }
    let mut ratios = Vec::new();
    for seed in 1..=SMALL.2 {
        let plan = made_up(SMALL.0, SMALL.1, seed);
        let graph = graph(&plan);
        let other = reference::costs(&plan);
        let nodes = ways::fixtures(&graph);
        for one in 0..nodes.len() {
            let ours = ways::from(&graph, nodes[one]);
            ratios.extend((one + 1..nodes.len()).map(|two| {
                let ratio = ours[nodes[two]] / other[one][two];
                (
                    ratio,
                    format!("plan {seed}, F{} to F{}", one + 1, two + 1),
                    other[one][two],
                )
            }));
        }
    }
    ratios.sort_by(|a, b| a.0.total_cmp(&b.0));
    let pair = |share: f64| &ratios[((ratios.len() - 1) as f64 * share) as usize];
    let at = |share: f64| pair(share).0;
    println!(
        "\ncost of the cheapest way beside the reference, {} pairs: least {:.4}, median {:.4}, 99 % within {:.4}, worst {:.4}",
        ratios.len(),
        at(0.0),
        at(0.5),
        at(0.99),
        at(1.0)
    );
    for (_, pair, cost) in [pair(0.0), pair(1.0)] {
        println!("{pair}: {cost:.2} by the reference");
    }
}

fn graph(plan: &SitePlan) -> Graph {
    derive(plan, &rates()).unwrap_or_else(|faults| panic!("{faults}"))
}

/// A plan and the costs between its first fixtures; only pairs whose way uses no bore and no
/// sleeve, which other programs do not know.
fn described(plan: &SitePlan) -> Value {
    /// Fixtures from which ways are given.
    const SOURCES: usize = 8;
    let graph = graph(plan);
    let ring = |outline: &[geo::Coord<f64>]| -> Vec<[f64; 2]> {
        outline.iter().map(|at| [at.x, at.y]).collect()
    };
    let areas: Vec<Value> = plan
        .areas
        .iter()
        .map(|area| {
            let (order, surface) = match &area.kind {
                AreaKind::NoTrench(_) => (0, ""),
                AreaKind::Utility(surface) => (1, surface.as_str()),
                AreaKind::BoreOnly(_) => (2, ""),
                AreaKind::Ground(surface) => (3, surface.as_str()),
                AreaKind::Boundary => (4, ""),
            };
            json!({"order": order, "surface": surface, "ring": ring(&area.outline.exterior().0)})
        })
        .collect();
    let lines: Vec<Value> = plan
        .lines
        .iter()
        .filter(|line| line.kind == LineKind::Follow)
        .map(|line| json!({"surface": line.surface, "course": ring(&line.course.0)}))
        .collect();
    let mut open = graph.clone();
    let sleeve = |surface: &str| surface == "sleeve";
    open.segments
        .retain(|one| !one.bored && !sleeve(&one.surface));
    let nodes = ways::fixtures(&graph);
    let mut pairs = Vec::new();
    for one in 0..SOURCES.min(nodes.len()) {
        let (all, dug) = (
            ways::from(&graph, nodes[one]),
            ways::from(&open, nodes[one]),
        );
        for two in one + 1..nodes.len() {
            let cost = all[nodes[two]];
            if (dug[nodes[two]] - cost).abs() < 1e-9 * cost {
                pairs.push(json!([one, two, cost]));
            }
        }
    }
    let rates: serde_json::Map<String, Value> = RATES
        .iter()
        .map(|(surface, per_m, _)| ((*surface).to_owned(), json!(per_m)))
        .collect();
    let fixtures: Vec<[f64; 2]> = plan
        .fixtures
        .iter()
        .map(|one| [one.at.x, one.at.y])
        .collect();
    json!({"ground": plan.ground, "rates": rates, "areas": areas, "lines": lines,
           "fixtures": fixtures, "pairs": pairs})
}
