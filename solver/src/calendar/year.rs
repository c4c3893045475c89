//! One local year at one place, minute by minute: dark or light, and what clocks show.

use super::rule::{Edge, Period, Place, Times};
use chrono::{
    DateTime, Datelike, NaiveDate, NaiveDateTime, Offset, TimeDelta, TimeZone, Timelike, Utc,
};
use solar_positioning::{Horizon, HorizonState, Location, SolarEvents};

/// Terrestrial time less universal time, s: 69 in 2020 to 2026 (International Earth
/// Rotation Service); a second more or less moves no event by a second.
const DELTA_T_S: f64 = 69.0;
/// Julian date of 1970-01-01T00:00Z.
const JULIAN_UNIX: f64 = 2_440_587.5;
/// Minutes of a day.
pub const DAY: u16 = 1440;
/// Minutes for which the clock's difference from universal time is looked up at once:
/// every change of the zones of today falls on a quarter of an hour.
const QUARTER: usize = 15;

/// A year that cannot be worked out.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LightingError {
    /// Outside of what the time zone database is good for.
    #[error("year {0}: accepted: 1970 to 2100")]
    Year(i32),
    /// The library of solar positions refused the place.
    #[error("the sun cannot be followed there: {0}")]
    Sun(String),
}

/// A local year.
#[derive(Clone, Debug, PartialEq)]
pub struct Year {
    /// The year.
    pub year: i32,
    /// First minute, universal time.
    pub start: DateTime<Utc>,
    /// Dark, by minute.
    pub dark: Vec<bool>,
    /// Minutes after local midnight that clocks show, by minute.
    pub clock: Vec<u16>,
    /// Local day of the year counted from 0, by minute.
    pub day: Vec<u16>,
    /// Month 1 to 12 of each local day.
    pub month: Vec<u8>,
    /// Days on which clocks are changed, with the minutes by which they go forward.
    pub changes: Vec<(u16, i32)>,
}

impl Year {
    /// Follows sun and clock through a local year.
    ///
    /// # Errors
    /// [`LightingError`].
    ///
    /// # Panics
    /// Never: the years accepted have a first and a last day.
    pub fn of(place: &Place, year: i32) -> Result<Self, LightingError> {
        if !(1970..=2100).contains(&year) {
            return Err(LightingError::Year(year));
        }
        let start = midnight(place, year);
        let end = midnight(place, year + 1);
        let minutes = usize::try_from((end - start).num_minutes()).unwrap_or(0);
        let mut made = Self {
            year,
            start,
            dark: dark(place, start, minutes)?,
            clock: Vec::with_capacity(minutes),
            day: Vec::with_capacity(minutes),
            month: months(year),
            changes: Vec::new(),
        };
        made.read_clock(place, minutes);
        Ok(made)
    }

    fn read_clock(&mut self, place: &Place, minutes: usize) {
        let mut before: Option<i32> = None;
        let mut local = NaiveDateTime::default();
        for minute in 0..minutes {
            if minute % QUARTER == 0 {
                let now = self.start.naive_utc() + TimeDelta::minutes(minute as i64);
                let offset = place.time_zone.offset_from_utc_datetime(&now).fix();
                local = now + TimeDelta::seconds(i64::from(offset.local_minus_utc()));
                let shift = offset.local_minus_utc() / 60;
                if let Some(before) = before
                    && before != shift
                {
                    self.changes.push((local.ordinal0() as u16, shift - before));
                }
                before = Some(shift);
            } else {
                local += TimeDelta::minutes(1);
            }
            self.clock.push((local.hour() * 60 + local.minute()) as u16);
            self.day.push(local.ordinal0() as u16);
        }
    }

    /// Number of minutes.
    #[must_use]
    pub fn minutes(&self) -> usize {
        self.dark.len()
    }

    /// Whether lights should be on in a minute.
    #[must_use]
    pub fn wants(&self, times: &Times, minute: usize) -> bool {
        let (dark, clock) = (self.dark[minute], self.clock[minute]);
        times.periods().any(|period| is_in(period, dark, clock))
    }

    /// Clock time at which it first is dark after noon of a day, and at which it first is
    /// light after noon before; `None` where the sun does neither.
    #[must_use]
    pub fn dusk_dawn(&self, day: u16) -> (Option<u16>, Option<u16>) {
        let first = self.day.partition_point(|&other| other < day);
        let last = self.day.partition_point(|&other| other <= day);
        let turns = |to_dark: bool| {
            (first.max(1)..last)
                .find(|&minute| self.dark[minute] == to_dark && self.dark[minute - 1] != to_dark)
                .map(|minute| self.clock[minute])
        };
        (turns(true), turns(false))
    }

    /// Days that begin with the first of a month.
    #[must_use]
    pub fn days_of(&self, month: u8) -> std::ops::Range<u16> {
        let first = self.month.partition_point(|&other| other < month) as u16;
        let end = self.month.partition_point(|&other| other <= month) as u16;
        first..end
    }
}

/// Whether a period covers a clock time under a sky. Dusk and dawn are told apart by
/// noon: what is dark after noon is evening, what is dark before it is morning.
#[must_use]
pub fn is_in(period: Period, dark: bool, clock: u16) -> bool {
    let since_noon = |minute: u16| (minute + DAY / 2) % DAY;
    match (period.from, period.to) {
        (Edge::At(from), Edge::At(to)) => (clock + DAY - from) % DAY < (to + DAY - from) % DAY,
        (Edge::At(from), _) => dark && since_noon(clock) >= since_noon(from),
        (_, Edge::At(to)) => dark && since_noon(clock) < since_noon(to),
        _ => dark,
    }
}

/// Sun events of an interval of universal time, as Julian dates: rises and sets through
/// an elevation (degrees, unrefracted), and whether the sun is above it at the start.
///
/// # Errors
/// [`LightingError::Sun`].
pub fn crossings(
    latitude_deg: f64,
    longitude_deg: f64,
    (start, end): (f64, f64),
    elevation_deg: f64,
) -> Result<(bool, Vec<f64>, Vec<f64>), LightingError> {
    let refused = |error: solar_positioning::Error| LightingError::Sun(error.to_string());
    let location = Location {
        latitude: latitude_deg,
        longitude: longitude_deg,
    };
    let events = SolarEvents::new()
        .for_interval_from_julian(
            start,
            end,
            location,
            DELTA_T_S,
            Horizon::Custom(elevation_deg),
        )
        .map_err(refused)?;
    let above = events.state_at_start != HorizonState::Below;
    Ok((above, events.rises, events.sets))
}

/// Elevation of the sun at dusk and dawn, degrees.
pub const CIVIL_DEG: f64 = -6.0;

fn dark(place: &Place, start: DateTime<Utc>, minutes: usize) -> Result<Vec<bool>, LightingError> {
    let julian = start.timestamp() as f64 / 86_400.0 + JULIAN_UNIX;
    let end = julian + minutes as f64 / f64::from(DAY);
    let (light, rises, sets) = crossings(
        place.latitude_deg,
        place.longitude_deg,
        (julian, end),
        CIVIL_DEG,
    )?;
    let minute =
        |date: f64| (((date - julian) * f64::from(DAY)).round().max(0.0) as usize).min(minutes);
    let mut turns: Vec<(usize, bool)> = rises
        .into_iter()
        .map(|date| (minute(date), false))
        .chain(sets.into_iter().map(|date| (minute(date), true)))
        .collect();
    turns.sort_unstable();
    let mut dark = vec![!light; minutes];
    for (from, is_dark) in turns {
        dark[from..].fill(is_dark);
    }
    Ok(dark)
}

fn midnight(place: &Place, year: i32) -> DateTime<Utc> {
    let first = NaiveDate::from_ymd_opt(year, 1, 1)
        .and_then(|day| day.and_hms_opt(0, 0, 0))
        .expect("every year accepted has a first of January");
    place
        .time_zone
        .from_local_datetime(&first)
        .earliest()
        .map_or_else(|| first.and_utc(), |local| local.with_timezone(&Utc))
}

fn months(year: i32) -> Vec<u8> {
    let first =
        NaiveDate::from_ymd_opt(year, 1, 1).expect("every year accepted has a first of January");
    first
        .iter_days()
        .take_while(|day| day.year() == year)
        .map(|day| day.month() as u8)
        .collect()
}
