//! Outlines and courses made sound: closed, without repeated points, not crossing themselves.

use crate::edges::{distance, rounded};
use crate::fault::{Code, Fault, Ledger, Place};
use ::geo::{Area as _, Coord, LineString, Polygon};

/// Points nearer than this to each other are one, m.
const SAME_M: f64 = 0.002;
/// A ring open by no more than this is closed, m; or by this share of its length.
const CLOSED_M: f64 = 0.5;
const CLOSED_SHARE: f64 = 0.02;
/// Areas below this are flat, m².
const FLAT_M2: f64 = 0.01;

/// A course without repeated points; says when there were any.
pub(super) fn course(points: &[Coord<f64>], place: &Place, ledger: &mut Ledger) -> Vec<Coord<f64>> {
    let mut kept: Vec<Coord<f64>> = Vec::new();
    for &point in points {
        let point = rounded(point);
        if kept
            .last()
            .is_none_or(|&last| distance(last, point) > SAME_M)
        {
            kept.push(point);
        }
    }
    let dropped = points.len() - kept.len();
    if dropped > 0 {
        ledger.add(Fault::new(
            Code::RepeatedPoints,
            place,
            format!(
                "{dropped} repeated point{} left out",
                if dropped == 1 { "" } else { "s" }
            ),
        ));
    }
    kept
}

/// A ring from a course: closed where the gap is small. `must_close`: an open course was
/// drawn, which closes only by a repair.
fn ring(
    points: &[Coord<f64>],
    place: &Place,
    metres: f64,
    ledger: &mut Ledger,
) -> Option<LineString<f64>> {
    let mut ring = course(points, place, ledger);
    if ring.len() < 3 {
        ledger.add(Fault::new(
            Code::RingFlat,
            place,
            "an outline needs three different points",
        ));
        return None;
    }
    let (start, end) = (ring[0], ring[ring.len() - 1]);
    let gap = distance(start, end);
    if gap > 0.0 {
        let length: f64 = ring.windows(2).map(|pair| distance(pair[0], pair[1])).sum();
        let at = place.at([end.x / metres, end.y / metres]);
        if gap > CLOSED_M.max(CLOSED_SHARE * length) {
            ledger.add(
                Fault::new(Code::RingOpen, &at, format!("the outline is open by {gap:.2} m"))
                    .accepted(format!("an outline that ends where it starts; gaps up to {CLOSED_M} m or {} % of its length are closed", CLOSED_SHARE * 100.0))
                    .help("close it in the plan"),
            );
            return None;
        }
        ledger.add(Fault::new(
            Code::ClosedRing,
            &at,
            format!("an outline open by {gap:.3} m was closed"),
        ));
        if gap <= SAME_M * 2.0 {
            ring.pop();
        }
        ring.push(start);
    }
    Some(LineString::new(ring))
}

/// A sound polygon of rings, the first being the outline. `metres`: metres in a unit of the
/// file, to say where.
pub(super) fn polygon(
    rings: &[Vec<Coord<f64>>],
    place: &Place,
    metres: f64,
    ledger: &mut Ledger,
) -> Option<Polygon<f64>> {
    let sound: Vec<Option<LineString<f64>>> = rings
        .iter()
        .map(|points| ring(points, place, metres, ledger))
        .collect();
    let sound: Vec<LineString<f64>> = sound.into_iter().collect::<Option<_>>()?;
    let mut crossed = false;
    for ring in &sound {
        if let Some(at) = crossing(ring) {
            crossed = true;
            ledger.add(
                Fault::new(
                    Code::RingCrosses,
                    &place.at([at.x / metres, at.y / metres]),
                    "the outline crosses or touches itself here",
                )
                .help("draw it as two areas, or move the corner"),
            );
        }
    }
    if crossed {
        return None;
    }
    let mut sound = sound.into_iter();
    let polygon = Polygon::new(sound.next()?, sound.collect());
    if polygon.unsigned_area() < FLAT_M2 {
        ledger.add(
            Fault::new(
                Code::RingFlat,
                place,
                "the outline encloses next to nothing",
            )
            .given(format!("{:.4} m²", polygon.unsigned_area())),
        );
        return None;
    }
    Some(polygon)
}

/// Where two edges of a ring that do not follow each other meet.
fn crossing(ring: &LineString<f64>) -> Option<Coord<f64>> {
    use ::geo::line_intersection::{LineIntersection, line_intersection};
    let edges: Vec<_> = ring.lines().collect();
    let count = edges.len();
    for one in 0..count {
        for two in one + 1..count {
            let neighbours = two == one + 1 || (one == 0 && two == count - 1);
            match line_intersection(edges[one], edges[two]) {
                Some(LineIntersection::SinglePoint { intersection, .. }) if !neighbours => {
                    return Some(intersection);
                }
                None | Some(LineIntersection::SinglePoint { .. }) => {}
                Some(LineIntersection::Collinear { intersection }) => {
                    return Some(intersection.start);
                }
            }
        }
    }
    None
}
