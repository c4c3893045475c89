//! What one cable along a segment costs at least by the prices of drops through it: the
//! upper envelope of all copper lines, a convex curve.
//!
//! Each line `alpha + gamma / R` under the gauges says that a cable of length `l` through
//! which prices of copper of `q = sum t_f` pass costs at least `l (alpha + 2 q sqrt(gamma))`;
//! hence it costs at least the largest of them. `alpha` may be negative here: the curve is
//! for a whole cable, and any number of cables is at least the perspective of the curve,
//! `n c(q / n)` for `n >= 1`, which follows it up to where `c(q) / q` is least and is
//! straight from there. One cable and two are of whole gauges instead (the module `laid`); the
//! curve then is for three and more.
//!
//! Money as in the job; `q` and `t_f` in roots of money per ohm, so that `q² R` is money.

#[cfg(test)]
mod tests;

use super::copper::PriceFrontier;
use super::laid::{self, Laid, Ranked, Users};
use super::sharing::{Offer, Opened};

/// Tangents at the thinnest and beyond the thickest gauge.
const TANGENTS: u32 = 4;
/// How much steeper than the steepest line through the origin the last tangent is.
const BEYOND: f64 = 2.5;

/// A straight piece: money of one cable, or of a metre of it, `fixed + slope q`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Straight {
    pub fixed: f64,
    pub slope: f64,
}

/// What a metre of cable costs at least.
#[derive(Clone, Debug)]
pub(crate) struct PerMetre {
    /// Lines of all slopes, flat first.
    lines: Vec<Straight>,
    /// Whole gauges.
    laid: Vec<Laid>,
}

impl PerMetre {
    /// Of some gauges.
    pub(crate) fn new(frontier: &PriceFrontier) -> Self {
        let mut roots: Vec<f64> = frontier.slopes().iter().map(|slope| slope.sqrt()).collect();
        roots.sort_by(f64::total_cmp);
        roots.dedup();
        let lowest = roots.get(1).copied().unwrap_or(0.0);
        let highest = roots.last().copied().unwrap_or(0.0);
        for step in 1..=TANGENTS {
            let share = f64::from(step) / f64::from(TANGENTS + 1);
            roots.push(lowest * share);
            roots.push(highest * (1.0 + (BEYOND - 1.0) * share));
        }
        roots.sort_by(f64::total_cmp);
        roots.dedup();
        let lines = roots.into_iter().map(|root| Straight {
            fixed: frontier.under(root * root),
            slope: 2.0 * root,
        });
        Self {
            lines: lines.collect(),
            laid: laid::one_or_two(&frontier.gauges()),
        }
    }
}

/// The least cost of cables along one segment.
#[derive(Clone, Debug)]
pub(crate) struct CableCurve {
    /// One cable and two, of whole gauges; none where a gauge resists nothing.
    laid: Vec<Laid>,
    /// Lines of one cable in order of slope; each is the largest somewhere.
    lines: Vec<Straight>,
    /// Money per unit of `q` from where one more cable is cheaper.
    tail: f64,
    /// What more `q` costs at least, since others pay so much for theirs.
    flattest: f64,
}

impl CableCurve {
    /// The curve of a segment: `fixed` money per cable beside the metres.
    pub(crate) fn new(per_metre: &PerMetre, metres: f64, fixed: f64) -> Self {
        let scaled = per_metre.lines.iter().map(|line| Straight {
            fixed: fixed + metres * line.fixed,
            slope: metres * line.slope,
        });
        let laid = per_metre.laid.iter().map(|laid| Laid {
            money: f64::from(laid.count) * fixed + metres * laid.money,
            ohms: metres * laid.ohms,
            count: laid.count,
        });
        Self {
            laid: laid.filter(|laid| laid.ohms > 0.0).collect(),
            ..Self::envelope(scaled)
        }
    }

    /// The same where each cable costs so much money more, or less.
    pub(crate) fn raised(&self, by: f64) -> Self {
        let laid = self.laid.iter().map(|laid| Laid {
            money: laid.money + f64::from(laid.count) * by,
            ..*laid
        });
        let lines = self.lines.iter().map(|line| Straight {
            fixed: line.fixed + by,
            ..*line
        });
        Self {
            laid: laid.collect(),
            flattest: self.flattest,
            ..Self::envelope(lines)
        }
    }

    /// The upper envelope for `q >= 0` of lines in order of slope.
    fn envelope(all: impl Iterator<Item = Straight>) -> Self {
        let mut lines: Vec<Straight> = Vec::new();
        for next in all {
            while let Some(last) = lines.last() {
                if next.slope <= last.slope && next.fixed <= last.fixed {
                    break;
                }
                let from = match lines.len() {
                    1 => 0.0,
                    n => crossing(lines[n - 2], *last),
                };
                if next.fixed >= last.fixed || crossing(*last, next) <= from {
                    lines.pop();
                } else {
                    break;
                }
            }
            let above = lines.last().is_none_or(|last| next.slope > last.slope);
            if above {
                lines.push(next);
            }
        }
        // `c(q) / q` is least at a corner, or falls for ever.
        let last = lines.last().map_or(0.0, |line| line.slope);
        let corners = lines.windows(2).map(|pair| {
            let q = crossing(pair[0], pair[1]);
            (pair[0].fixed + pair[0].slope * q) / q
        });
        let falls = lines.last().is_some_and(|line| line.fixed >= 0.0);
        let tail = corners.fold(if falls { last } else { f64::INFINITY }, f64::min);
        Self {
            laid: Vec::new(),
            lines,
            tail,
            flattest: 0.0,
        }
    }

    /// What is left where others pay for theirs by a line that is nowhere above the curve: the
    /// lines no flatter than it, itself first.
    pub(crate) fn no_flatter(&self, least: Straight) -> Self {
        let steeper = self.lines.iter().filter(|line| line.slope > least.slope);
        Self {
            laid: self.laid.clone(),
            flattest: least.slope,
            ..Self::envelope(std::iter::once(least).chain(steeper.copied()))
        }
    }

    /// The flat line, the steepest that charges for a cable, and the one of a slope or the
    /// steepest below it: those tried where what a cable may carry counts.
    pub(crate) fn lines_near(&self, slope: f64) -> [Option<&Straight>; 3] {
        let charging = || self.lines.iter().filter(|line| line.fixed >= 0.0);
        [
            charging().next(),
            charging().rfind(|line| line.slope <= slope),
            charging().next_back(),
        ]
    }

    /// Money of a cable through which nothing with a price passes.
    pub(crate) fn least(&self) -> f64 {
        self.lines.first().map_or(0.0, |line| line.fixed)
    }

    /// The least of `cost of cables - prices of users` over all users, at least one cable.
    ///
    /// Users come in order of price for each unit of `q`; the last may be cut.
    pub(crate) fn settle(&self, offers: &[Offer]) -> Opened {
        let ranked = Ranked::new(offers);
        let mut best = (f64::INFINITY, 0, 0.0, None);
        for laid in &self.laid {
            if laid.cost(0.0, self.flattest) - ranked.price() < best.0 {
                let (value, whole, share) = laid.settle(&ranked, self.flattest);
                if value < best.0 {
                    best = (value, whole, share, Some(laid));
                }
            }
        }
        // Three and more go by lines.
        let least = if self.laid.is_empty() { 1.0 } else { 3.0 };
        if least * self.least() - ranked.price() < best.0 {
            let (value, whole, share) = self.settle_by_lines(&ranked, least);
            if value < best.0 {
                best = (value, whole, share, None);
            }
        }
        let (value, whole, share, laid) = best;
        let Users {
            users,
            copper,
            weight,
        } = ranked.users(whole, share);
        let (slope, count) = match laid {
            Some(laid) => (laid.slope(copper, self.flattest), f64::from(laid.count)),
            None => (
                self.slope(self.stretch(copper / least)),
                self.count(copper).max(least),
            ),
        };
        Opened {
            value,
            users,
            slope,
            count,
            weight,
        }
    }

    /// The same where there are at least so many cables, by the lines: the value, and how many
    /// of the offers that need copper are taken whole and what share of the next.
    fn settle_by_lines(&self, ranked: &Ranked<'_>, least: f64) -> (f64, usize, f64) {
        let (mut q, mut at) = (0.0, 0);
        let mut value = least * self.least() - ranked.first(0).1;
        for (whole, dear) in ranked.dear.iter().enumerate() {
            let mut left = dear.offer.copper;
            while left > 0.0 {
                let slope = self.slope(at);
                if slope >= dear.worth {
                    return (value, whole, 1.0 - left / dear.offer.copper);
                }
                let room = least * self.end(at) - q;
                let taken = left.min(room.max(0.0));
                value += (slope - dear.worth) * taken;
                q += taken;
                left -= taken;
                if left > 0.0 {
                    at += 1;
                }
            }
        }
        (value, ranked.dear.len(), 0.0)
    }

    /// The stretch in which so much `q` through one cable lies.
    fn stretch(&self, q: f64) -> usize {
        let ends = (0..self.lines.len()).take_while(|&at| self.end(at) < q);
        ends.count()
    }

    /// Cables that are cheapest by the lines for prices of copper of `q`, at least one.
    fn count(&self, q: f64) -> f64 {
        let straight = self.lines.iter().position(|line| line.slope >= self.tail);
        match straight {
            Some(at) if at > 0 => (q / self.end(at - 1)).max(1.0),
            _ => 1.0,
        }
    }

    /// Slope of a stretch, the straight tail included.
    fn slope(&self, at: usize) -> f64 {
        self.lines
            .get(at)
            .map_or(self.tail, |line| line.slope.min(self.tail))
    }

    /// Where a stretch ends.
    fn end(&self, at: usize) -> f64 {
        match (self.lines.get(at), self.lines.get(at + 1)) {
            (Some(line), Some(next)) if line.slope < self.tail => crossing(*line, *next),
            _ => f64::INFINITY,
        }
    }
}

/// Where the steeper of two lines becomes the larger.
fn crossing(flatter: Straight, steeper: Straight) -> f64 {
    (flatter.fixed - steeper.fixed) / (steeper.slope - flatter.slope)
}
