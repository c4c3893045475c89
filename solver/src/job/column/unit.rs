//! Units as headings name them.

use crate::units::UnitSystem;

/// Metres in a foot, exact (international foot, 1959).
const METRES_PER_FOOT: f64 = 0.3048;
/// mm² in a square inch, exact (25.4²).
const MM2_PER_IN2: f64 = 645.16;

/// The unit a heading ends in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) enum Unit {
    /// No choice: the name of the column already says the unit, or there is none.
    Fixed,
    /// Length, ft.
    Feet,
    /// Length, m.
    Metres,
    /// Conductor size, AWG.
    Awg,
    /// Conductor size, mm².
    Mm2,
    /// Area, mm².
    AreaMm2,
    /// Area, in².
    AreaIn2,
    /// Per ft.
    PerFoot,
    /// Per m.
    PerMetre,
    /// Ohm per 1000 ft.
    OhmPerKft,
    /// Ohm per km.
    OhmPerKm,
}

impl Unit {
    /// What the heading ends in.
    pub const fn suffix(self) -> &'static str {
        match self {
            Self::Fixed => "",
            Self::Feet => "_ft",
            Self::Metres => "_m",
            Self::Awg => "_awg",
            Self::Mm2 | Self::AreaMm2 => "_mm2",
            Self::AreaIn2 => "_in2",
            Self::PerFoot => "_per_ft",
            Self::PerMetre => "_per_m",
            Self::OhmPerKft => "_ohm_per_kft",
            Self::OhmPerKm => "_ohm_per_km",
        }
    }
    /// The unit system that a job table must be in to use this unit; `None` when any may.
    pub const fn system(self) -> Option<UnitSystem> {
        match self {
            Self::Fixed | Self::AreaMm2 | Self::AreaIn2 => None,
            Self::Feet | Self::Awg | Self::PerFoot | Self::OhmPerKft => Some(UnitSystem::Us),
            Self::Metres | Self::Mm2 | Self::PerMetre | Self::OhmPerKm => Some(UnitSystem::Metric),
        }
    }
    /// One of this unit in the solver's unit of the quantity: m, mm², ohm/m.
    pub const fn in_si(self) -> f64 {
        match self {
            Self::Feet => METRES_PER_FOOT,
            Self::AreaIn2 => MM2_PER_IN2,
            Self::OhmPerKft => 1.0 / (1000.0 * METRES_PER_FOOT),
            Self::OhmPerKm => 1.0 / 1000.0,
            Self::PerFoot => 1.0 / METRES_PER_FOOT,
            Self::Fixed | Self::Metres | Self::Awg | Self::Mm2 | Self::AreaMm2 | Self::PerMetre => {
                1.0
            }
        }
    }
}

/// The choice of units a column offers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) enum UnitFamily {
    /// None.
    Fixed,
    /// ft or m.
    Length,
    /// AWG or mm².
    Size,
    /// mm² or in².
    Area,
    /// Per ft or per m.
    PerLength,
    /// Ohm per 1000 ft or per km.
    OhmPerLength,
}

impl UnitFamily {
    /// The units, in the order documentation lists them.
    pub const fn units(self) -> &'static [Unit] {
        match self {
            Self::Fixed => &[Unit::Fixed],
            Self::Length => &[Unit::Feet, Unit::Metres],
            Self::Size => &[Unit::Awg, Unit::Mm2],
            Self::Area => &[Unit::AreaMm2, Unit::AreaIn2],
            Self::PerLength => &[Unit::PerFoot, Unit::PerMetre],
            Self::OhmPerLength => &[Unit::OhmPerKft, Unit::OhmPerKm],
        }
    }
}
