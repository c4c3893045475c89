//! Trees and trenches in sparse graphs: Steiner tree (J. E. Beasley 1989,
//! OR-Library steinb and steinc, SteinLib text), Steiner cable trench on the same
//! graphs (values proved for this project), and shortest paths.

use super::blank;
use super::{Optimum, Standing};
use crate::reference::{reference_rows, reference_text};
use duskwright_solver::job::Job;

/// An undirected weighted graph with terminals; nodes from 0.
struct Network {
    nodes: usize,
    edges: Vec<(usize, usize, f64)>,
    terminals: Vec<usize>,
}

impl Network {
    /// Reads the parts of a SteinLib 1.0 text that matter. The line that states the optimum does not.
    fn read(series: &str, name: &str) -> Option<Self> {
        let text = reference_text(&format!("{series}/{name}.stp"))?;
        let mut network = Self {
            nodes: 0,
            edges: Vec::new(),
            terminals: Vec::new(),
        };
        for line in text.lines() {
            let words: Vec<&str> = line.split_whitespace().collect();
            let number = |at: usize| words[at].parse::<usize>().expect("a whole number");
            match words.first().copied() {
                Some("Nodes") => network.nodes = number(1),
                Some("E") => network
                    .edges
                    .push((number(1) - 1, number(2) - 1, number(3) as f64)),
                Some("T") => network.terminals.push(number(1) - 1),
                _ => {}
            }
        }
        Some(network)
    }

    /// The first terminal is the transformer, the others are fixtures.
    fn job(&self, trench_per_metre: f64, cable_per_metre: f64) -> Job {
        let segments = self
            .edges
            .iter()
            .map(|&(a, b, metres)| blank::segment(a, b, metres))
            .collect();
        let fixtures = self.terminals[1..]
            .iter()
            .map(|&at| blank::fixture(at, 0))
            .collect();
        blank::job(
            self.nodes,
            segments,
            self.terminals[0],
            fixtures,
            trench_per_metre,
            vec![blank::cable("cable", 1e6, cable_per_metre)],
        )
    }

    /// Distances from a node, by R. Bellman's and L. R. Ford's relaxation of every edge.
    fn distances(&self, from: usize) -> Vec<f64> {
        let mut distance = vec![f64::INFINITY; self.nodes];
        distance[from] = 0.0;
        for _ in 0..self.nodes {
            for &(a, b, metres) in &self.edges {
                distance[b] = distance[b].min(distance[a] + metres);
                distance[a] = distance[a].min(distance[b] + metres);
            }
        }
        distance
    }
}

/// The Steiner trees of a series, `b` or `c`: only digging costs.
///
/// # Panics
/// On files that are there but unreadable.
#[must_use]
pub fn steiner_trees(series: &str) -> Vec<Optimum> {
    let folder = format!("steiner-{series}");
    let rows = reference_rows(&format!("{folder}/best-known.csv")).unwrap_or_default();
    let instances = rows.into_iter().filter_map(|row| {
        let network = Network::read(&folder, &row[0])?;
        Some(Optimum {
            name: row[0].clone(),
            job: network.job(1.0, 0.0),
            added: 0.0,
            value: row[2].parse().expect("a value"),
            standing: Standing::Optimal,
        })
    });
    instances.collect()
}

/// The Steiner cable trenches: a cable for every fixture, digging and cable cost.
///
/// Problem after F. J. Vasko et al., Comput. Oper. Res. 29 (2002) 441-458.
///
/// # Panics
/// On files that are there but unreadable.
#[must_use]
pub fn cable_trenches() -> Vec<Optimum> {
    let rows = reference_rows("cable-trench-derived/best-known.csv").unwrap_or_default();
    let instances = rows.into_iter().filter_map(|row| {
        let network = Network::read("steiner-b", &row[0])?;
        let price = |name: &str| {
            let mut words = row[1].split_whitespace();
            let word = words.find_map(|word| word.strip_prefix(name));
            word.and_then(|value| value.parse().ok()).expect("a price")
        };
        let mut job = network.job(price("trench="), price("cable="));
        job.rules.most_fixtures_per_circuit = Some(1);
        Some(Optimum {
            name: format!("{} {}", row[0], row[1]),
            job,
            added: 0.0,
            value: row[2].parse().expect("a value"),
            standing: Standing::Optimal,
        })
    });
    instances.collect()
}

/// A cable for every fixture and digging for nothing: every cable takes a shortest path.
#[must_use]
pub fn shortest_paths() -> Vec<Optimum> {
    let rows = reference_rows("steiner-b/best-known.csv").unwrap_or_default();
    let instances = rows.into_iter().filter_map(|row| {
        let network = Network::read("steiner-b", &row[0])?;
        let distance = network.distances(network.terminals[0]);
        let mut job = network.job(0.0, 1.0);
        job.rules.most_fixtures_per_circuit = Some(1);
        Some(Optimum {
            name: row[0].clone(),
            job,
            added: 0.0,
            value: network.terminals[1..].iter().map(|&at| distance[at]).sum(),
            standing: Standing::Optimal,
        })
    });
    instances.collect()
}
