//! All simple paths of a tiny graph.

use duskwright_solver::job::Job;

/// A simple path between two nodes.
#[derive(Clone, Debug, Default)]
pub struct Path {
    /// Segments, one bit each.
    pub mask: u32,
    /// Length along the ground, m.
    pub metres: f64,
    /// Money for work on a cable laid along it.
    pub work: f64,
}

/// Paths from every node to every node, shortest first.
pub fn all(job: &Job) -> Vec<Vec<Vec<Path>>> {
    let nodes = job.nodes.len();
    assert!(job.segments.len() <= 16, "the judge is for tiny graphs");
    let mut table = vec![vec![Vec::new(); nodes]; nodes];
    for (start, row) in table.iter_mut().enumerate() {
        walk(job, start, 1 << start, &Path::default(), row);
        for paths in row.iter_mut() {
            paths.sort_by(|left: &Path, right| left.metres.total_cmp(&right.metres));
        }
    }
    table
}

fn walk(job: &Job, here: usize, seen: u32, so_far: &Path, row: &mut [Vec<Path>]) {
    row[here].push(so_far.clone());
    for (s, segment) in job.segments.iter().enumerate() {
        let (a, b) = (segment.a.index(), segment.b.index());
        let next = if a == here { b } else { a };
        if (a != here && b != here) || seen >> next & 1 == 1 {
            continue;
        }
        let on = Path {
            mask: so_far.mask | 1 << s,
            metres: so_far.metres + segment.length.value(),
            work: so_far.work + cable_work(job, s),
        };
        walk(job, next, seen | 1 << next, &on, row);
    }
}

fn cable_work(job: &Job, s: usize) -> f64 {
    let segment = &job.segments[s];
    let work = job.surface(segment.surface).per_cable;
    let per_unit =
        work.money_per_unit.cost().value() + work.hours_per_unit * job.rates.labour.cost().value();
    job.units.from_metres(segment.length) * per_unit
}

/// Money for opening each set of segments.
pub fn trenches(job: &Job) -> Vec<f64> {
    let one: Vec<f64> = job
        .segments
        .iter()
        .map(|segment| {
            let surface = job.surface(segment.surface);
            let hours = surface.open.hours_per_unit * job.rates.labour.cost().value();
            let per_unit = hours + surface.open.money_per_unit.cost().value();
            job.units.from_metres(segment.length) * per_unit + surface.open_fixed.cost().value()
        })
        .collect();
    (0..1_usize << one.len())
        .map(|mask| {
            (0..one.len())
                .filter(|s| mask >> s & 1 == 1)
                .map(|s| one[s])
                .sum()
        })
        .collect()
}
