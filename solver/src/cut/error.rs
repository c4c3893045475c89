//! Why a cut list cannot be cut.

use crate::units::{GridSteps, Money};

/// A fault of a cutting problem. Lengths are in grid steps (1 cm or 0.1 ft); the caller knows the units.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CutError {
    /// Pieces longer than every spool on sale and every remnant on hand.
    #[error("{} longer than every spool and remnant: {}; longest at hand is {} grid steps; offer a spool of at least {} steps, or plan a joint inside the piece", if pieces.len() == 1 { "a piece is" } else { "pieces are" }, listed(pieces), longest.0, needed(pieces))]
    PieceTooLong {
        /// Names and lengths, in list order.
        pieces: Vec<(String, GridSteps)>,
        /// Longest spool or remnant; zero when there is none.
        longest: GridSteps,
    },
    /// Pieces longer than every spool on sale, for which the remnants do not suffice together.
    #[error(
        "longer than every spool on sale, and the remnants on hand do not hold them all: {}; offer a spool of at least {} steps",
        listed(pieces),
        needed(pieces)
    )]
    StockTooSmall {
        /// Names and lengths, in list order.
        pieces: Vec<(String, GridSteps)>,
    },
    /// A piece without length.
    #[error("piece `{id}` has length {} steps; a length above zero is needed", length.0)]
    PieceLength {
        /// Name of the piece.
        id: String,
        /// Its length.
        length: GridSteps,
    },
    /// A spool or remnant without length.
    #[error("{what} {} has length {} steps; a length above zero is needed", position + 1, length.0)]
    SpoolLength {
        /// `spool` or `remnant`.
        what: &'static str,
        /// Position in its table.
        position: usize,
        /// Its length.
        length: GridSteps,
    },
    /// A negative price, or prices too large or too finely divided to add up exactly.
    #[error("spool {} costs {price}; accepted are prices from zero to {MOST_PRICE}, with at most {MOST_DECIMALS} decimals", position + 1)]
    SpoolPrice {
        /// Position in the table of spools.
        position: usize,
        /// Its price.
        price: Money,
    },
    /// More than the exact arithmetic is laid out for.
    #[error("{what} is {given}; at most {most} can be cut exactly")]
    TooLarge {
        /// What is too large.
        what: &'static str,
        /// Its value.
        given: u64,
        /// The largest accepted.
        most: u64,
    },
}

/// Largest price of one spool, in the job's currency.
pub const MOST_PRICE: i64 = 1_000_000;
/// Most decimals of a price.
pub const MOST_DECIMALS: u32 = 4;

fn listed(pieces: &[(String, GridSteps)]) -> String {
    let names: Vec<String> = pieces
        .iter()
        .map(|(id, length)| format!("`{id}` ({} steps)", length.0))
        .collect();
    names.join(", ")
}

fn needed(pieces: &[(String, GridSteps)]) -> i64 {
    pieces.iter().map(|(_, length)| length.0).max().unwrap_or(0)
}
