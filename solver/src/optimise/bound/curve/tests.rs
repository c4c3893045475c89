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
fn by_hand((metres, fixed, most): (f64, f64, f64), left: &[Offer], cables: &mut Vec<Laid>) -> f64 {
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

/// Where others pay a line for their share, no gauge with as much of theirs as suits it costs less
/// than what is left says.
#[test]
fn no_gauge_shared_with_those_who_pay_by_a_line_is_below_what_is_left() {
    let per_metre = PerMetre::new(&frontier());
    let mut draw = Draw(13);
    let mut used = 0;
    for case in 0..400 {
        let metres = draw.next(1.0, 30.0);
        let line = per_metre.lines[case % per_metre.lines.len()];
        let paid = Straight {
            fixed: metres * line.fixed,
            slope: metres * line.slope,
        };
        let left = CableCurve::new(&per_metre, metres, 0.0).no_flatter(paid);
        let own = Offer {
            fixture: 0,
            price: draw.next(0.0, 120.0),
            weight: 0.0,
            copper: draw.next(0.1, 20.0),
            zone: Some(0),
        };
        let value = left.settle(&[own]).value;
        for other in 0..200 {
            let other = f64::from(other) * 0.5;
            let cost = true_cost(metres, 0.0, own.copper + other);
            let least = cost - own.price - paid.slope * other;
            assert!(value <= least + 1e-9, "case {case}: {value} above {least}");
        }
        used += usize::from(value < 0.0);
    }
    assert!(used > 100, "cables are hardly ever worth it: {used}");
}
