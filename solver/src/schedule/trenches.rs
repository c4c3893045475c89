//! Ground opened, by surface and by segment; the segments of a surface add up
//! to its row, and its row to the bill.

use super::dossier::Scope;
use super::field::{SegmentRow, SurfaceRow, Trenches};
use crate::bill::{GroundPart, GroundSurface, SegmentTake, hundredths};
use crate::ids::SegmentId;
use crate::units::Money;
use rust_decimal::Decimal;

/// The trench schedule.
pub(super) fn rows(scope: &Scope<'_>) -> Trenches {
    let grounds = GroundSurface::all(scope.job, scope.take);
    let mut segments: Vec<(SegmentId, SegmentRow)> = Vec::with_capacity(scope.take.segments.len());
    for ground in &grounds {
        for (take, share) in ground.segments.iter().zip(ground.shares()) {
            segments.push((take.segment, segment(scope, take, share)));
        }
    }
    segments.sort_by_key(|(id, _)| *id);
    Trenches {
        surfaces: grounds.iter().map(surface).collect(),
        length: hundredths(segments.iter().map(|(_, row)| row.length).sum()),
        segments: segments.into_iter().map(|(_, row)| row).collect(),
    }
}

fn surface(ground: &GroundSurface<'_>) -> SurfaceRow {
    let hours = GroundPart::ALL.into_iter().map(|part| ground.hours(part));
    let paid = GroundPart::ALL.into_iter().map(|part| {
        let due = ground.rate(part).times(ground.length(part));
        due.cents()
    });
    let set_up = ground.surface.open_fixed.times(ground.count()).cents();
    SurfaceRow {
        surface: ground.surface.tag.clone(),
        segments: u32::try_from(ground.segments.len()).expect("segment ids are 32-bit"),
        length: hundredths(ground.length(GroundPart::Opening)),
        cable: hundredths(ground.length(GroundPart::Laying)),
        hours: hundredths(hours.sum()),
        money: paid.sum::<Money>() + set_up,
    }
}

fn segment(scope: &Scope<'_>, take: &SegmentTake, share: (Decimal, Money)) -> SegmentRow {
    let job = scope.job;
    let segment = job.segment(take.segment);
    SegmentRow {
        from: job.node(segment.a).tag.clone(),
        to: job.node(segment.b).tag.clone(),
        surface: job.surface(segment.surface).tag.clone(),
        length: take.length,
        pieces: take.pieces,
        leads: take.leads,
        circuits: scope.labels.sorted(&take.circuits),
        beyond_limit: take.beyond,
        hours: share.0,
        money: share.1,
    }
}
