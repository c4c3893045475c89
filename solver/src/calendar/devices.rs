//! What sensor and clock do, minute by minute, alone and in series.

use super::rule::{Control, Edge, Period, Times};
use super::year::{DAY, Year, is_in};

/// What switching devices made of a year.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Outcome {
    /// Hours on.
    pub hours: f64,
    /// Hours in which the rule and the devices disagree.
    pub astray_hours: f64,
    /// Local days (from 0) on which the rule wanted light and the devices gave none.
    pub days_never_on: Vec<u16>,
}

/// Follows a device through a year.
#[must_use]
pub fn follow(year: &Year, times: &Times, mut is_on: impl FnMut(usize) -> bool) -> Outcome {
    let days = year.month.len();
    let (mut on, mut astray) = (0_u32, 0_u32);
    let (mut gave, mut wanted) = (vec![false; days], vec![false; days]);
    for minute in 0..year.minutes() {
        let (is, wants) = (is_on(minute), year.wants(times, minute));
        on += u32::from(is);
        astray += u32::from(is != wants);
        let day = usize::from(year.day[minute]);
        gave[day] |= is;
        wanted[day] |= wants;
    }
    Outcome {
        hours: f64::from(on) / 60.0,
        astray_hours: f64::from(astray) / 60.0,
        days_never_on: (0..days)
            .filter(|&day| wanted[day] && !gave[day])
            .map(|day| day as u16)
            .collect(),
    }
}

/// A sensor in series with a clock window that knows nothing of the sun: the clock is fed
/// from the mains and the sensor stands behind it, as it should be.
#[must_use]
pub fn pair(year: &Year, times: &Times, window: &[Period]) -> Outcome {
    follow(year, times, |minute| {
        let clock = year.clock[minute];
        year.dark[minute] && window.iter().any(|&period| is_in(period, true, clock))
    })
}

/// The same with the sensor ahead of a motor clock: by day the motor has no voltage and
/// the clock stands.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SensorAhead {
    /// What comes of it.
    pub outcome: Outcome,
    /// Hours by which the clock is behind after its first day.
    pub behind_after_a_day_hours: f64,
}

/// Follows the pair wired the wrong way round; the clock is right when the year begins.
#[must_use]
pub fn sensor_ahead(year: &Year, times: &Times, window: &[Period]) -> SensorAhead {
    let mut shown = year.clock.first().copied().unwrap_or(0);
    let outcome = follow(year, times, |minute| {
        let fed = year.dark[minute];
        let on = fed && window.iter().any(|&period| is_in(period, true, shown));
        if fed {
            shown = (shown + 1) % DAY;
        }
        on
    });
    let first_day = year.dark.iter().take(usize::from(DAY));
    let light = first_day.filter(|&&dark| !dark).count();
    SensorAhead {
        outcome,
        behind_after_a_day_hours: light as f64 / 60.0,
    }
}

/// What a rule needs to be kept all year without anyone touching it.
#[must_use]
pub fn needs(times: &Times) -> &'static str {
    let edges: Vec<Edge> = times
        .periods()
        .flat_map(|period| [period.from, period.to])
        .collect();
    let sun = edges.iter().any(|edge| !matches!(edge, Edge::At(_)));
    let clock = edges.iter().any(|edge| matches!(edge, Edge::At(_)));
    match (sun, clock) {
        (true, false) => "a light sensor, or an astronomic clock",
        (true, true) => "an astronomic clock, or a light sensor and a clock in series",
        _ => "a clock",
    }
}

/// Whether a control can keep a rule all year by itself.
#[must_use]
pub fn keeps(control: Control, times: &Times) -> bool {
    let clock = |edge: &Edge| matches!(edge, Edge::At(_));
    let edges: Vec<Edge> = times
        .periods()
        .flat_map(|period| [period.from, period.to])
        .collect();
    match control {
        Control::Sensor => !edges.iter().any(clock),
        Control::Clock => edges.iter().all(clock),
        Control::AstronomicClock | Control::SensorAndClock => true,
    }
}
