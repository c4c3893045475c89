//! One cable, or two, of whole gauges along a segment.
//!
//! Where prices of copper of `q` pass a cable of length `l` and of gauge `k`, it costs at least
//! `l (p_k + R_k q²)`: the term from which the lines of the module `curve` are taken, before the
//! gauge is left open. Through two cables pass `q_1` and `q_2`; `R_1 q_1² + R_2 q_2²` is least
//! where both drop the same, so that together they cost at least
//! `l (p_1 + p_2 + q² / (1 / R_1 + 1 / R_2))`. The least over the gauges is not convex, and
//! dearer than lines between its gauges.
//!
//! Money as in the job; `q` in roots of money per ohm.

use super::sharing::{Offer, Opened};

/// Cables laid together: `money + ohms q²`, of a metre or of a segment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Laid {
    /// Money whatever passes.
    pub money: f64,
    /// All of them in parallel, ohm; > 0.
    pub ohms: f64,
    pub count: u8,
}

impl Laid {
    /// Two cables as one.
    fn beside(self, other: Self) -> Self {
        Self {
            money: self.money + other.money,
            ohms: 1.0 / (1.0 / self.ohms + 1.0 / other.ohms),
            count: self.count + other.count,
        }
    }

    /// The least money where `q` passes, and any more at a price of at least `flattest`.
    fn cost(&self, q: f64, flattest: f64) -> f64 {
        let bend = flattest / (2.0 * self.ohms);
        match q < bend {
            true => self.money + flattest * (q - 0.5 * bend),
            false => self.money + self.ohms * q * q,
        }
    }

    /// The least of `cost - prices of users`. Users come in order of price for each unit of
    /// `q`; the last may be cut.
    pub(super) fn settle(&self, ranked: &[(f64, &Offer)], flattest: f64) -> Opened {
        let mut users = Vec::with_capacity(ranked.len());
        let (mut prices, mut q) = (0.0, 0.0);
        for (worth, offer) in ranked {
            if offer.copper <= 0.0 {
                prices += offer.price;
                users.push((offer.fixture, 1.0));
                continue;
            }
            if *worth <= flattest {
                break;
            }
            let room = worth / (2.0 * self.ohms) - q;
            let share = (room / offer.copper).clamp(0.0, 1.0);
            if share > 0.0 {
                prices += share * offer.price;
                q += share * offer.copper;
                users.push((offer.fixture, share));
            }
            if share < 1.0 {
                break;
            }
        }
        Opened {
            value: self.cost(q, flattest) - prices,
            users,
            slope: (2.0 * self.ohms * q).max(flattest),
            count: f64::from(self.count),
        }
    }
}

/// One cable and two, of gauges of so many `(ohm, money)` for a metre; those that another as
/// many undercuts in both are left out.
pub(super) fn one_or_two(gauges: &[(f64, f64)]) -> Vec<Laid> {
    let single = gauges.iter().map(|&(ohms, money)| Laid {
        money,
        ohms,
        count: 1,
    });
    let single = undercut_by_none(single.collect());
    let pairs = single
        .iter()
        .enumerate()
        .flat_map(|(at, one)| single[at..].iter().map(|other| one.beside(*other)));
    let pairs = undercut_by_none(pairs.collect());
    single.iter().copied().chain(pairs).collect()
}

fn undercut_by_none(mut all: Vec<Laid>) -> Vec<Laid> {
    all.sort_by(|one, other| {
        (one.money.total_cmp(&other.money)).then(one.ohms.total_cmp(&other.ohms))
    });
    let mut least = f64::INFINITY;
    all.retain(|laid| {
        let better = laid.ohms < least;
        least = least.min(laid.ohms);
        better
    });
    all
}
