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
            if laid.money - ranked.price() < best.0 {
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

#[cfg(test)]
mod tests {
    use super::{CableCurve, PerMetre, Straight};
    use crate::optimise::bound::copper::{Gauge, PriceFrontier};
    use crate::optimise::bound::sharing::{Offer, Opened, cables};

    /// Ohms and money per metre.
    const GAUGES: [(f64, f64); 3] = [(0.02, 1.1), (0.008, 2.4), (0.003, 6.0)];

    /// Share of the cost of cables of one gauge that is reached at least: two of unlike gauges
    /// are cheaper at times, and three go by lines.
    const LOOSEST: f64 = 0.96;

    fn frontier() -> PriceFrontier {
        let gauges = GAUGES.map(|(loop_ohms_per_metre, price_per_metre)| Gauge {
            loop_ohms_per_metre,
            price_per_metre,
            ampacity: 30.0,
            stock_metres: 0.0,
        });
        PriceFrontier::new(&gauges)
    }

    /// What a cable of the best gauge costs where `q` of priced copper passes.
    fn true_cost(metres: f64, fixed: f64, q: f64) -> f64 {
        let each = GAUGES.iter().map(|(ohms, price)| price + ohms * q * q);
        fixed + metres * each.fold(f64::INFINITY, f64::min)
    }

    /// A generator without state elsewhere: the tests draw the same numbers every time.
    struct Draw(u64);

    impl Draw {
        fn next(&mut self, least: f64, most: f64) -> f64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            least + (most - least) * (self.0 >> 11) as f64 / (1_u64 << 53) as f64
        }
    }

    /// A cable of the enumeration: what passes it, what is paid for it, what it carries, whose it is.
    #[derive(Clone, Copy, Default)]
    struct Laid {
        q: f64,
        price: f64,
        weight: f64,
        zone: Option<usize>,
    }

    /// The least of cost less prices over all ways to split some of the offers among cables:
    /// the first of `left` stays out, or joins one of `cables` or a new one, where zones and
    /// what a cable may carry (`most`) allow it.
    fn by_hand(
        (metres, fixed, most): (f64, f64, f64),
        left: &[Offer],
        cables: &mut Vec<Laid>,
    ) -> f64 {
        let Some((first, rest)) = left.split_first() else {
            let each = cables
                .iter()
                .map(|laid| true_cost(metres, fixed, laid.q) - laid.price);
            return each.reduce(|one, next| one + next).unwrap_or(f64::INFINITY);
        };
        let mut best = by_hand((metres, fixed, most), rest, cables);
        for at in 0..=cables.len() {
            let before = cables.clone();
            if at == cables.len() {
                cables.push(Laid::default());
            }
            let laid = &mut cables[at];
            let apart = laid.zone.is_some() && first.zone.is_some() && laid.zone != first.zone;
            if !apart && laid.weight + first.weight <= most {
                laid.q += first.copper;
                laid.price += first.price;
                laid.weight += first.weight;
                laid.zone = laid.zone.or(first.zone);
                best = best.min(by_hand((metres, fixed, most), rest, cables));
            }
            *cables = before;
        }
        best
    }

    /// Below every way to share cables, two and three of them included, and no further below
    /// what those it names as users cost together than fractions of cables and gauges explain.
    #[test]
    fn no_split_among_cables_is_below_the_curve() {
        let per_metre = PerMetre::new(&frontier());
        let mut draw = Draw(7);
        let (mut several, mut whole, mut loosest) = (0, 0, 1.0_f64);
        for _ in 0..400 {
            let (metres, fixed) = (draw.next(1.0, 30.0), draw.next(0.0, 8.0));
            let curve = CableCurve::new(&per_metre, metres, fixed);
            let offers: Vec<Offer> = (0..5)
                .map(|fixture| Offer {
                    fixture,
                    price: draw.next(0.0, 80.0),
                    weight: 0.0,
                    copper: draw.next(0.0, 40.0),
                    zone: None,
                })
                .collect();
            let Opened {
                value,
                users,
                count,
                ..
            } = curve.settle(&offers);
            let least = by_hand((metres, fixed, f64::INFINITY), &offers, &mut Vec::new());
            assert!(value <= least + 1e-9, "{value} above {least}");
            let of = |what: fn(&Offer) -> f64| -> f64 {
                let each = users.iter().map(|(f, share)| share * what(&offers[*f]));
                each.sum()
            };
            let (q, cost) = (of(|offer| offer.copper), value + of(|offer| offer.price));
            if count == 1.0 {
                let exact = true_cost(metres, fixed, q);
                assert!((cost - exact).abs() < 1e-9 * exact, "{cost}, not {exact}");
                whole += usize::from(users.iter().all(|(_, share)| *share == 1.0));
            }
            let shared = (1..=5).map(|count| {
                let count = f64::from(count);
                count * true_cost(metres, fixed, q / count)
            });
            let exact = shared.fold(f64::INFINITY, f64::min);
            loosest = loosest.min(cost / exact);
            several += usize::from(true_cost(metres, fixed, q) > 1.01 * exact);
        }
        assert!(several > 20, "splitting is hardly ever cheaper: {several}");
        assert!(whole > 50, "users are hardly ever whole: {whole}");
        assert!(loosest > LOOSEST, "{loosest}");
    }

    /// Two zones and fixtures without one, and cables that carry two or three of them.
    #[test]
    fn no_split_among_the_cables_of_zones_is_below_what_sharing_says() {
        let per_metre = PerMetre::new(&frontier());
        let mut draw = Draw(11);
        let mut used = 0;
        for case in 0..400 {
            let (metres, fixed) = (draw.next(1.0, 30.0), draw.next(0.0, 8.0));
            let most = draw.next(2.0, 4.0);
            let curve = CableCurve::new(&per_metre, metres, fixed);
            let charging = per_metre.lines.iter().filter(|line| line.fixed >= 0.0);
            let line = charging.cycle().nth(case % 7).expect("one is flat");
            let guest = Straight {
                fixed: fixed + metres * line.fixed,
                slope: metres * line.slope,
            };
            let offers: Vec<Offer> = (0..5)
                .map(|fixture| Offer {
                    fixture,
                    price: draw.next(0.0, 80.0),
                    weight: draw.next(0.5, 2.0),
                    copper: draw.next(0.0, 20.0),
                    zone: [None, Some(0), Some(1)][draw.next(0.0, 3.0) as usize],
                })
                .collect();
            let value = cables(&curve, guest, most, &offers).value;
            let least = by_hand((metres, fixed, most), &offers, &mut Vec::new()).min(0.0);
            assert!(value <= least + 1e-9, "case {case}: {value} above {least}");
            used += usize::from(least < 0.0);
        }
        assert!(used > 100, "cables are hardly ever worth it: {used}");
    }

    /// The curve lies under the best gauge everywhere, and touches it at the thinnest.
    #[test]
    fn a_cable_costs_no_less_than_its_curve() {
        let per_metre = PerMetre::new(&frontier());
        for step in 0..200 {
            let q = f64::from(step) * 0.5;
            let most = per_metre
                .lines
                .iter()
                .map(|line| line.fixed + line.slope * q);
            let most = most.fold(0.0, f64::max);
            assert!(most <= true_cost(1.0, 0.0, q) + 1e-9, "at {q}");
        }
        assert_eq!(
            per_metre.lines[0],
            Straight {
                fixed: 1.1,
                slope: 0.0
            }
        );
    }

    /// Lines that are nowhere the largest do not stay.
    #[test]
    fn an_envelope_keeps_what_is_largest_somewhere() {
        let line = |fixed, slope| Straight { fixed, slope };
        let all = [
            line(3.0, 0.0),
            line(1.0, 1.0),
            line(2.5, 1.0),
            line(0.0, 2.0),
            line(2.9, 3.0),
        ];
        let curve = CableCurve::envelope(all.into_iter());
        assert_eq!(curve.lines, [line(3.0, 0.0), line(2.9, 3.0)]);
        assert_eq!(
            curve.no_flatter(line(2.95, 0.5)).lines,
            [line(2.95, 0.5), line(2.9, 3.0)]
        );
    }

    /// Dearer cables are those of a dearer segment, and how fast their cost rises with it is how
    /// many there are.
    #[test]
    fn what_each_cable_costs_more_is_paid_as_often_as_there_are_cables() {
        const STEP: f64 = 1e-5;
        let per_metre = PerMetre::new(&frontier());
        let mut draw = Draw(11);
        let (mut one, mut several) = (0, 0);
        for _ in 0..400 {
            let (metres, fixed) = (draw.next(1.0, 30.0), draw.next(0.0, 8.0));
            let by = draw.next(-metres, 5.0);
            let raised = CableCurve::new(&per_metre, metres, fixed).raised(by);
            let all = |curve: &CableCurve, q: f64| {
                let offer = Offer {
                    fixture: 0,
                    price: 1e6,
                    weight: 0.0,
                    copper: q,
                    zone: None,
                };
                curve.settle(&[offer])
            };
            let q = draw.next(0.1, 60.0);
            let dearer = CableCurve::new(&per_metre, metres, fixed + by);
            assert!((all(&raised, q).value - all(&dearer, q).value).abs() < 1e-6);
            let rate = (all(&raised.raised(STEP), q).value - all(&raised, q).value) / STEP;
            let count = all(&raised, q).count;
            assert!((rate - count).abs() < 1e-2 * count, "{rate}, not {count}");
            match count > 1.0 {
                true => several += 1,
                false => one += 1,
            }
        }
        assert!(
            one > 50 && several > 50,
            "{one} of one, {several} of several"
        );
    }
}
