//! Who shares one thing at the prices offered: the small problems of cables,
//! joints and trenches that remain when the fixtures' paths are set apart.
//!
//! Each function returns a lower bound on `cost of the thing - prices of those
//! who use it`, never above zero since it may stay unused, and the users that
//! attain it.

use super::curve::{CableCurve, Straight};
use super::joints;

/// A fixture that offers a price for using the thing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Offer {
    pub fixture: usize,
    /// Multiplier, > 0.
    pub price: f64,
    /// Share of the capacity it takes, >= 0.
    pub weight: f64,
    /// Its price of copper, >= 0: what it adds to the drops priced through a cable.
    pub copper: f64,
    pub zone: Option<usize>,
}

/// A settled sharing problem.
#[derive(Clone, Debug, Default)]
pub(crate) struct Settled {
    /// <= 0.
    pub value: f64,
    /// Users and the fraction of each, 0..=1.
    pub users: Vec<(usize, f64)>,
    /// Money for one more unit of priced copper, for cables.
    pub slope: f64,
    /// How many of the thing, >= 1 where there are users.
    pub count: f64,
}

/// Best outcome when the thing must be used at least once.
#[derive(Debug, Default)]
pub(crate) struct Opened {
    pub value: f64,
    /// Users and the fraction of each, 0..=1.
    pub users: Vec<(usize, f64)>,
    /// Money for one more unit of priced copper, for cables.
    pub slope: f64,
    /// How many of the thing, >= 1 where there are users.
    pub count: f64,
    /// Share of the capacity that they take, for cables.
    pub weight: f64,
}

/// Cables of one segment and direction, each feeding at most `most`.
///
/// Where zones are told apart, fixtures without one join any of them for the price of
/// `guest`, a line under the curve; the others then pay what the cables cost beyond that.
pub(crate) fn cables(curve: &CableCurve, guest: Straight, most: f64, offers: &[Offer]) -> Settled {
    // Most segments are not worth a cable by one line already.
    let net = |offer: &Offer| (offer.price - guest.slope * offer.copper).max(0.0);
    if guest.fixed >= offers.iter().map(net).sum() {
        return Settled::default();
    }
    let zoned = offers.iter().any(|offer| offer.zone.is_some());
    let guests = offers.iter().any(|offer| offer.zone.is_none());
    if !(zoned && guests) {
        return settle(offers, |group| cheapest_cables(curve, most, group));
    }
    let net: Vec<Offer> = offers
        .iter()
        .map(|offer| match offer.zone {
            None => Offer {
                price: offer.price - guest.slope * offer.copper,
                ..*offer
            },
            Some(_) => *offer,
        })
        .filter(|offer| offer.price > 0.0)
        .collect();
    let steeper = curve.no_flatter(guest);
    settle(&net, |group| {
        match group.iter().all(|offer| offer.zone.is_none()) {
            // Already paid by the line.
            true => opened_cables(guest.fixed, most, group),
            false => cheapest_cables(&steeper, most, group),
        }
    })
}

/// The better of what the curve and the capacity allow to say.
fn cheapest_cables(curve: &CableCurve, most: f64, offers: &[Offer]) -> Opened {
    let best = curve.settle(offers);
    // Where the cables carry their users, no line says more: it lies under the curve.
    if best.weight <= best.count * most || best.value >= 0.0 {
        return best;
    }
    let by_lines = curve.lines_near(best.slope).into_iter().flatten();
    by_lines.fold(best, |best, line| {
        let net: Vec<Offer> = offers
            .iter()
            .map(|offer| Offer {
                price: offer.price - line.slope * offer.copper,
                ..*offer
            })
            .filter(|offer| offer.price > 0.0)
            .collect();
        let packed = opened_cables(line.fixed, most, &net);
        match packed.value > best.value {
            true => Opened {
                slope: line.slope,
                ..packed
            },
            false => best,
        }
    })
}

/// Joints at one node.
pub(crate) fn joints(costs: &[f64], offers: &[Offer]) -> Settled {
    settle(offers, |group| opened_joints(costs, group))
}

/// Zones never share; fixtures without a zone join whichever zone is there.
///
/// With zones in play the fixtures without one are let in free of the capacity:
/// less than the truth, so still a bound.
fn settle(offers: &[Offer], opened: impl Fn(&[Offer]) -> Opened) -> Settled {
    let mut zones: Vec<usize> = offers.iter().filter_map(|offer| offer.zone).collect();
    zones.sort_unstable();
    zones.dedup();
    let free: Vec<Offer> = offers
        .iter()
        .filter(|offer| offer.zone.is_none())
        .copied()
        .collect();
    if zones.is_empty() {
        let best = opened(&free);
        return if best.value < 0.0 {
            Settled {
                value: best.value,
                users: best.users,
                slope: best.slope,
                count: best.count,
            }
        } else {
            Settled::default()
        };
    }
    let guests: f64 = free.iter().map(|offer| offer.price).sum();
    let groups: Vec<Opened> = zones
        .iter()
        .map(|&zone| {
            let own: Vec<Offer> = offers
                .iter()
                .filter(|offer| offer.zone == Some(zone))
                .copied()
                .collect();
            opened(&own)
        })
        .collect();
    let paying: Vec<&Opened> = groups.iter().filter(|group| group.value < 0.0).collect();
    let mut candidates: Vec<Settled> = Vec::new();
    let host = |hosts: &[&Opened]| Settled {
        value: hosts.iter().map(|group| group.value).sum::<f64>() - guests,
        slope: hosts.iter().map(|group| group.slope).fold(0.0, f64::max),
        count: hosts.iter().map(|group| group.count).sum(),
        users: hosts
            .iter()
            .flat_map(|group| group.users.iter().copied())
            .chain(free.iter().map(|offer| (offer.fixture, 1.0)))
            .collect(),
    };
    if paying.is_empty() {
        candidates.extend(groups.iter().map(|group| host(&[group])));
        let alone = opened(&free);
        candidates.push(Settled {
            value: alone.value,
            users: alone.users,
            slope: alone.slope,
            count: alone.count,
        });
    } else {
        candidates.push(host(&paying));
    }
    candidates
        .into_iter()
        .filter(|settled| settled.value < 0.0)
        .min_by(|left, right| left.value.total_cmp(&right.value))
        .unwrap_or_default()
}

/// One cable or more. Fixtures are packed by price per weight and the last may
/// be cut: the linear relaxation of the packing, hence no dearer than the truth.
/// `most` is at least the largest weight.
fn opened_cables(charge: f64, most: f64, offers: &[Offer]) -> Opened {
    let total: f64 = offers.iter().map(|offer| offer.weight).sum();
    if total <= most {
        let prices: f64 = offers.iter().map(|offer| offer.price).sum();
        return Opened {
            value: charge - prices,
            users: offers.iter().map(|offer| (offer.fixture, 1.0)).collect(),
            slope: 0.0,
            count: 1.0,
            weight: total,
        };
    }
    let mut ranked: Vec<&Offer> = offers.iter().collect();
    // A quotient, not a cross product: it orders in full even where prices are next to nothing.
    let worth = |offer: &Offer| offer.price / offer.weight;
    ranked.sort_by(|left, right| {
        worth(right)
            .total_cmp(&worth(left))
            .then(left.fixture.cmp(&right.fixture))
    });
    let mut best = Opened {
        value: f64::INFINITY,
        ..Opened::default()
    };
    let (mut users, mut value, mut room, mut count) = (Vec::new(), charge, most, 1.0);
    for offer in ranked {
        let mut left = 1.0;
        while left * offer.weight > room {
            let part = (room / offer.weight).min(left);
            value -= offer.price * part;
            users.push((offer.fixture, part));
            left -= part;
            if value < best.value {
                best = Opened {
                    value,
                    users: users.clone(),
                    slope: 0.0,
                    count,
                    weight: count * most,
                };
            }
            value += charge;
            room = most;
            count += 1.0;
        }
        value -= offer.price * left;
        users.push((offer.fixture, left));
        room -= left * offer.weight;
    }
    if value < best.value {
        best = Opened {
            value,
            users,
            slope: 0.0,
            count,
            weight: total,
        };
    }
    best
}

/// One joint or more, whose cost goes by the leads.
fn opened_joints(costs: &[f64], offers: &[Offer]) -> Opened {
    let cost = |leads: usize| joints::of_leads(costs, leads);
    let mut ranked: Vec<&Offer> = offers.iter().collect();
    ranked.sort_by(|left, right| {
        (left.weight > 0.0)
            .cmp(&(right.weight > 0.0))
            .then(right.price.total_cmp(&left.price))
            .then(left.fixture.cmp(&right.fixture))
    });
    let (mut prices, mut leads) = (0.0, 0);
    let (mut best, mut taken) = (cost(0), 0);
    for (count, offer) in ranked.iter().enumerate() {
        prices += offer.price;
        leads += usize::from(offer.weight > 0.0);
        let value = cost(leads) - prices;
        if value < best {
            (best, taken) = (value, count + 1);
        }
    }
    Opened {
        value: best,
        slope: 0.0,
        count: 1.0,
        weight: 0.0,
        users: ranked[..taken]
            .iter()
            .map(|offer| (offer.fixture, 1.0))
            .collect(),
    }
}
