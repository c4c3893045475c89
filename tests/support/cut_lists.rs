//! Made-up cut lists, repeatable, and a judge of cutting plans.

use duskwright_solver::cut::{CutJob, CutPiece, CutPlan, CutSource};
use duskwright_solver::job::{Remnant, Spool};
use duskwright_solver::units::{GridSteps, Money};
use rust_decimal::Decimal;

/// A linear congruential generator (Knuth's MMIX constants), high bits used.
#[derive(Clone, Copy, Debug)]
pub struct Draws(u64);

impl Draws {
    /// Starts a sequence.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }
    /// A number in `0..limit`.
    pub const fn below(&mut self, limit: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit
    }
}

/// Spools of three lengths (ft x 10) for gauge `gauge` (0 = thinnest), at invented prices.
#[must_use]
pub fn invented_spools(gauge: u32) -> Vec<Spool> {
    let per_foot_cents = 32 + 21 * i64::from(gauge);
    let spool = |feet: i64, percent: i64| Spool {
        length: GridSteps(feet * 10),
        price: Money::new(Decimal::new(per_foot_cents * feet * percent / 100, 2)),
    };
    vec![spool(100, 118), spool(250, 107), spool(500, 100)]
}

/// One gauge of a season's order: chains of one to eight pieces of 6.0 to 52.0 ft, some longer home runs, a few remnants.
#[must_use]
pub fn season_list(pieces: usize, gauge: u32, seed: u64) -> CutJob {
    let mut draws = Draws::new(seed.wrapping_mul(7919) + u64::from(gauge));
    let mut list = Vec::with_capacity(pieces);
    let mut in_chain = 0;
    for index in 0..pieces {
        let starts = in_chain == 0;
        if starts {
            in_chain = 1 + draws.below(8);
        }
        in_chain -= 1;
        let tenths = if starts {
            150 + draws.below(900)
        } else {
            60 + draws.below(460)
        };
        let piece = CutPiece::new(format!("{gauge}-{index}"), GridSteps(tenths.cast_signed()));
        list.push(if starts { piece } else { piece.joined() });
    }
    CutJob {
        pieces: list,
        spools: invented_spools(gauge),
        stock: (0..3)
            .map(|_| Remnant {
                length: GridSteps((200 + draws.below(900)).cast_signed()),
                count: 1,
            })
            .collect(),
        shortest_useful: GridSteps(150),
    }
}

/// Holds a plan against its job by plain counting: every piece once, no spool
/// overfull, supply kept, cost and leftovers added up, pulls in laying order.
///
/// # Panics
/// With the rule that is broken.
pub fn assert_cuts(job: &CutJob, plan: &CutPlan) {
    let mut cut = vec![0; job.pieces.len()];
    let mut cost = Money::ZERO;
    let (mut waste, mut usable, mut cuts) = (GridSteps(0), Vec::new(), 0);
    for spool in &plan.spools {
        let full = match spool.source {
            CutSource::Stock(index) => job.stock[index].length,
            CutSource::Bought(index) => {
                cost += job.spools[index].price;
                job.spools[index].length
            }
        };
        let mut used = GridSteps(0);
        assert!(!spool.cuts.is_empty(), "a spool without cuts");
        for part in &spool.cuts {
            cuts += 1;
            assert!(!part.pieces.is_empty(), "an empty cut");
            let inside = part.pieces.clone().skip(1);
            assert!(inside.into_iter().all(|piece| job.pieces[piece].joined));
            let length = job.pieces[part.pieces.clone()]
                .iter()
                .map(|piece| piece.length)
                .sum();
            assert_eq!(part.length, length, "length of a cut");
            used = used + length;
            part.pieces.clone().for_each(|piece| cut[piece] += 1);
        }
        assert_eq!((spool.length, spool.remnant), (full, full - used));
        assert!(spool.remnant.0 >= 0, "a spool overfull");
        if spool.remnant >= job.shortest_useful && spool.remnant.0 > 0 {
            usable.push(spool.remnant);
        } else {
            waste = waste + spool.remnant;
        }
    }
    assert!(
        cut.iter().all(|&times| times == 1),
        "every piece exactly once"
    );
    let drawn = plan.drawn(job);
    assert!(
        drawn
            .iter()
            .zip(&job.stock)
            .all(|(&used, held)| used <= held.count)
    );
    assert_eq!(
        (plan.cost, plan.waste, &plan.usable),
        (cost, waste, &usable)
    );
    assert!(plan.bound <= plan.cost, "a bound above the cost");
    assert_eq!(plan.proved, plan.bound == plan.cost);
    let pulls = job.pieces.iter().enumerate();
    let pulls = pulls
        .filter(|(index, piece)| *index == 0 || !piece.joined)
        .count();
    assert_eq!(plan.partings, cuts - pulls);
}
