//! What can be wrong with one transformer and what hangs on it.

mod apply;
mod enumerate;
mod words;

pub use apply::{Outcome, afflict};
pub use enumerate::{Controls, Hypothesis, hypotheses};
pub use words::Words;

use crate::ids::CableId;

/// A piece or a lead. Circuits by position among the transformer's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Element {
    /// The piece that feeds a joint (circuit, joint), with its ends.
    Piece(usize, usize),
    /// The lead of a fixture (circuit, lead), with its ends.
    Lead(usize, usize),
}

/// Where two conductors meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// A joint (circuit, joint).
    Joint(usize, usize),
    /// A fixture (circuit, lead).
    Fixture(usize, usize),
}

/// One thing wrong. Some have a size besides; see [`Hypothesis`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// No voltage at the receptacle.
    MainsOff,
    /// The ground-fault device of the receptacle has tripped.
    GroundFault,
    /// The switch before the transformer is off.
    SwitchOff,
    /// The clock is off, or on at other hours.
    ClockOff,
    /// The light sensor holds off: it sees light, or failed.
    SensorOff,
    /// The light sensor sees the lights that it switches. Size: 0 dark phase, 1 lit phase.
    SensorLit,
    /// The transformer gives nothing.
    TransformerDead,
    /// The thermal cut-out opens and closes. Size: 0 open, 1 closed.
    CutOut,
    /// The breaker of a secondary is open though nothing is shorted.
    BreakerOpen(usize),
    /// A short somewhere on a secondary has tripped its breaker.
    ShortTripped(usize),
    /// A short that the breaker holds. Size: resistance of the short, ohm.
    ShortHeld(Spot),
    /// The line is low. Size: factor on nominal.
    LineLow,
    /// The line is high. Size: factor on nominal.
    LineHigh,
    /// A home run (circuit) on another tap.
    WrongTap(usize, usize),
    /// Two home runs on one another's terminals.
    Swapped(usize, usize),
    /// A home run's common wire (circuit) on another common of the secondary.
    CommonMoved(usize, usize),
    /// Two circuits (circuit, joint) joined pole by pole where they meet.
    Joined((usize, usize), (usize, usize)),
    /// One conductor of two pieces (circuit, joint they feed) exchanged where they begin.
    Crossed((usize, usize), (usize, usize)),
    /// A conductor or its joint interrupted.
    Open(Element),
    /// A joint or terminal with resistance. Size: ohm.
    Resistive(Element),
    /// Water in a joint (circuit, joint) conducts between the poles. Size: ohm.
    Wet(usize, usize),
    /// A piece (circuit, joint it feeds) of thinner cable.
    ThinPiece(usize, usize, CableId),
    /// All pieces of a circuit of thinner cable.
    ThinRun(usize, CableId),
    /// A piece (circuit, joint it feeds) longer than planned. Size: factor.
    Longer(usize, usize),
    /// A fixture (circuit, lead) missing.
    Missing(usize, usize),
    /// A fixture (circuit, lead) that has voltage and gives no light.
    Dead(usize, usize),
    /// A fixture (circuit, lead) that draws less. Size: factor.
    Lighter(usize, usize),
    /// A fixture (circuit, lead) that draws more. Size: factor.
    Heavier(usize, usize),
    /// A load at a joint (circuit, joint) that is not in the plan. Size: VA.
    ExtraLoad(usize, usize),
}

/// Kinds of fault, as the trade speaks of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "named like the faults")]
pub enum Kind {
    MainsOff,
    GroundFault,
    SwitchOff,
    ClockOff,
    SensorOff,
    SensorLit,
    TransformerDead,
    CutOut,
    BreakerOpen,
    ShortTripped,
    ShortHeld,
    LineLow,
    LineHigh,
    WrongTap,
    Swapped,
    CommonMoved,
    Joined,
    Crossed,
    Open,
    Resistive,
    Wet,
    Thin,
    Longer,
    Missing,
    Dead,
    WrongWatts,
    ExtraLoad,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 27] = [
        Self::MainsOff,
        Self::GroundFault,
        Self::SwitchOff,
        Self::ClockOff,
        Self::SensorOff,
        Self::SensorLit,
        Self::TransformerDead,
        Self::CutOut,
        Self::BreakerOpen,
        Self::ShortTripped,
        Self::ShortHeld,
        Self::LineLow,
        Self::LineHigh,
        Self::WrongTap,
        Self::Swapped,
        Self::CommonMoved,
        Self::Joined,
        Self::Crossed,
        Self::Open,
        Self::Resistive,
        Self::Wet,
        Self::Thin,
        Self::Longer,
        Self::Missing,
        Self::Dead,
        Self::WrongWatts,
        Self::ExtraLoad,
    ];

    /// Its name.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::MainsOff => "mains off",
            Self::GroundFault => "ground-fault device tripped",
            Self::SwitchOff => "switch off",
            Self::ClockOff => "timer off",
            Self::SensorOff => "light sensor off",
            Self::SensorLit => "light sensor lit by its own lights",
            Self::TransformerDead => "transformer dead",
            Self::CutOut => "thermal cut-out cycling",
            Self::BreakerOpen => "secondary breaker open",
            Self::ShortTripped => "short that tripped the breaker",
            Self::ShortHeld => "short that the breaker holds",
            Self::LineLow => "line voltage low",
            Self::LineHigh => "line voltage high",
            Self::WrongTap => "wrong tap",
            Self::Swapped => "two circuits swapped",
            Self::CommonMoved => "common overloaded by a wire moved",
            Self::Joined => "two circuits joined",
            Self::Crossed => "conductor crossed between circuits",
            Self::Open => "open conductor or joint",
            Self::Resistive => "high-resistance joint",
            Self::Wet => "wet splice",
            Self::Thin => "thinner cable",
            Self::Longer => "longer cable",
            Self::Missing => "fixture missing",
            Self::Dead => "fixture dead",
            Self::WrongWatts => "fixture of other wattage",
            Self::ExtraLoad => "extra load",
        }
    }

    /// Whether looking for it or mending it reaches the mains side.
    #[must_use]
    pub const fn is_mains(self) -> bool {
        matches!(
            self,
            Self::MainsOff
                | Self::GroundFault
                | Self::SwitchOff
                | Self::ClockOff
                | Self::SensorOff
                | Self::SensorLit
                | Self::TransformerDead
                | Self::CutOut
                | Self::LineLow
                | Self::LineHigh
        )
    }
}

impl Fault {
    /// Its kind.
    #[must_use]
    pub const fn kind(self) -> Kind {
        match self {
            Self::MainsOff => Kind::MainsOff,
            Self::GroundFault => Kind::GroundFault,
            Self::SwitchOff => Kind::SwitchOff,
            Self::ClockOff => Kind::ClockOff,
            Self::SensorOff => Kind::SensorOff,
            Self::SensorLit => Kind::SensorLit,
            Self::TransformerDead => Kind::TransformerDead,
            Self::CutOut => Kind::CutOut,
            Self::BreakerOpen(_) => Kind::BreakerOpen,
            Self::ShortTripped(_) => Kind::ShortTripped,
            Self::ShortHeld(_) => Kind::ShortHeld,
            Self::LineLow => Kind::LineLow,
            Self::LineHigh => Kind::LineHigh,
            Self::WrongTap(..) => Kind::WrongTap,
            Self::Swapped(..) => Kind::Swapped,
            Self::CommonMoved(..) => Kind::CommonMoved,
            Self::Joined(..) => Kind::Joined,
            Self::Crossed(..) => Kind::Crossed,
            Self::Open(_) => Kind::Open,
            Self::Resistive(_) => Kind::Resistive,
            Self::Wet(..) => Kind::Wet,
            Self::ThinPiece(..) | Self::ThinRun(..) => Kind::Thin,
            Self::Longer(..) => Kind::Longer,
            Self::Missing(..) => Kind::Missing,
            Self::Dead(..) => Kind::Dead,
            Self::Lighter(..) | Self::Heavier(..) => Kind::WrongWatts,
            Self::ExtraLoad(..) => Kind::ExtraLoad,
        }
    }
}
