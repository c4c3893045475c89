//! Open chains of points in a plane: every chain starts at the site and serves at
//! most so many points, and only the length of the cables is paid (vehicle routing
//! with open routes; cable layout of wind farms with one cable type).

use super::blank;
use crate::build::node;
use duskwright_solver::job::{Job, JointKind, Point, Rules, Segment, WireSet};
use duskwright_solver::plan::Plan;
use duskwright_solver::units::{Metres, SquareMillimetres};

/// The job of a site and points, m; `most` points on a chain. Its node 0 is the
/// site, node `i + 1` and fixture `i` are point `i`; a metre of cable costs 1.
///
/// A joint holds two wires, so that no home run lands between the ends of a chain:
/// with the layout `Chain` the plans are the open chains and nothing else.
#[must_use]
pub fn chains(site: (f64, f64), points: &[(f64, f64)], most: u32) -> Job {
    let places: Vec<(f64, f64)> = std::iter::once(site)
        .chain(points.iter().copied())
        .collect();
    let count = places.len();
    let pairs = (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b)));
    let segments: Vec<Segment> = pairs
        .map(|(a, b)| blank::segment(a, b, straight(places[a], places[b])))
        .collect();
    let fixtures = (1..count).map(|at| blank::fixture(at, 0)).collect();
    let cables = vec![blank::cable("cable", 1e6, 1.0)];
    let job = blank::job(count, segments, 0, fixtures, 0.0, cables);
    let nodes = places.iter().enumerate().map(|(tag, &(x, y))| {
        let at = Some(Point {
            x: Metres::new(x),
            y: Metres::new(y),
        });
        duskwright_solver::job::Node {
            at,
            ..node(&format!("N{tag}"))
        }
    });
    let two_wires = WireSet {
        slots: vec![SquareMillimetres::new(10.0); 2],
    };
    Job {
        nodes: nodes.collect(),
        joints: job
            .joints
            .iter()
            .map(|kind| JointKind {
                holds: vec![two_wires.clone()],
                ..kind.clone()
            })
            .collect(),
        rules: Rules {
            most_fixtures_per_circuit: Some(most),
            ..job.rules.clone()
        },
        ..job
    }
}

/// Length of the straight line between two points.
#[must_use]
pub fn straight(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// The points of each circuit of a plan, from the site on.
///
/// # Panics
/// When a circuit is no chain that starts at the site.
#[must_use]
pub fn walked(plan: &Plan) -> Vec<Vec<usize>> {
    let circuits = plan.circuits.iter();
    circuits
        .map(|circuit| {
            let joints = circuit.joints.iter().enumerate();
            joints
                .map(|(index, joint)| {
                    let from = joint.incoming.from.map(|from| from.index());
                    assert_eq!(from, index.checked_sub(1), "a circuit is one open chain");
                    joint.node.index() - 1
                })
                .collect()
        })
        .collect()
}
