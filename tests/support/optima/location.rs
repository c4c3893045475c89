//! Where to put transformers: uncapacitated warehouse location (OR-Library
//! uncap: cap71 to cap134) and the p-median on networks (OR-Library pmed), both
//! J. E. Beasley. A cable for every fixture; the sites cost.

use super::blank;
use super::{Optimum, Standing};
use crate::reference::{reference_rows, reference_text};

fn numbers(text: &str) -> impl Iterator<Item = f64> + '_ {
    text.split_whitespace().map(|word| {
        let number = word.trim_end_matches('.').parse();
        number.expect("numbers only")
    })
}

/// Uncapacitated warehouse location.
///
/// Sites and customers become nodes of a two-sided graph, the cost of serving a
/// customer whole from a site the length of their segment. A constant on every
/// segment keeps walks over other sites from being shorter.
///
/// # Panics
/// On files that are there but unreadable.
#[must_use]
pub fn warehouses() -> Vec<Optimum> {
    let rows = reference_rows("uflp/best-known.csv").unwrap_or_default();
    let instances = rows.into_iter().filter_map(|row| {
        let text = reference_text(&format!("uflp/{}.txt", row[0]))?;
        Some(warehouse(&row, &text))
    });
    instances.collect()
}

fn warehouse(row: &[String], text: &str) -> Optimum {
    let mut next = numbers(text);
    let mut number = || next.next().expect("as many numbers as the head says");
    let (sites, customers) = (number() as usize, number() as usize);
    let opening: Vec<f64> = (0..sites)
        .map(|_| {
            number();
            number()
        })
        .collect();
    let serving: Vec<Vec<f64>> = (0..customers)
        .map(|_| {
            number();
            (0..sites).map(|_| number()).collect()
        })
        .collect();
    let mut surcharge: f64 = 0.0;
    for there in &serving {
        for over in &serving {
            for (site, &direct) in there.iter().enumerate() {
                let detour = (0..sites).map(|via| over[via] + there[via]);
                let shortest = detour.fold(f64::INFINITY, f64::min) + over[site];
                surcharge = surcharge.max((direct - shortest) / 2.0);
            }
        }
    }
    let segments = serving
        .iter()
        .enumerate()
        .flat_map(|(customer, serving)| {
            serving
                .iter()
                .enumerate()
                .map(move |(site, &cost)| blank::segment(site, sites + customer, cost + surcharge))
        })
        .collect();
    let fixtures = (sites..sites + customers)
        .map(|at| blank::fixture(at, 0))
        .collect();
    let cables = vec![blank::cable("cable", 1e6, 1.0)];
    let mut job = blank::job(sites + customers, segments, 0, fixtures, 0.0, cables);
    job.sites = opening
        .iter()
        .enumerate()
        .map(|(at, &cost)| blank::site(at, cost))
        .collect();
    job.rules.most_fixtures_per_circuit = Some(1);
    Optimum {
        name: row[0].clone(),
        job,
        added: surcharge * customers as f64,
        value: row[2].parse().expect("a value"),
        standing: Standing::Optimal,
    }
}

/// A p-median instance by its name, with a price on every site.
///
/// With a price `w` on each, the best plan costs at most the published optimum
/// for `p` sites plus `p w`, whatever `w` is, and just that for a well-chosen
/// one. The value stated is that sum.
///
/// # Panics
/// On files that are there but unreadable.
#[must_use]
pub fn p_median(name: &str, site_price: f64) -> Option<Optimum> {
    let rows = reference_rows("pmed/best-known.csv")?;
    let row = rows.into_iter().find(|row| row[0] == name)?;
    let text = reference_text(&format!("pmed/{name}.txt"))?;
    let mut next = numbers(&text);
    let mut number = || next.next().expect("as many numbers as the head says") as usize;
    let (nodes, edges, most) = (number(), number(), number());
    // A pair that occurs twice has the cost given last.
    let mut lengths = std::collections::BTreeMap::new();
    for _ in 0..edges {
        let (a, b) = (number() - 1, number() - 1);
        lengths.insert((a.min(b), a.max(b)), number() as f64);
    }
    let segments = lengths
        .into_iter()
        .map(|((a, b), metres)| blank::segment(a, b, metres))
        .collect();
    let fixtures = (0..nodes).map(|at| blank::fixture(at, 0)).collect();
    let cables = vec![blank::cable("cable", 1e6, 1.0)];
    let mut job = blank::job(nodes, segments, 0, fixtures, 0.0, cables);
    job.sites = (0..nodes).map(|at| blank::site(at, site_price)).collect();
    job.rules.most_fixtures_per_circuit = Some(1);
    let value: f64 = row[2].parse().expect("a value");
    Some(Optimum {
        name: format!("{name} with {site_price} a site"),
        job,
        added: 0.0,
        value: value + most as f64 * site_price,
        standing: Standing::BestKnown,
    })
}
