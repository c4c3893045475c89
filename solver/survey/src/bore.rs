//! Possible bores: straight across a bore-only area, at right angles to its edge.
//!
//! Square crossings of utility strips are found in the same way: nothing else is cheap there.
//!
//! Candidates start on the edges of the area at even spacing and at the feet of fixtures near
//! it. A bore leaves the area at an edge that it meets no flatter than [`FLATTEST_SIN`].

use crate::edges::{Edge, Edges, Owner, distance, rounded};
use crate::overlay::{Overlay, Region};
use crate::plan::{Area, AreaKind};
use geo::Coord;
use rstar::AABB;

/// Spacing of candidates along an edge, m.
const SPACING_M: f64 = 2.0;
/// Fixtures nearer than this to an edge have a candidate at their foot, m.
const FOOT_M: f64 = 8.0;
/// Longest bore looked for, m.
const LONGEST_M: f64 = 60.0;
/// Sine of the flattest angle at the far edge: 70 degrees. A drive whose two edges are not
/// quite parallel can still be bored.
const FLATTEST_SIN: f64 = 0.939_692_620_785_908_4;
/// Step to look at what lies beside an edge, m.
const STEP_M: f64 = 0.02;

/// One possible bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bore {
    /// One mouth.
    pub(crate) from: Coord<f64>,
    /// The other.
    pub(crate) to: Coord<f64>,
    /// The area it starts on.
    pub(crate) area: usize,
    /// Edges on which it starts and ends.
    pub(crate) edges: [usize; 2],
}

/// All candidates of a plan.
pub(crate) fn candidates(
    areas: &[Area],
    edges: &Edges,
    overlay: &Overlay<'_>,
    points: &[Coord<f64>],
) -> Vec<Bore> {
    let mut bores = Vec::new();
    for edge in &edges.all {
        let Owner::Area(area) = edge.owner else {
            continue;
        };
        if !matches!(areas[area].kind, AreaKind::BoreOnly(_)) {
            continue;
        }
        let inside = |region| matches!(region, Region::Bore(_));
        for start in starts(edge, points) {
            bores.extend(cast(edge, area, start, edges, overlay, &inside));
        }
    }
    bores
}

/// Square crossings of utility strips.
pub(crate) fn crossings(
    areas: &[Area],
    edges: &Edges,
    overlay: &Overlay<'_>,
    points: &[Coord<f64>],
) -> Vec<Bore> {
    let mut found = Vec::new();
    for edge in &edges.all {
        let Owner::Area(area) = edge.owner else {
            continue;
        };
        let Some(own) = overlay.utility(area) else {
            continue;
        };
        debug_assert!(matches!(areas[area].kind, AreaKind::Utility(_)));
        for start in starts(edge, points) {
            found.extend(cast(edge, area, start, edges, overlay, &|region| {
                region == own
            }));
        }
    }
    found
}

/// Where bores may start on an edge.
fn starts(edge: &Edge, points: &[Coord<f64>]) -> Vec<Coord<f64>> {
    let length = edge.length();
    let pieces = (length / SPACING_M).ceil().max(1.0);
    let along = edge.b - edge.a;
    // In the middle of equal pieces: never at a corner, where no right angle is defined.
    let mut shares: Vec<f64> = (0..pieces as usize)
        .map(|piece| (piece as f64 + 0.5) / pieces)
        .collect();
    for &point in points {
        let (share, foot) = edge.nearest(point);
        if share > 0.0 && share < 1.0 && distance(foot, point) < FOOT_M {
            shares.push(share);
        }
    }
    shares.sort_by(f64::total_cmp);
    let mut starts: Vec<Coord<f64>> = Vec::new();
    for share in shares {
        let at = rounded(edge.a + along * share);
        if starts.last().is_none_or(|&last| distance(last, at) > 0.1) {
            starts.push(at);
        }
    }
    starts
}

/// The bore from a point of an edge, when there is one.
fn cast(
    edge: &Edge,
    area: usize,
    start: Coord<f64>,
    edges: &Edges,
    overlay: &Overlay<'_>,
    inside: &impl Fn(Region) -> bool,
) -> Option<Bore> {
    let along = (edge.b - edge.a) / edge.length();
    [(-along.y, along.x), (along.y, -along.x)]
        .into_iter()
        .map(|(x, y)| Coord { x, y })
        .find_map(|way| {
            let inward = inside(overlay.at(start + way * STEP_M));
            let beside = overlay.at(start - way * STEP_M);
            let outward = matches!(beside, Region::Ground(_)) && !inside(beside);
            if !(inward && outward) {
                return None;
            }
            let (to, far) = exit(start, way, edge.number, edges, overlay, inside)?;
            Some(Bore {
                from: start,
                to,
                area,
                edges: [edge.number, far],
            })
        })
}

/// Where a ray leaves the bore-only ground, and through which edge.
fn exit(
    start: Coord<f64>,
    way: Coord<f64>,
    own: usize,
    edges: &Edges,
    overlay: &Overlay<'_>,
    inside: &impl Fn(Region) -> bool,
) -> Option<(Coord<f64>, usize)> {
    let end = start + way * LONGEST_M;
    let reach = AABB::from_corners([start.x, start.y], [end.x, end.y]);
    let mut met: Vec<(f64, usize, f64)> = edges
        .tree
        .locate_in_envelope_intersecting(&reach)
        .filter(|edge| edge.number != own && matches!(edge.owner, Owner::Area(_)))
        .filter_map(|edge| meeting(start, way, edge).map(|(far, sine)| (far, edge.number, sine)))
        .filter(|&(far, _, _)| far > STEP_M && far < LONGEST_M)
        .collect();
    met.sort_by(|one, two| one.0.total_cmp(&two.0).then(one.1.cmp(&two.1)));
    for (far, number, sine) in met {
        match overlay.at(start + way * (far + STEP_M)) {
            region if inside(region) => {}
            Region::Blocked | Region::Bore(_) => return None,
            Region::Ground(_) => {
                let clear = sine >= FLATTEST_SIN;
                return clear.then(|| (rounded(start + way * far), number));
            }
        }
    }
    None
}

/// How far along a ray an edge is met, and the sine of the angle between them.
fn meeting(start: Coord<f64>, way: Coord<f64>, edge: &Edge) -> Option<(f64, f64)> {
    let along = edge.b - edge.a;
    let cross = way.x * along.y - way.y * along.x;
    let sine = cross.abs() / edge.length();
    if sine < 1e-9 {
        return None;
    }
    let offset = edge.a - start;
    let far = (offset.x * along.y - offset.y * along.x) / cross;
    let share = (offset.x * way.y - offset.y * way.x) / cross;
    (0.0..=1.0).contains(&share).then_some((far, sine))
}
