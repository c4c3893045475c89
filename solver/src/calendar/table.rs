//! The setting table: what a timer is set to month by month, and what then happens.

use super::devices::{Outcome, SensorAhead, follow, pair, sensor_ahead};
use super::rule::{Control, Edge, Period, Rule};
use super::year::{DAY, Year, is_in};
use crate::units::Hours;

/// Timers are set to five minutes.
const STEP: u16 = 5;
/// A window that must let the sensor decide opens this long before the earliest dusk of
/// the year and closes as long after the latest dawn, minutes.
const AHEAD: u16 = 30;
/// Day of the month whose dusk and dawn stand for the month.
const MIDDLE: u16 = 14;

/// One month.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct MonthRow {
    /// 1 to 12.
    pub month: u8,
    /// Dusk on the 15th, minutes after midnight; `None` when it does not get dark or stays dark.
    pub dusk: Option<u16>,
    /// Dawn on the 15th.
    pub dawn: Option<u16>,
    /// On and off for each period that a clock is set to; empty where no clock is needed, or
    /// the month has no such time.
    pub set: Vec<(u16, u16)>,
    /// Hours that the rule asks for.
    pub wanted_hours: f64,
    /// Day of the month and minutes by which clocks go forward, if they do.
    pub clock_change: Option<(u16, i32)>,
}

/// A year of one rule.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Settings {
    /// January to December.
    pub months: Vec<MonthRow>,
    /// Hours a year that the rule asks for.
    pub wanted_hours: f64,
    /// What the control does when it is set so; `None` when none is stated.
    pub outcome: Option<Outcome>,
    /// For a sensor and a clock: what the sensor ahead of a motor clock would do.
    pub sensor_ahead: Option<SensorAhead>,
}

/// Hours on a year: what the control does, or what the rule asks for where no control is
/// stated.
#[must_use]
pub fn hours_on(settings: &Settings) -> Hours {
    let simulated = settings.outcome.as_ref().map(|outcome| outcome.hours);
    Hours::new(simulated.unwrap_or(settings.wanted_hours))
}

impl Settings {
    /// Works out the settings of a rule.
    #[must_use]
    pub fn of(year: &Year, rule: &Rule) -> Self {
        let windows: Vec<Vec<Period>> = (1..=12).map(|month| windows(year, rule, month)).collect();
        let months: Vec<MonthRow> = (1..=12)
            .map(|month| month_row(year, rule, month, &windows[usize::from(month) - 1]))
            .collect();
        let series = rule.control == Some(Control::SensorAndClock);
        Self {
            wanted_hours: months.iter().map(|row| row.wanted_hours).sum(),
            months,
            outcome: rule
                .control
                .map(|control| outcome(year, rule, control, &windows)),
            sensor_ahead: series.then(|| sensor_ahead(year, &rule.times, &windows[0])),
        }
    }
}

fn outcome(year: &Year, rule: &Rule, control: Control, windows: &[Vec<Period>]) -> Outcome {
    let times = &rule.times;
    match control {
        Control::Sensor => follow(year, times, |minute| year.dark[minute]),
        Control::AstronomicClock => follow(year, times, |minute| year.wants(times, minute)),
        Control::Clock => follow(year, times, |minute| {
            let month = year.month[usize::from(year.day[minute])];
            let set = windows[usize::from(month) - 1].iter();
            set.copied()
                .any(|period| is_in(period, true, year.clock[minute]))
        }),
        Control::SensorAndClock => pair(year, times, &windows[0]),
    }
}

/// What the clock of a control is set to in a month; a pair is set once for the year.
fn windows(year: &Year, rule: &Rule, month: u8) -> Vec<Period> {
    let periods = rule.times.periods();
    match rule.control {
        Some(Control::Clock) => {
            let (dusk, dawn) = year.dusk_dawn(year.days_of(month).start + MIDDLE);
            let set = |edge: Edge| match edge {
                Edge::Dusk => dusk.map(round),
                Edge::Dawn => dawn.map(round),
                Edge::At(minute) => Some(minute),
            };
            periods
                .filter_map(|period| {
                    Some(Period {
                        from: Edge::At(set(period.from)?),
                        to: Edge::At(set(period.to)?),
                    })
                })
                .collect()
        }
        Some(Control::SensorAndClock) => {
            let (earliest, latest) = extremes(year);
            let open = |edge: Edge| match edge {
                Edge::At(minute) => minute,
                Edge::Dusk => earliest.saturating_sub(AHEAD) / 15 * 15,
                Edge::Dawn => ((latest + AHEAD).div_ceil(15) * 15) % DAY,
            };
            periods
                .map(|period| Period {
                    from: Edge::At(open(period.from)),
                    to: Edge::At(open(period.to)),
                })
                .collect()
        }
        _ => Vec::new(),
    }
}

/// Earliest dusk after noon and latest dawn before it; noon where the sun has none.
fn extremes(year: &Year) -> (u16, u16) {
    let mut earliest: Option<u16> = None;
    let mut latest: Option<u16> = None;
    for day in 0..year.month.len() as u16 {
        let (dusk, dawn) = year.dusk_dawn(day);
        if let Some(dusk) = dusk.filter(|&dusk| dusk >= DAY / 2) {
            earliest = Some(earliest.map_or(dusk, |known| known.min(dusk)));
        }
        if let Some(dawn) = dawn.filter(|&dawn| dawn < DAY / 2) {
            latest = Some(latest.map_or(dawn, |known| known.max(dawn)));
        }
    }
    (earliest.unwrap_or(DAY / 2), latest.unwrap_or(DAY / 2))
}

fn round(minute: u16) -> u16 {
    (minute + STEP / 2) / STEP * STEP % DAY
}

fn month_row(year: &Year, rule: &Rule, month: u8, window: &[Period]) -> MonthRow {
    let days = year.days_of(month);
    let (dusk, dawn) = year.dusk_dawn(days.start + MIDDLE);
    let first = year.day.partition_point(|&day| day < days.start);
    let end = year.day.partition_point(|&day| day < days.end);
    let wanted = (first..end).filter(|&minute| year.wants(&rule.times, minute));
    let minute = |edge: Edge| match edge {
        Edge::At(minute) => minute,
        Edge::Dusk | Edge::Dawn => 0,
    };
    MonthRow {
        month,
        dusk,
        dawn,
        set: window
            .iter()
            .map(|period| (minute(period.from), minute(period.to)))
            .collect(),
        wanted_hours: wanted.count() as f64 / 60.0,
        clock_change: year
            .changes
            .iter()
            .find(|(day, _)| days.contains(day))
            .map(|&(day, by)| (day - days.start + 1, by)),
    }
}
