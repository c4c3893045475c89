//! One-line diagrams row by row, so that they break over pages between circuits.
//! Signs after IEC 60617: two overlapping circles for a transformer, a square for
//! a device that opens by itself.

use super::frame::{Colour, Frame, Stroke};
use super::geometry::{Area, Place};
use super::plot::palette;
use super::text::{Setter, Style};
use super::typeface::{ABOVE, Weight};
use crate::content::{Bus, Feeder};

/// From the left edge to the transformer's sign, pt.
const SIGN: f64 = 34.0;
/// From the left edge to the breaker's sign, pt.
const BREAKER: f64 = 96.0;
/// From the left edge to the bus, pt.
const BUS: f64 = 140.0;
/// Width of the text at the end of a line, pt.
const END: f64 = 210.0;
/// Radius of each circle of the transformer's sign, pt.
const CIRCLE: f64 = 7.5;
/// Height below a circuit's line, pt.
const BELOW_LINE: f64 = 8.0;

const STYLE: Style = Style {
    size: 8.0,
    weight: Weight::Regular,
    colour: Colour::INK,
};

/// A circuit measured.
pub struct SetFeeder {
    circuit: usize,
    above: Vec<String>,
    end: Vec<String>,
    /// Height of its row, pt.
    pub height: f64,
}

impl SetFeeder {
    /// From the top of the row to the line, pt.
    fn line_at(&self) -> f64 {
        let above = self.above.len() as f64 * STYLE.leading() + 3.0;
        above.max(0.5 * self.end.len() as f64 * STYLE.leading() + 2.0)
    }
}

/// Least height of any bus, pt.
pub const LEAST: f64 = 46.0;

/// Least height of a bus with its signs and their names, pt.
pub fn least(setter: Setter<'_>, bus: &Bus) -> f64 {
    let below = CIRCLE + 4.0 + names(setter, bus).len() as f64 * STYLE.leading();
    LEAST.max(SOURCE_AT + below)
}

/// Highest place of the source line below the top of a bus, pt: the breaker's rating stands over it.
const SOURCE_AT: f64 = 20.0;

fn names(setter: Setter<'_>, bus: &Bus) -> Vec<String> {
    setter.lines(&bus.name, STYLE, BREAKER - 16.0)
}

/// Breaks the texts of a circuit for a diagram of the given width.
pub fn set(setter: Setter<'_>, feeder: &Feeder, width: f64) -> SetFeeder {
    let mut set = SetFeeder {
        circuit: feeder.circuit,
        above: setter.lines(&feeder.cable, STYLE, width - BUS - END - 18.0),
        end: setter.lines(&feeder.end, STYLE, END - 6.0),
        height: 0.0,
    };
    let below = (0.5 * set.end.len() as f64 * STYLE.leading() + 2.0).max(BELOW_LINE);
    set.height = set.line_at() + below;
    set
}

/// Puts circuits that fit one page below each other, with bus, breaker and transformer to their left.
pub fn put(
    setter: Setter<'_>,
    frame: &mut Frame,
    at: Place,
    width: f64,
    bus: &Bus,
    rows: &[SetFeeder],
) {
    let bus_x = at.x + BUS;
    let mut y = at.y;
    let mut lines = Vec::new();
    for row in rows {
        let line = y + row.line_at();
        lines.push(line);
        put_feeder(setter, frame, row, Place::new(bus_x, line), at.x + width);
        y += row.height;
    }
    let (Some(&first), Some(&last)) = (lines.first(), lines.last()) else {
        return;
    };
    let (top, bottom) = (first - 5.0, last + 5.0);
    // The names below the signs must not reach into the next bus.
    let height = (y - at.y).max(least(setter, bus));
    let lowest = at.y + height - (least(setter, bus) - SOURCE_AT);
    let middle = (0.5 * (first + last)).min(lowest).max(at.y + SOURCE_AT);
    let (top, bottom) = (top.min(middle), bottom.max(middle));
    frame.line(
        vec![Place::new(bus_x, top), Place::new(bus_x, bottom)],
        Stroke::solid(Colour::INK, 1.6),
    );
    put_source(setter, frame, Place::new(at.x, middle), bus);
}

fn put_feeder(setter: Setter<'_>, frame: &mut Frame, row: &SetFeeder, from: Place, right: f64) {
    let end = Place::new(right - END - 6.0, from.y);
    frame.line(vec![from, end], palette::stroke(row.circuit));
    frame.shape(
        circle(end.moved(2.6, 0.0), 2.6),
        Some(Stroke::solid(Colour::INK, 0.8)),
        Some(Colour(255, 214, 102)),
    );
    let first = from.y - 3.0 - row.above.len() as f64 * STYLE.leading() + ABOVE * STYLE.size;
    for (line, text) in row.above.iter().enumerate() {
        let y = first + line as f64 * STYLE.leading();
        setter.put(frame, Place::new(from.x + 8.0, y), text, STYLE);
    }
    let top = from.y - 0.5 * row.end.len() as f64 * STYLE.leading();
    for (line, text) in row.end.iter().enumerate() {
        let y = top + ABOVE * STYLE.size + line as f64 * STYLE.leading();
        setter.put(frame, Place::new(end.x + 12.0, y), text, STYLE);
    }
}

/// Mains line, transformer, breaker, and the line to the bus.
fn put_source(setter: Setter<'_>, frame: &mut Frame, at: Place, bus: &Bus) {
    let ink = Stroke::solid(Colour::INK, 1.0);
    let sign = at.moved(SIGN, 0.0);
    let apart = 0.62 * CIRCLE;
    for x in [-apart, apart] {
        frame.shape(circle(sign.moved(x, 0.0), CIRCLE), Some(ink.clone()), None);
    }
    let breaker = Area::new(at.x + BREAKER - 4.5, at.y - 4.5, 9.0, 9.0);
    frame.rectangle(breaker, Some(ink.clone()), Some(Colour::PAPER));
    let strokes = [
        (at, sign.moved(-apart - CIRCLE, 0.0)),
        (sign.moved(apart + CIRCLE, 0.0), Place::new(breaker.x, at.y)),
        (Place::new(breaker.right(), at.y), at.moved(BUS, 0.0)),
    ];
    for (from, to) in strokes {
        frame.line(vec![from, to], ink.clone());
    }
    let below = at.y + CIRCLE + 2.0 + ABOVE * STYLE.size;
    let centred = |text: &str, middle: f64| middle - 0.5 * setter.width(text, STYLE);
    for (line, text) in names(setter, bus).iter().enumerate() {
        let x = centred(text, sign.x).max(at.x);
        let y = below + line as f64 * STYLE.leading();
        setter.put(frame, Place::new(x, y), text, STYLE);
    }
    let x = centred(&bus.breaker, at.x + BREAKER);
    setter.put(frame, Place::new(x, at.y - 7.0), &bus.breaker, STYLE);
    setter.put(frame, Place::new(at.x, at.y - 9.0), "mains", STYLE);
}

/// A circle as 24 corners, by turning 15° again and again: no cosine is taken, so
/// every machine draws the same.
pub fn circle(middle: Place, radius: f64) -> Vec<Place> {
    const COS: f64 = 0.965_925_826_289_068_3;
    const SIN: f64 = 0.258_819_045_102_520_76;
    let (mut x, mut y) = (radius, 0.0);
    (0..24)
        .map(|_| {
            let place = middle.moved(x, y);
            (x, y) = (x * COS - y * SIN, x * SIN + y * COS);
            place
        })
        .collect()
}
