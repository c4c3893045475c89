//! Values as one cell or key states them: text in, a quantity out, or a refusal
//! that says what would be accepted.

mod number;
mod shares;
mod size;
mod text;
mod time;
mod words;

pub(in crate::job) use number::{HoursPerLength, MilliOhms, MoneyPerLength, Percent, Whole};
pub(in crate::job) use shares::{Share, Shares};
pub(in crate::job) use size::{Gauge, Ports, WireSets};
pub(in crate::job) use text::{Tag, Text};
use words::Words;
pub(in crate::job) use words::{Goal, LayoutList, Material, Strand, TransformerKind, YesNo};

use super::column::{Range, Unit, UnitFamily};
use super::error::Code;
use crate::units::UnitSystem;

/// What a value of `job.toml` must be written as. In a table everything is text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) enum Kind {
    /// A number without quotes.
    Number,
    /// Text in quotes.
    Text,
    /// `true` or `false`.
    YesNo,
    /// A list of texts.
    List,
    /// A number, or text where a size has no number.
    Size,
}

impl Kind {
    /// The kind in words.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Number => "a number without quotes",
            Self::Text => "text in quotes",
            Self::YesNo => "true or false",
            Self::List => "a list of texts, [\"…\", \"…\"]",
            Self::Size => "a number, or a size in quotes such as \"1/0\"",
        }
    }
}

/// How a text was typed.
pub(in crate::job) struct Typed {
    /// Unit of the heading.
    pub unit: Unit,
    /// Accepted numbers, in that unit.
    pub range: Range,
    /// Units of the job.
    pub system: UnitSystem,
    /// Whether a decimal comma may stand in a number.
    pub decimal_comma: bool,
}

/// Why a text was refused.
pub(in crate::job) struct Refusal {
    /// Code.
    pub code: Code,
    /// Predicate: "is not a number".
    pub says: String,
    /// What would be accepted.
    pub accepted: String,
    /// What to do.
    pub help: Option<String>,
}

impl Refusal {
    fn new(code: Code, says: impl Into<String>, accepted: impl Into<String>) -> Self {
        Self {
            code,
            says: says.into(),
            accepted: accepted.into(),
            help: None,
        }
    }
    fn help(mut self, text: Option<String>) -> Self {
        self.help = text;
        self
    }
}

/// A type that one cell can hold.
pub(in crate::job) trait Value: Sized {
    /// Choice of units in the heading.
    const UNIT: UnitFamily = UnitFamily::Fixed;
    /// How `job.toml` writes it.
    const KIND: Kind;
    /// How it looks, for the schema text.
    const SHAPE: &'static str;
    /// What would be accepted, given the range of the column.
    fn accepted(range: Range) -> String;
    /// Reads a trimmed, non-empty text.
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal>;
}
