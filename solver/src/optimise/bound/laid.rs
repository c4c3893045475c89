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

use super::sharing::Offer;

/// Cables laid together: `money + ohms q²`, of a metre or of a segment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Laid {
    /// Money whatever passes.
    pub money: f64,
    /// All of them in parallel, ohm; > 0.
    pub ohms: f64,
    /// How many, 1 or 2.
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
    pub(super) fn cost(&self, q: f64, flattest: f64) -> f64 {
        let bend = flattest / (2.0 * self.ohms);
        match q < bend {
            true => self.money + flattest * (q - 0.5 * bend),
            false => self.money + self.ohms * q * q,
        }
    }

    /// The least of `cost - prices of users`, and how many of them are taken whole and what
    /// share of the next.
    pub(super) fn settle(&self, ranked: &Ranked<'_>, flattest: f64) -> (f64, usize, f64) {
        let dear = &ranked.dear[..ranked.dear.partition_point(|dear| dear.worth > flattest)];
        // What one more of the last one's copper costs rises, what it is worth falls.
        let bears = |dear: &Dear| 2.0 * self.ohms * dear.copper_with <= dear.worth;
        let whole = dear.partition_point(bears);
        let (mut copper, mut price) = ranked.first(whole);
        let mut share = 0.0;
        if let Some(next) = dear.get(whole) {
            let room = next.worth / (2.0 * self.ohms) - copper;
            share = (room / next.offer.copper).clamp(0.0, 1.0);
            copper += share * next.offer.copper;
            price += share * next.offer.price;
        }
        (self.cost(copper, flattest) - price, whole, share)
    }

    /// Money for one more unit of `q`.
    pub(super) fn slope(&self, q: f64, flattest: f64) -> f64 {
        (2.0 * self.ohms * q).max(flattest)
    }
}

/// Offers in order of their worth.
#[derive(Debug)]
pub(super) struct Ranked<'a> {
    /// Those that need no copper.
    pub free: Vec<&'a Offer>,
    /// The others, those that pay most for a unit of `q` first.
    pub dear: Vec<Dear<'a>>,
    /// What the free ones pay.
    free_price: f64,
}

/// An offer among others, in order.
#[derive(Debug)]
pub(super) struct Dear<'a> {
    pub offer: &'a Offer,
    /// Money for a unit of `q`.
    pub worth: f64,
    /// Its copper and that of all before it.
    copper_with: f64,
    /// Its price and that of all before it, the free ones as well.
    price_with: f64,
}

impl<'a> Ranked<'a> {
    /// Puts offers in order.
    pub(super) fn new(offers: &'a [Offer]) -> Self {
        let (dear, free): (Vec<_>, Vec<_>) = offers.iter().partition(|offer| offer.copper > 0.0);
        let dear = dear.into_iter().map(|offer| Dear {
            offer,
            worth: offer.price / offer.copper,
            copper_with: 0.0,
            price_with: 0.0,
        });
        let mut dear: Vec<Dear<'_>> = dear.collect();
        dear.sort_unstable_by(|one, next| {
            let by_worth = next.worth.total_cmp(&one.worth);
            by_worth.then(one.offer.fixture.cmp(&next.offer.fixture))
        });
        let free_price = free.iter().map(|offer| offer.price).sum();
        let (mut copper, mut price) = (0.0, free_price);
        for one in &mut dear {
            copper += one.offer.copper;
            price += one.offer.price;
            (one.copper_with, one.price_with) = (copper, price);
        }
        Self {
            free,
            dear,
            free_price,
        }
    }

    /// Copper of so many that need some, and the prices of those and of all that need none.
    pub(super) fn first(&self, count: usize) -> (f64, f64) {
        match count {
            0 => (0.0, self.free_price),
            _ => (
                self.dear[count - 1].copper_with,
                self.dear[count - 1].price_with,
            ),
        }
    }

    /// What all pay.
    pub(super) fn price(&self) -> f64 {
        self.first(self.dear.len()).1
    }

    /// All that need no copper, so many of the others and a share of the next, as users; the
    /// copper that they need and what they weigh.
    pub(super) fn users(&self, whole: usize, share: f64) -> Users {
        let mut users: Vec<(usize, f64)> = Vec::with_capacity(self.free.len() + whole + 1);
        let taken = self.dear[..whole].iter().map(|dear| (dear.offer, 1.0));
        let next = self.dear.get(whole).filter(|_| share > 0.0);
        let cut = next.map(|dear| (dear.offer, share));
        let free = self.free.iter().map(|offer| (*offer, 1.0));
        let (mut copper, mut weight) = (0.0, 0.0);
        for (offer, share) in free.chain(taken).chain(cut) {
            users.push((offer.fixture, share));
            copper += share * offer.copper;
            weight += share * offer.weight;
        }
        Users {
            users,
            copper,
            weight,
        }
    }
}

/// Some of the offers.
#[derive(Debug)]
pub(super) struct Users {
    /// Fixtures and the share of each.
    pub users: Vec<(usize, f64)>,
    pub copper: f64,
    pub weight: f64,
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
