//! Trees in complete graphs with a limit on what hangs on a cable: capacitated
//! minimum spanning trees (OR-Library capmst1 and capmst2: L. Gouveia 1993,
//! Y. Sharaiha), and wind-farm cable trees of several cable types (instances of
//! M. Fischetti and D. Pisinger 2017).

use super::blank;
use super::{Optimum, Standing};
use crate::reference::{reference_rows, reference_text};
use duskwright_solver::job::{Job, Segment};

fn numbers(text: &str) -> impl Iterator<Item = f64> + '_ {
    text.split_whitespace()
        .filter_map(|word| word.parse::<f64>().ok())
}

/// A cost matrix, the smaller of the two where it is not symmetric.
struct Matrix {
    count: usize,
    cost: Vec<f64>,
}

impl Matrix {
    fn read(count: usize, mut numbers: impl Iterator<Item = f64>) -> Self {
        let raw: Vec<f64> = numbers.by_ref().take(count * count).collect();
        assert_eq!(raw.len(), count * count, "the matrix is square");
        let cost = (0..count * count)
            .map(|at| raw[at].min(raw[at % count * count + at / count]))
            .collect();
        Self { count, cost }
    }

    fn cost(&self, a: usize, b: usize) -> f64 {
        self.cost[a * self.count + b]
    }

    /// The constant to add to every edge so that nothing is gained by a walk of
    /// two edges instead of one, nor by joining three nodes over a fourth
    /// instead of directly: both would be lawful wiring, and no spanning tree.
    fn surcharge(&self) -> f64 {
        let nodes = || 0..self.count;
        let mut most: f64 = 0.0;
        for middle in nodes() {
            let mut others: Vec<usize> = nodes().filter(|&node| node != middle).collect();
            others.sort_by(|&x, &y| self.cost(middle, x).total_cmp(&self.cost(middle, y)));
            for (third, &z) in others.iter().enumerate() {
                for (second, &y) in others[..third].iter().enumerate() {
                    let yz = self.cost(y, z);
                    let (to_y, to_z) = (self.cost(middle, y), self.cost(middle, z));
                    most = most.max(yz - to_y - to_z);
                    for &x in &others[..second] {
                        let (xy, xz) = (self.cost(x, y), self.cost(x, z));
                        let tree = xy + xz + yz - xy.max(xz).max(yz);
                        most = most.max(tree - self.cost(middle, x) - to_y - to_z);
                    }
                }
            }
        }
        most
    }

    fn segments(&self, surcharge: f64) -> Vec<Segment> {
        let pairs = (0..self.count).flat_map(|a| (a + 1..self.count).map(move |b| (a, b)));
        pairs
            .map(|(a, b)| blank::segment(a, b, self.cost(a, b) + surcharge))
            .collect()
    }
}

/// The capacitated trees whose name starts with `prefix`: `tc40`, `te80`, `cm50`…
///
/// # Panics
/// On files that are there but unreadable.
#[must_use]
pub fn capacitated_trees(prefix: &str) -> Vec<Optimum> {
    let rows = reference_rows("capmst/best-known.csv").unwrap_or_default();
    let wanted = rows.into_iter().filter(|row| row[0].starts_with(prefix));
    wanted.filter_map(|row| capacitated_tree(&row)).collect()
}

fn capacitated_tree(row: &[String]) -> Option<Optimum> {
    let name = &row[0];
    let most: f64 = row[1].strip_prefix("Q=")?.parse().ok()?;
    let unit_demand = name.starts_with('t');
    let file = |name: &str, ending: &str| reference_text(&format!("capmst/{name}.{ending}"));
    let text = file(name, if unit_demand { "txt" } else { "dat" })?;
    // The name heads the file only where it is no number, so it is passed over.
    let mut numbers = numbers(&text);
    let stated = numbers.next()? as usize;
    let count = stated + usize::from(unit_demand);
    let matrix = Matrix::read(count, numbers);
    let surcharge = matrix.surcharge();
    let depot = count - 1;
    let cables = |units: f64| vec![blank::cable("cable", units, 1.0)];
    let mut job = if unit_demand {
        let fixtures = (0..depot).map(|at| blank::fixture(at, 0)).collect();
        let segments = matrix.segments(surcharge);
        let mut job = blank::job(count, segments, depot, fixtures, 0.0, cables(1e6));
        job.rules.most_fixtures_per_circuit = Some(most as u32);
        job
    } else {
        let demands = file(&format!("priz{depot_row}r", depot_row = count), "dat")?;
        non_unit(&matrix, surcharge, &demands, cables(most))
    };
    job.name = name.clone();
    Some(Optimum {
        name: format!("{name} {}", row[1]),
        added: surcharge * job.fixtures.len() as f64,
        job,
        value: row[2].parse().expect("a value"),
        standing: match row[3].as_str() {
            "optimal" => Standing::Optimal,
            _ => Standing::BestKnown,
        },
    })
}

fn non_unit(
    matrix: &Matrix,
    surcharge: f64,
    demands: &str,
    cables: Vec<duskwright_solver::job::Cable>,
) -> Job {
    let depot = matrix.count - 1;
    let demands: Vec<f64> = numbers(demands).take(depot).collect();
    let fixtures = (0..depot).map(|at| blank::fixture(at, at)).collect();
    let segments = matrix.segments(surcharge);
    let mut job = blank::job(matrix.count, segments, depot, fixtures, 0.0, cables);
    job.models = demands.iter().map(|&demand| blank::model(demand)).collect();
    job
}

/// Wind farms: straight connections of turbines of equal output, several cable types.
///
/// # Panics
/// On files that are there but unreadable.
#[must_use]
pub fn wind_farms() -> Vec<Optimum> {
    let rows = reference_rows("windfarm-cable/best-known.csv").unwrap_or_default();
    rows.into_iter().filter_map(|row| wind_farm(&row)).collect()
}

fn wind_farm(row: &[String]) -> Option<Optimum> {
    let name = &row[0];
    // Parameters may hold commas; the value is the first cell that is a number.
    let (at, value) = row
        .iter()
        .enumerate()
        .skip(1)
        .find_map(|(at, cell)| Some((at, cell.parse::<f64>().ok()?)))?;
    let file = |ending: &str| reference_text(&format!("windfarm-cable/{name}.{ending}"));
    let (turbines, types) = (file("turb")?, file("cbl")?);
    let rows = |text: &str| -> Vec<Vec<f64>> {
        let lines = text.lines().map(|line| numbers(line).collect::<Vec<_>>());
        lines.filter(|line| line.len() >= 3).collect()
    };
    let places = rows(&turbines);
    let root = places.iter().position(|place| place[2] < 0.0)?;
    let count = places.len();
    let distance = |a: usize, b: usize| {
        let (x, y) = (places[a][0] - places[b][0], places[a][1] - places[b][1]);
        (x * x + y * y).sqrt()
    };
    let pairs = (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b)));
    let segments = pairs
        .map(|(a, b)| blank::segment(a, b, distance(a, b)))
        .collect();
    let cables = rows(&types)
        .iter()
        .enumerate()
        .map(|(at, row)| blank::cable(&format!("type {}", at + 1), row[0], row[1]))
        .collect();
    let fixtures = (0..count)
        .filter(|&at| at != root)
        .map(|at| blank::fixture(at, 0))
        .collect();
    Some(Optimum {
        name: name.clone(),
        job: blank::job(count, segments, root, fixtures, 0.0, cables),
        added: 0.0,
        value,
        standing: match row.get(at + 1).map(String::as_str) {
            Some("optimal") => Standing::Optimal,
            _ => Standing::Orientation,
        },
    })
}
