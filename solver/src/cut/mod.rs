//! Pieces onto spools: what to buy and which piece is cut from which spool, at
//! least cost and with a proof. Not the price of cable by length: that is the
//! tariff's.
//!
//! # The problem
//! For one cable: pieces with lengths on the purchasing grid, spools on sale
//! (any number of each length and price), remnants on hand (free, a given
//! number of each). Every piece is cut from one spool, never spliced; the price
//! of the spools bought is least. This is variable-sized cutting stock with
//! bounded supply of some sizes. Consecutive pieces of one gauge along a chain
//! may be issued as one *pull*, marked at each joint; a pull is parted, at a
//! joint, only when that is cheaper or no spool holds it.
//!
//! # The method
//! 1. Every weighting `w >= 0` of the pieces gives a valid inequality on the
//!    numbers of spools: with `z_t` the most weight that one spool of kind `t`
//!    can carry (an exact integer knapsack), `sum_t z_t n_t >= sum_i w_i`. The
//!    weights are the lengths, threshold weights, and the duals of the linear
//!    relaxation (patterns priced by that knapsack, HiGHS for the master),
//!    rounded to integers first: rounding can only weaken, never break, the
//!    inequality.
//! 2. Purchases are tried in order of price among those that satisfy all
//!    inequalities. The first that packs is optimal; the price of the first
//!    that was not ruled out is the bound.
//! 3. Whether a purchase packs: best fit, subset-sum fill and sequential value
//!    correction; the relaxation for this purchase (which may rule it out with
//!    a new inequality); a dive with limited discrepancies; all patterns that
//!    a packing could use, as an integer programme.
//! 4. Where that programme has no solution, a search of our own over the same patterns
//!    confirms it; where the search is cut short, the purchase stays open and the plan
//!    is not called proved.
//!
//! Every proof is integer arithmetic of this room: HiGHS, which works in floating point,
//! proposes weights and packings, and nothing rests on its word.
//!
//! Effort is counted in relaxations, patterns, nodes and steps; no clock is read, and
//! the same job gives the same plan.
//!
//! # Sources
//! P. C. Gilmore, R. E. Gomory, *Oper. Res.* 9 (1961) 849-859 (pattern
//! pricing); G. Belov, G. Scheithauer, *EJOR* 171 (2006) 85-106 (sequential
//! value correction); J. F. Benders, *Numer. Math.* 4 (1962) 238-252 (purchase
//! first, packing as the check). All from memory of the literature.

mod accept;
mod assortment;
mod columns;
mod cover;
mod decide;
mod error;
mod every;
mod fill;
mod knapsack;
mod layout;
mod model;
mod order;
mod packing;
mod parting;
mod pulls;
mod seek;
mod solve;
mod subset;

pub use error::CutError;
pub use model::{Cut, CutEffort, CutJob, CutPiece, CutPlan, CutSource, CutSpool};
pub use order::{CutOrder, CutOrderPlan, cut_order};
pub use pulls::{Pull, PullPiece, cut_jobs, pulls};
pub use solve::cut;
