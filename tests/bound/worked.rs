//! Bounds beside optima worked out by hand.

use crate::{jobs, judge};
use duskwright_solver::ids::ZoneId;
use duskwright_solver::job::{Job, Layout, Switched, Zone};
use duskwright_solver::optimise::Silent;
use duskwright_solver::optimise::bound::{BoundWork, lower_bound};

fn bound(job: &Job) -> f64 {
    let work = BoundWork::for_steps(job, 1500);
    lower_bound(job, Layout::Mixed, None, work, &Silent)
        .value
        .value()
}

/// A trunk of 10 m to a fork, two arms of 5 m, and along each seven fixtures a metre apart; too
/// many for whole circuits. Splices for two wires and the one that feeds them. A tee at the fork
/// saves a second trunk (50) and a way back from the first joint of an arm (25).
///
/// 32 m of trench at 1 and of cable at 5, 15 splices at 20, a transformer at 50: 542. Without
/// the tee's splice it would be 522.
#[test]
fn a_tee_where_no_lead_lands_is_in_the_bound() {
    let mut edges = vec![(0, 1, 10.0), (1, 2, 5.0), (1, 9, 5.0)];
    edges.extend((2..8).chain(9..15).map(|node| (node, node + 1, 1.0)));
    let at: Vec<usize> = (2..16).collect();
    let mut job = jobs::job(16, &edges, 0, &at);
    job.surfaces = vec![jobs::surface(1.0)];
    job.cables = vec![jobs::cable("a", 4.0, 0.001, 5.0)];
    job.models = vec![jobs::model(1.0)];
    job.joints = vec![jobs::splice(20.0, 3)];
    job.transformers = vec![jobs::transformer(100.0, 50.0)];
    let bound = bound(&job);
    assert!(bound <= 542.0, "bound {bound}");
    assert!(bound > 0.99 * 542.0, "bound {bound}");
}

/// Two sites 24 m apart, a zone with a fixture near each and another zone with one fixture, each
/// zone with transformers of its own at 100: one more saves a trench between the sites at 60 and 20 m
/// of cable.
///
/// Both stand at one site: 22 m of trench at 3, 22 and 2 m of cable at 1, three splices at 2.
#[test]
fn a_zone_is_fed_from_where_its_transformer_stands() {
    let edges = [(0, 1, 2.0), (1, 2, 20.0), (2, 3, 2.0)];
    let mut job = jobs::job(4, &edges, 0, &[1, 2, 1]);
    job.sites.push(jobs::site(3));
    for site in &mut job.sites {
        (site.outlets, site.places) = (2, 2);
    }
    let zone = |z: usize| Zone {
        tag: format!("Z{z}"),
        switched: Switched::Transformer,
    };
    job.zones = (0..2).map(zone).collect();
    for (fixture, zone) in [(0, 0), (1, 0), (2, 1)] {
        job.fixtures[fixture].zone = Some(ZoneId(zone));
    }
    job.surfaces = vec![jobs::surface(3.0)];
    job.cables = vec![jobs::cable("a", 4.0, 0.001, 1.0)];
    job.models = vec![jobs::model(5.0)];
    job.joints = vec![jobs::splice(2.0, 3)];
    job.transformers = vec![jobs::transformer(100.0, 100.0)];
    let cheapest = 200.0 + 22.0 * 3.0 + 24.0 + 3.0 * 2.0;
    let bound = bound(&job);
    assert_eq!(judge::optimum(&job, bound, 1e4), Some(cheapest));
    assert!(bound > 0.99 * cheapest, "bound {bound}");
}
