//! When lights are on and what switches them: facts of the job.

use crate::units::Money;
use chrono_tz::Tz;

/// A place on earth with its clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Degrees north, -90 to 90.
    pub latitude_deg: f64,
    /// Degrees east, -180 to 180.
    pub longitude_deg: f64,
    /// Time zone of the IANA database.
    pub time_zone: Tz,
}

/// Beginning or end of a time on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// Evening civil twilight ends.
    Dusk,
    /// Morning civil twilight begins.
    Dawn,
    /// Minutes after local midnight, 0 to 1439.
    At(u16),
}

/// A time on, every day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Period {
    /// Beginning: dusk or a time.
    pub from: Edge,
    /// End: dawn or a time.
    pub to: Edge,
}

/// The times on of a zone: one or two periods a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Times {
    /// The only or the evening period.
    pub first: Period,
    /// A second one.
    pub second: Option<Period>,
}

impl Times {
    /// From dusk to dawn.
    pub const ALL_NIGHT: Self = Self {
        first: Period {
            from: Edge::Dusk,
            to: Edge::Dawn,
        },
        second: None,
    };

    /// The periods.
    pub fn periods(&self) -> impl Iterator<Item = Period> + use<> {
        [Some(self.first), self.second].into_iter().flatten()
    }
}

/// What switches a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Control {
    /// A light sensor.
    Sensor,
    /// A clock with set times.
    Clock,
    /// A clock that knows dusk and dawn.
    AstronomicClock,
    /// A light sensor and a clock in series.
    SensorAndClock,
}

/// Times and control of a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rule {
    /// When it is on.
    pub times: Times,
    /// By what; `None`: not said.
    pub control: Option<Control>,
}

/// Everything about time and energy.
#[derive(Clone, Debug, PartialEq)]
pub struct Lighting {
    /// Where the job is, when it is said.
    pub place: Option<Place>,
    /// Price of energy, money per kWh.
    pub energy_price: Option<Money>,
    /// Rule of fixtures without a zone.
    pub usual: Rule,
    /// Rule of each zone of the job.
    pub zones: Vec<Rule>,
}

impl Default for Lighting {
    /// Nothing said: all night.
    fn default() -> Self {
        Self {
            place: None,
            energy_price: None,
            usual: Rule {
                times: Times::ALL_NIGHT,
                control: None,
            },
            zones: Vec::new(),
        }
    }
}

/// A time of day as people write it: `23:30`.
#[must_use]
pub fn clock_text(minute: u16) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

impl std::fmt::Display for Times {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let edge = |edge: Edge| match edge {
            Edge::Dusk => "dusk".to_owned(),
            Edge::Dawn => "dawn".to_owned(),
            Edge::At(minute) => clock_text(minute),
        };
        for (position, period) in self.periods().enumerate() {
            if position > 0 {
                f.write_str(" + ")?;
            }
            write!(f, "{} to {}", edge(period.from), edge(period.to))?;
        }
        Ok(())
    }
}
