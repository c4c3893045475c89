//! Conductor sizes, ranges of them, ports and wire sets.

use super::{Kind, Refusal, Typed, Value};
use crate::job::column::{Range, Unit, UnitFamily};
use crate::job::conductors::AwgSize;
use crate::job::error::Code;
use crate::job::{PortGroup, SizeRange, WireSet};
use crate::units::SquareMillimetres;

/// Most ports or wires in one group.
const MOST_IN_GROUP: u32 = 100;
/// Largest conductor, mm².
const LARGEST_MM2: f64 = 1000.0;

/// A conductor size with the name the trade gives it.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::job) enum Gauge {
    /// An American wire gauge.
    Awg(AwgSize),
    /// A nominal metric cross-section, mm², > 0.
    Mm2(f64),
}

impl Gauge {
    /// Metallic cross-section.
    pub fn area(&self) -> SquareMillimetres {
        match self {
            Self::Awg(size) => size.area(),
            Self::Mm2(area) => SquareMillimetres::new(*area),
        }
    }
}

impl std::fmt::Display for Gauge {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Awg(size) => write!(f, "{size} AWG"),
            Self::Mm2(area) => write!(f, "{area} mm²"),
        }
    }
}

const fn sizes_accepted(unit: Unit) -> &'static str {
    match unit {
        Unit::Awg => "an AWG size from 24 to 4/0, such as 18, 12 or 1/0",
        _ => "a cross-section in mm² above 0, at most 1000, such as 2.5",
    }
}

/// Whether a spreadsheet seems to have turned `10-8` into a date.
pub(super) fn looks_like_a_date(text: &str) -> bool {
    const MONTHS: [&str; 12] = [
        "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
    ];
    let lower = text.to_lowercase();
    let month = MONTHS.iter().any(|month| lower.contains(month));
    month || text.matches('-').count() == 2 && text.chars().all(|c| c.is_ascii_digit() || c == '-')
}

/// Reads one size in the unit of the heading.
fn gauge(text: &str, typed: &Typed) -> Option<Gauge> {
    let text = text.trim();
    match typed.unit {
        Unit::Awg => {
            let lower = text.to_lowercase();
            let name = lower.strip_suffix("awg").unwrap_or(&lower);
            AwgSize::named(name.trim()).map(Gauge::Awg)
        }
        _ => {
            let area = f64::read(
                text,
                &Typed {
                    range: crate::job::column::positive_up_to(LARGEST_MM2),
                    ..*typed
                },
            );
            area.ok().map(Gauge::Mm2)
        }
    }
}

impl Value for Gauge {
    const UNIT: UnitFamily = UnitFamily::Size;
    const KIND: Kind = Kind::Size;
    const SHAPE: &'static str = "conductor size";
    fn accepted(_range: Range) -> String {
        "a conductor size".to_owned()
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        gauge(text, typed).ok_or_else(|| {
            Refusal::new(
                Code::BadSize,
                "is not a conductor size",
                sizes_accepted(typed.unit),
            )
        })
    }
}

/// Reads `18 to 8`, in either order, or one size.
fn range(text: &str, typed: &Typed) -> Option<SizeRange> {
    let lower = text.to_lowercase();
    let ends = lower
        .split_once(" to ")
        .or_else(|| lower.split_once(".."))
        .or_else(|| lower.split_once('-'));
    let (a, b) = match ends {
        Some((a, b)) => (gauge(a, typed)?.area(), gauge(b, typed)?.area()),
        None => {
            let only = gauge(&lower, typed)?.area();
            (only, only)
        }
    };
    Some(SizeRange {
        smallest: a.min(b),
        largest: a.max(b),
    })
}

fn range_accepted(unit: Unit) -> String {
    let example = if unit == Unit::Awg {
        "18 to 8"
    } else {
        "0.75 to 6"
    };
    format!("the two ends of a range: {example}")
}

fn date_help(text: &str) -> Option<String> {
    looks_like_a_date(text).then(|| {
        "a spreadsheet turned it into a date; write the word `to` between the sizes".to_owned()
    })
}

impl Value for SizeRange {
    const UNIT: UnitFamily = UnitFamily::Size;
    const KIND: Kind = Kind::Text;
    const SHAPE: &'static str = "range of sizes: 18 to 8";
    fn accepted(_range: Range) -> String {
        "the two ends of a range of sizes, joined by `to`".to_owned()
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        range(text, typed).ok_or_else(|| {
            Refusal::new(
                Code::BadSizeRange,
                "is not a range of conductor sizes",
                range_accepted(typed.unit),
            )
            .help(date_help(text))
        })
    }
}

/// Splits `6 x …` into count and rest; no count means 1.
fn counted(text: &str) -> Option<(u32, &str)> {
    let text = text.trim();
    let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let rest = text[digits..].trim_start();
    match rest.strip_prefix(['x', 'X', '×']) {
        Some(after) if digits > 0 => {
            let count: u32 = text[..digits].parse().ok()?;
            (1..=MOST_IN_GROUP)
                .contains(&count)
                .then_some((count, after.trim()))
        }
        _ => Some((1, text)),
    }
}

/// Outgoing ports of a hub.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::job) struct Ports(pub Vec<PortGroup>);

impl Value for Ports {
    const UNIT: UnitFamily = UnitFamily::Size;
    const KIND: Kind = Kind::Text;
    const SHAPE: &'static str = "groups of ports: 6 x 18 to 12 + 2 x 12 to 10";
    fn accepted(_range: Range) -> String {
        "groups of ports: 6 x 18 to 12 + 2 x 12 to 10".to_owned()
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        let group = |part: &str| {
            let (count, sizes) = counted(part)?;
            let takes = range(sizes, typed)?;
            Some(PortGroup { count, takes })
        };
        let groups: Option<Vec<PortGroup>> = text.split('+').map(group).collect();
        groups.map(Self).ok_or_else(|| {
            Refusal::new(
                Code::BadSizeList,
                "is not a list of ports",
                Self::accepted(typed.range),
            )
            .help(date_help(text))
        })
    }
}

/// Wire sets that a joint kind holds.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::job) struct WireSets(pub Vec<WireSet>);

fn wire_set(text: &str, typed: &Typed) -> Option<WireSet> {
    let mut slots = Vec::new();
    for part in text.split('+') {
        let (count, size) = counted(part)?;
        let area = gauge(size, typed)?.area();
        slots.extend(std::iter::repeat_n(area, count as usize));
    }
    slots.sort_by(|a: &SquareMillimetres, b| b.value().total_cmp(&a.value()));
    (slots.len() <= MOST_IN_GROUP as usize).then_some(WireSet { slots })
}

impl Value for WireSets {
    const UNIT: UnitFamily = UnitFamily::Size;
    const KIND: Kind = Kind::Text;
    const SHAPE: &'static str = "wires per pole: 3x12 | 2x10 + 2x14";
    fn accepted(_range: Range) -> String {
        "wires per pole, alternatives by |: 3x12 | 2x10 + 2x14".to_owned()
    }
    fn read(text: &str, typed: &Typed) -> Result<Self, Refusal> {
        let sets: Option<Vec<WireSet>> =
            text.split('|').map(|part| wire_set(part, typed)).collect();
        sets.map(Self).ok_or_else(|| {
            Refusal::new(
                Code::BadSizeList,
                "is not a list of wires",
                Self::accepted(typed.range),
            )
        })
    }
}
