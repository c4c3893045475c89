//! Why jobs cannot be ordered for, in words a person can act on.

/// A piece in a message.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PieceNamed {
    /// Its id.
    pub id: String,
    /// Where it starts.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// Its length with unit.
    pub length: String,
}

/// An order that cannot be made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum OrderError {
    /// There is nothing to order for.
    #[error("no job is given; name at least one planned job")]
    NoJob,
    /// Two jobs have the same name, so papers could not tell them apart.
    #[error(
        "jobs {first} and {second} are both named \"{name}\"; give one another `name` in its job.toml, or name it once"
    )]
    SameName {
        /// The name.
        name: String,
        /// Number of the first, from 1.
        first: usize,
        /// Number of the second, from 1.
        second: usize,
    },
    /// Two jobs do not agree on something that an order has once.
    #[error(
        "{what} differs: {} in \"{}\", {} in \"{}\"; jobs ordered together must share it (use one catalogue), or be ordered apart",
        values[0], jobs[0], values[1], jobs[1]
    )]
    Differs {
        /// What differs.
        what: String,
        /// Names of the jobs.
        jobs: [String; 2],
        /// What each says.
        values: [String; 2],
    },
    /// Pieces longer than every spool on sale and every remnant on hand.
    #[error(
        "cable {cable}: longer than every spool and remnant ({longest}): {}\n  any of these would help: {}",
        listed(pieces), helps.join("; ")
    )]
    PieceTooLong {
        /// Tag and gauge.
        cable: String,
        /// The pieces.
        pieces: Vec<PieceNamed>,
        /// Longest length at hand, with unit, in words.
        longest: String,
        /// What would help.
        helps: Vec<String>,
    },
    /// Another fault of the cutting problem.
    #[error("cable {cable}: {reason}")]
    Cutting {
        /// Tag and gauge.
        cable: String,
        /// What the cutting says.
        reason: String,
    },
}

fn listed(pieces: &[PieceNamed]) -> String {
    let named = pieces.iter().map(|piece| {
        format!(
            "{} from {} to {}, {}",
            piece.id, piece.from, piece.to, piece.length
        )
    });
    named.collect::<Vec<_>>().join("; ")
}
