//! Geometry of the site drawing, in the job's length unit. A wheel-measured
//! graph has no positions; then the segments still say what meets what.

use super::dossier::Scope;
use super::drawn::{Drawing, DrawnFixture, DrawnNode, DrawnSegment, DrawnSite};
use crate::bill::shown_length;
use crate::ids::{SegmentId, SiteId};
use crate::job::Point;
use crate::plan::JointHardware;
use std::collections::BTreeSet;

/// The drawing of a plan.
pub(super) fn of(scope: &Scope<'_>) -> Drawing {
    let job = scope.job;
    let place = |point: Point| {
        let units = job.units;
        (units.from_metres(point.x), units.from_metres(point.y))
    };
    Drawing {
        nodes: job
            .nodes
            .iter()
            .map(|node| DrawnNode {
                tag: node.tag.clone(),
                at: node.at.map(place),
            })
            .collect(),
        segments: segments(scope),
        sites: sites(scope),
        fixtures: fixtures(scope),
        hubs: hubs(scope),
    }
}

fn segments(scope: &Scope<'_>) -> Vec<DrawnSegment> {
    let positions = scope.labels.positions();
    let mut opened = scope.take.segments.iter().peekable();
    (0..scope.job.segments.len())
        .map(SegmentId::new)
        .map(|id| {
            let segment = scope.job.segment(id);
            let take = opened.next_if(|take| take.segment == id);
            let plan_circuits = take.map_or(&[][..], |take| &take.circuits);
            let mut circuits: Vec<usize> = plan_circuits
                .iter()
                .map(|&index| positions[index])
                .collect();
            circuits.sort_unstable();
            DrawnSegment {
                a: segment.a.index(),
                b: segment.b.index(),
                surface: scope.job.surface(segment.surface).tag.clone(),
                length: shown_length(scope.job, segment.length),
                opened: take.is_some(),
                circuits,
            }
        })
        .collect()
}

fn sites(scope: &Scope<'_>) -> Vec<DrawnSite> {
    let labels_at = |id: SiteId| {
        let placed = scope
            .plan
            .transformers
            .iter()
            .zip(&scope.labels.transformers);
        placed
            .filter(|(placed, _)| placed.site == id)
            .map(|(_, label)| label.clone())
            .collect()
    };
    let sites = scope.job.sites.iter().enumerate();
    sites
        .map(|(index, site)| DrawnSite {
            tag: site.tag.clone(),
            node: site.node.index(),
            transformers: labels_at(SiteId::new(index)),
        })
        .collect()
}

fn fixtures(scope: &Scope<'_>) -> Vec<DrawnFixture> {
    let positions = scope.labels.positions();
    let mut fed: Vec<_> = (0..scope.plan.circuits.len())
        .flat_map(|index| {
            let runs = scope.plan.circuits[index].leads.iter();
            runs.map(move |run| (run.fixture, index))
        })
        .collect();
    fed.sort_unstable();
    fed.into_iter()
        .map(|(id, index)| {
            let fixture = scope.job.fixture(id);
            DrawnFixture {
                tag: fixture.tag.clone(),
                node: fixture.node.index(),
                circuit: positions[index],
            }
        })
        .collect()
}

fn hubs(scope: &Scope<'_>) -> Vec<usize> {
    let joints = scope
        .plan
        .circuits
        .iter()
        .flat_map(|circuit| &circuit.joints);
    let hubs = joints.filter(|joint| matches!(joint.hardware, JointHardware::Hub(_)));
    let nodes: BTreeSet<usize> = hubs.map(|joint| joint.node.index()).collect();
    nodes.into_iter().collect()
}
