//! Who shares one thing at the prices offered: the small problems of cables,
//! joints and trenches that remain when the fixtures' paths are set apart.
//!
//! Each function returns a lower bound on `cost of the thing - prices of those
//! who use it`, never above zero since it may stay unused, and the users that
//! attain it.

use super::joints::JointLine;

/// A fixture that offers a price for using the thing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Offer {
    pub fixture: usize,
    /// Multiplier, > 0.
    pub price: f64,
    /// Share of the capacity it takes, >= 0.
    pub weight: f64,
    pub zone: Option<usize>,
}

/// A settled sharing problem.
#[derive(Clone, Debug, Default)]
pub(crate) struct Settled {
    /// <= 0.
    pub value: f64,
    /// Users and the fraction of each, 0..=1.
    pub users: Vec<(usize, f64)>,
}

/// Best outcome when the thing must be used at least once.
struct Opened {
    value: f64,
    users: Vec<(usize, f64)>,
}

/// Cables of one segment and direction: `charge` each, each feeding at most `most`.
pub(crate) fn cables(charge: f64, most: f64, offers: &[Offer]) -> Settled {
    settle(offers, |group| opened_cables(charge, most, group))
}

/// Joints at one node.
pub(crate) fn joints(lines: &[JointLine], offers: &[Offer]) -> Settled {
    settle(offers, |group| opened_joints(lines, group))
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
        };
    }
    let mut ranked: Vec<&Offer> = offers.iter().collect();
    ranked.sort_by(|left, right| {
        let (here, there) = (left.price * right.weight, right.price * left.weight);
        there
            .total_cmp(&here)
            .then(left.fixture.cmp(&right.fixture))
    });
    let mut best = Opened {
        value: f64::INFINITY,
        users: Vec::new(),
    };
    let (mut users, mut value, mut room) = (Vec::new(), charge, most);
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
                };
            }
            value += charge;
            room = most;
        }
        value -= offer.price * left;
        users.push((offer.fixture, left));
        room -= left * offer.weight;
    }
    if value < best.value {
        best = Opened { value, users };
    }
    best
}

/// One joint or more; the cost lines count leads.
fn opened_joints(lines: &[JointLine], offers: &[Offer]) -> Opened {
    let cost = |leads: f64| {
        lines
            .iter()
            .map(|line| line.fixed + line.each * leads)
            .fold(0.0, f64::max)
    };
    let mut ranked: Vec<&Offer> = offers.iter().collect();
    ranked.sort_by(|left, right| {
        (left.weight > 0.0)
            .cmp(&(right.weight > 0.0))
            .then(right.price.total_cmp(&left.price))
            .then(left.fixture.cmp(&right.fixture))
    });
    let (mut prices, mut leads) = (0.0, 0.0);
    let (mut best, mut taken) = (cost(0.0), 0);
    for (count, offer) in ranked.iter().enumerate() {
        prices += offer.price;
        leads += if offer.weight > 0.0 { 1.0 } else { 0.0 };
        let value = cost(leads) - prices;
        if value < best {
            (best, taken) = (value, count + 1);
        }
    }
    Opened {
        value: best,
        users: ranked[..taken]
            .iter()
            .map(|offer| (offer.fixture, 1.0))
            .collect(),
    }
}
