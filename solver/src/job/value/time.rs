//! Times on, and time zones.

use super::{Kind, Refusal, Typed, Value, Words};
use crate::job::column::Range;
use crate::job::error::Code;
use crate::job::lighting::{Control, Edge, Period, Times};
use crate::job::nearest::did_you_mean;
use chrono_tz::{TZ_VARIANTS, Tz};

const TIMES: &str =
    "dusk to dawn, dusk to 23:00, 18:00 to 23:30, 05:00 to dawn, or two of them joined by +";

impl Value for Times {
    const KIND: Kind = Kind::Text;
    const SHAPE: &'static str = "times on";
    fn accepted(_range: Range) -> String {
        TIMES.to_owned()
    }
    fn read(text: &str, _typed: &Typed) -> Result<Self, Refusal> {
        let refused = || Refusal::new(Code::BadWord, "holds no times on", TIMES);
        let lower = text.to_lowercase();
        let mut periods = lower.split('+').map(|part| period(part.trim()));
        let first = periods.next().flatten().ok_or_else(refused)?;
        let second = match periods.next() {
            None => None,
            Some(period) => Some(period.ok_or_else(refused)?),
        };
        if periods.next().is_some() {
            return Err(refused());
        }
        Ok(Self { first, second })
    }
}

fn period(text: &str) -> Option<Period> {
    let (from, to) = text.split_once(" to ")?;
    let (from, to) = (edge(from.trim())?, edge(to.trim())?);
    (from != Edge::Dawn && to != Edge::Dusk && from != to).then_some(Period { from, to })
}

fn edge(text: &str) -> Option<Edge> {
    match text {
        "dusk" => Some(Edge::Dusk),
        "dawn" => Some(Edge::Dawn),
        _ => {
            let (hours, minutes) = text.split_once(':')?;
            let lawful = (1..=2).contains(&hours.len())
                && minutes.len() == 2
                && [hours, minutes]
                    .iter()
                    .all(|part| part.bytes().all(|b| b.is_ascii_digit()));
            let (hours, minutes): (u16, u16) = (hours.parse().ok()?, minutes.parse().ok()?);
            (lawful && hours < 24 && minutes < 60).then_some(Edge::At(60 * hours + minutes))
        }
    }
}

impl Value for Tz {
    const KIND: Kind = Kind::Text;
    const SHAPE: &'static str = "time zone";
    fn accepted(_range: Range) -> String {
        "a name of the IANA time zone database, such as America/Denver or Europe/Paris".to_owned()
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        text.parse().map_err(|_| {
            Refusal::new(
                Code::BadWord,
                "is no time zone that is known here",
                Self::accepted(typed.range),
            )
            .help(did_you_mean(
                text,
                TZ_VARIANTS.iter().map(|zone| zone.name()),
            ))
        })
    }
}

impl Words for Control {
    const WORDS: &'static [(&'static str, Self)] = &[
        ("sensor", Self::Sensor),
        ("clock", Self::Clock),
        ("astronomic clock", Self::AstronomicClock),
        ("sensor and clock", Self::SensorAndClock),
    ];
    const SHAPE: &'static str = "sensor, clock, astronomic clock or sensor and clock";
    const NAMED: usize = 4;
}
