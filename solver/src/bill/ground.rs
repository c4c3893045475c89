//! Work in the ground, by surface and by segment: opening, the dearer rate
//! beyond a segment's limit, laying cable.
//!
//! Own labour is hours, work of others is money. Leads open ground and count in
//! its limit, but laying work is due for pieces only.

use super::exact::{RunningShare, decimal, hundredths};
use super::takeoff::{SegmentTake, Takeoff};
use crate::ids::SurfaceId;
use crate::job::{Job, Surface, SurfaceWork};
use crate::units::Money;
use rust_decimal::Decimal;

/// The parts of the work in one surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum GroundPart {
    /// Opening, once a segment.
    Opening,
    /// Once a segment that holds more than its limit.
    BeyondLimit,
    /// For each piece laid.
    Laying,
}

impl GroundPart {
    /// In the order of the bill.
    pub(crate) const ALL: [Self; 3] = [Self::Opening, Self::BeyondLimit, Self::Laying];

    /// Rates of this part; `None` when the surface has no such work.
    pub(crate) fn rates(self, surface: &Surface) -> Option<SurfaceWork> {
        match self {
            Self::Opening => Some(surface.open),
            Self::BeyondLimit => surface.beyond_limit,
            Self::Laying => Some(surface.per_cable),
        }
    }

    /// Length of a segment that this part is due for.
    pub(crate) fn length(self, take: &SegmentTake) -> Decimal {
        match self {
            Self::Opening => take.length,
            Self::BeyondLimit if take.beyond => take.length,
            Self::BeyondLimit => Decimal::ZERO,
            Self::Laying => take.length * Decimal::from(take.pieces),
        }
    }
}

/// One surface with what is opened in it.
pub(crate) struct GroundSurface<'a> {
    /// The surface.
    pub(crate) surface: &'a Surface,
    /// Its opened segments.
    pub(crate) segments: Vec<&'a SegmentTake>,
}

impl<'a> GroundSurface<'a> {
    /// The surfaces a plan opens, in catalogue order.
    pub(crate) fn all(job: &'a Job, take: &'a Takeoff) -> Vec<Self> {
        (0..job.surfaces.len())
            .map(SurfaceId::new)
            .map(|id| Self {
                surface: job.surface(id),
                segments: take
                    .segments
                    .iter()
                    .filter(|opened| job.segment(opened.segment).surface == id)
                    .collect(),
            })
            .filter(|ground| !ground.segments.is_empty())
            .collect()
    }
    /// Segments opened.
    pub(crate) fn count(&self) -> Decimal {
        Decimal::from(self.segments.len())
    }
    /// Length that a part of the work is due for, exact.
    pub(crate) fn length(&self, part: GroundPart) -> Decimal {
        self.segments.iter().map(|take| part.length(take)).sum()
    }
    /// Hours of a part, to 0.01.
    pub(crate) fn hours(&self, part: GroundPart) -> Decimal {
        let rates = part.rates(self.surface).unwrap_or_default();
        hundredths(self.length(part) * decimal(rates.hours_per_unit))
    }
    /// Money per length of a part, without labour.
    pub(crate) fn rate(&self, part: GroundPart) -> Money {
        part.rates(self.surface).unwrap_or_default().money_per_unit
    }
    /// Hours and money of each segment, adding up to those of the surface on the bill.
    pub(crate) fn shares(&self) -> Vec<(Decimal, Money)> {
        let mut hours = [RunningShare::default(); GroundPart::ALL.len()];
        let mut money = [RunningShare::default(); GroundPart::ALL.len()];
        let mut fixed = RunningShare::default();
        self.segments
            .iter()
            .map(|take| {
                let mut worked = Decimal::ZERO;
                let mut paid = fixed.next(self.surface.open_fixed.decimal());
                for (index, part) in GroundPart::ALL.into_iter().enumerate() {
                    let rates = part.rates(self.surface).unwrap_or_default();
                    let length = part.length(take);
                    worked += hours[index].next(length * decimal(rates.hours_per_unit));
                    paid += money[index].next(rates.money_per_unit.times(length).decimal());
                }
                (worked, Money::new(paid))
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bill::specimen;
    use crate::units::Money;
    use rust_decimal::dec;

    /// Two segments of lawn, 40.0 and 25.5 ft; one piece in the first, two in the second, whose
    /// limit is one. Hours of the first: opening 1.20, laying 0.20. With the second, opening
    /// 65.5 x 0.03 = 1.965 -> 1.96, beyond the limit 25.5 x 0.01 = 0.255 -> 0.26, laying
    /// (40 + 51) x 0.005 = 0.455 -> 0.46: 0.76 + 0.26 + 0.26 are left for it. Money of the
    /// second: 25.5 x 0.35 = 8.925 -> 8.92.
    ///
    /// Drive: set-up 120.00 and 12.25 x 6.50 = 79.625 -> 79.62.
    #[test]
    fn segments_share_the_hours_and_money_of_their_surface() {
        let (mut job, plan) = (specimen::job(), specimen::plan());
        job.segments[0].surface = SurfaceId(1);
        let take = Takeoff::of(&job, &plan);
        let surfaces = GroundSurface::all(&job, &take);
        let tags: Vec<&str> = surfaces
            .iter()
            .map(|ground| ground.surface.tag.as_str())
            .collect();
        assert_eq!(tags, ["lawn", "drive", "sleeve"]);
        let money = Money::new;
        assert_eq!(
            surfaces[0].shares(),
            [
                (dec!(1.40), money(dec!(0))),
                (dec!(1.28), money(dec!(8.92)))
            ]
        );
        assert_eq!(surfaces[1].shares(), [(dec!(0), money(dec!(199.62)))]);
        assert_eq!(surfaces[2].shares(), [(dec!(0), Money::ZERO)]);
    }

    /// One piece where one is allowed: the dearer rate of the bed is due for no foot of it.
    #[test]
    fn a_segment_filled_to_its_limit_pays_no_dearer_rate() {
        let (mut job, plan) = (specimen::job(), specimen::plan());
        job.segments[0].limit.cables = Some(1);
        job.surfaces[0].beyond_limit = job.surfaces[1].beyond_limit;
        let take = Takeoff::of(&job, &plan);
        let bed = &GroundSurface::all(&job, &take)[0];
        assert_eq!(bed.surface.tag, "bed");
        assert_eq!(bed.length(GroundPart::BeyondLimit), dec!(0));
        // Opening 40 x 0.02 and laying 40 x 0.005.
        assert_eq!(bed.shares(), [(dec!(1.00), Money::ZERO)]);
    }
}
