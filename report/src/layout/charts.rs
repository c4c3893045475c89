//! Charts drawn from lines and areas: bars, and voltage against length.

use super::frame::{Colour, Frame, Stroke};
use super::geometry::{Area, Place};
use super::one_line::circle;
use super::plot::palette;
use super::text::{Setter, Style};
use super::typeface::{ABOVE, Weight};
use crate::content::{Bars, Profile, Reading};
use crate::format;

const STYLE: Style = Style {
    size: 8.5,
    weight: Weight::Regular,
    colour: Colour::INK,
};
const TITLE: Style = Style {
    size: 8.5,
    weight: Weight::Bold,
    colour: Colour::INK,
};
const SMALL: Style = Style {
    size: 7.0,
    weight: Weight::Regular,
    colour: Colour::MUTED,
};
/// Height of one bar with its blank, pt.
const BAR_STEP: f64 = 17.0;
/// Height of one bar, pt.
const BAR: f64 = 10.0;
/// Longest bar, pt.
const BAR_LENGTH: f64 = 210.0;
/// Ground of the window that fixtures share.
const WINDOW: Colour = Colour(232, 241, 228);
/// Width of the strip that shows the window of one fixture, pt.
const STRIP: f64 = 7.0;
/// Edge of that window.
const WINDOW_EDGE: Colour = Colour(120, 150, 108);
/// Height of a profile with its texts, pt; three fit under each other on a page lying down.
pub const PROFILE_HEIGHT: f64 = 166.0;

/// Height of a bar chart, pt.
pub fn bars_height(bars: &Bars) -> f64 {
    bars.bars.len() as f64 * BAR_STEP + 4.0
}

/// Puts a bar chart with its top left corner at `at`.
pub fn put_bars(setter: Setter<'_>, frame: &mut Frame, at: Place, bars: &Bars) {
    let names = bars.bars.iter().map(|bar| setter.width(&bar.name, STYLE));
    let start = at.x + names.fold(0.0, f64::max) + 10.0;
    let longest = bars.bars.iter().map(|bar| bar.share).fold(1e-9, f64::max);
    for (row, bar) in bars.bars.iter().enumerate() {
        let top = at.y + row as f64 * BAR_STEP;
        let baseline = top + 0.5 * BAR + 0.36 * STYLE.size;
        setter.put(frame, Place::new(at.x, baseline), &bar.name, STYLE);
        let length = BAR_LENGTH * (bar.share / longest).clamp(0.0, 1.0);
        frame.rectangle(
            Area::new(start, top, length, BAR),
            Some(Stroke::solid(Colour::ACCENT, 0.6)),
            Some(Colour(120, 146, 184)),
        );
        let after = Place::new(start + length + 6.0, baseline);
        setter.put(frame, after, &bar.amount, STYLE);
    }
    let foot = at.y + bars.bars.len() as f64 * BAR_STEP - (BAR_STEP - BAR) + 3.0;
    frame.line(
        vec![Place::new(start, at.y - 3.0), Place::new(start, foot)],
        Stroke::solid(Colour::INK, 0.8),
    );
}

/// Low end, high end and distance of the ticks of an axis: round numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Scale {
    low: f64,
    high: f64,
    step: f64,
}

impl Scale {
    /// The round scale with at most `most` steps that holds `low` to `high`.
    fn round(low: f64, high: f64, most: f64) -> Self {
        let least = ((high - low) / most).max(1e-6);
        let mut decade = 1.0;
        while decade * 10.0 <= least {
            decade *= 10.0;
        }
        while decade > least {
            decade /= 10.0;
        }
        let steps = [1.0, 2.0, 5.0, 10.0].map(|step| step * decade);
        let enough = steps.into_iter().find(|step| *step >= least * (1.0 - 1e-9));
        let step = enough.unwrap_or(decade * 10.0);
        let low = (low / step + 1e-9).floor() * step;
        let high = (high / step - 1e-9).ceil() * step;
        Self {
            low,
            high: high.max(low + step),
            step,
        }
    }
    fn share(&self, value: f64) -> f64 {
        ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0)
    }
    fn ticks(&self) -> Vec<f64> {
        let count = ((self.high - self.low) / self.step).round() as usize;
        (0..=count)
            .map(|tick| self.low + tick as f64 * self.step)
            .collect()
    }
    fn decimals(&self) -> usize {
        if self.step >= 0.999 {
            0
        } else if self.step >= 0.0999 {
            1
        } else {
            2
        }
    }
}

/// Axes of a profile on paper.
struct Axes {
    plot: Area,
    along: Scale,
    volts: Scale,
}

impl Axes {
    fn new(profile: &Profile, plot: Area) -> Self {
        let edges = || profile.cases.iter().flatten();
        let ends = || edges().flat_map(|(near, far)| [*near, *far]);
        let farthest = ends().map(|end| end.0).fold(0.0, f64::max);
        let windows = || profile.fixtures.iter().map(|fixture| fixture.1);
        let lows = ends()
            .map(|end| end.1)
            .chain(windows().map(|window| window.0));
        let highs = ends()
            .map(|end| end.1)
            .chain(windows().map(|window| window.1));
        let low = lows.fold(f64::INFINITY, f64::min);
        let high = highs.fold(f64::NEG_INFINITY, f64::max);
        // A circuit without fixtures has nothing to show.
        let (low, high) = if low < high { (low, high) } else { (0.0, 1.0) };
        Self {
            plot,
            along: Scale::round(0.0, farthest.max(1e-3), 6.0),
            volts: Scale::round(low - 0.05, high + 0.05, 6.0),
        }
    }
    fn x(&self, along: f64) -> f64 {
        self.plot.x + self.plot.width * self.along.share(along)
    }
    fn y(&self, volts: f64) -> f64 {
        self.plot.bottom() - self.plot.height * self.volts.share(volts)
    }
    fn place(&self, reading: Reading) -> Place {
        Place::new(self.x(reading.0), self.y(reading.1))
    }
}

/// Puts a profile into an area [`PROFILE_HEIGHT`] high.
pub fn put_profile(setter: Setter<'_>, frame: &mut Frame, area: Area, profile: &Profile) {
    let title = setter.lines(&profile.title, TITLE, area.width);
    let top = Place::new(area.x, area.y + ABOVE * TITLE.size);
    if let Some(first) = title.first() {
        setter.put(frame, top, first, TITLE);
    }
    let plot = Area::new(
        area.x + 30.0,
        area.y + 16.0,
        area.width - 44.0,
        area.height - 50.0,
    );
    let axes = Axes::new(profile, plot);
    let windows = windows(&axes, profile);
    for window in &windows {
        frame.rectangle(*window, None, Some(WINDOW));
    }
    put_grid(setter, frame, &axes, &profile.length_unit);
    for window in &windows {
        for y in [window.y, window.bottom()] {
            frame.line(
                vec![Place::new(window.x, y), Place::new(window.right(), y)],
                Stroke::solid(WINDOW_EDGE, 0.9),
            );
        }
    }
    let looks: [&[f64]; 3] = [&[1.2, 1.6], &[], &[4.0, 1.8]];
    for (edges, dash) in profile.cases.iter().zip(looks) {
        let stroke = Stroke {
            colour: palette::colour(profile.circuit),
            width: if dash.is_empty() { 1.2 } else { 0.8 },
            dash: dash.to_vec(),
        };
        for (near, far) in edges {
            let (near, far) = (axes.place(*near), axes.place(*far));
            if near.distance(far) > 0.02 {
                frame.line(vec![near, far], stroke.clone());
            }
        }
    }
    for (fixture, _) in &profile.fixtures {
        frame.shape(
            circle(axes.place(*fixture), 1.7),
            Some(Stroke::solid(Colour::INK, 0.5)),
            Some(Colour(255, 214, 102)),
        );
    }
}

/// The ground of the windows: one over the whole width where all are alike, else a
/// strip at each fixture.
fn windows(axes: &Axes, profile: &Profile) -> Vec<Area> {
    let plot = axes.plot;
    let of = |left: f64, right: f64, (floor, ceiling): (f64, f64)| {
        let upper = axes.y(ceiling);
        let width = (right - left).max(0.0);
        Area::new(left, upper, width, axes.y(floor) - upper)
    };
    let Some((_, first)) = profile.fixtures.first() else {
        return Vec::new();
    };
    if profile.fixtures.iter().all(|(_, window)| window == first) {
        return vec![of(plot.x, plot.right(), *first)];
    }
    profile
        .fixtures
        .iter()
        .map(|(fixture, window)| {
            let x = axes.x(fixture.0);
            let left = (x - 0.5 * STRIP).max(plot.x);
            let right = (x + 0.5 * STRIP).min(plot.right());
            of(left, right, *window)
        })
        .collect()
}

/// Ticks, grid lines and their numbers, the unit of each axis.
fn put_grid(setter: Setter<'_>, frame: &mut Frame, axes: &Axes, unit: &str) {
    let plot = axes.plot;
    for tick in axes.volts.ticks() {
        let y = axes.y(tick);
        frame.line(
            vec![Place::new(plot.x, y), Place::new(plot.right(), y)],
            Stroke::solid(Colour::RULE, 0.3),
        );
        let text = format::fixed(tick, axes.volts.decimals());
        let x = plot.x - 4.0 - setter.width(&text, SMALL);
        setter.put(frame, Place::new(x, y + 0.36 * SMALL.size), &text, SMALL);
    }
    for tick in axes.along.ticks() {
        let x = axes.x(tick);
        frame.line(
            vec![
                Place::new(x, plot.bottom()),
                Place::new(x, plot.bottom() + 3.0),
            ],
            Stroke::solid(Colour::MUTED, 0.5),
        );
        let text = format::fixed(tick, axes.along.decimals());
        let left = x - 0.5 * setter.width(&text, SMALL);
        let below = plot.bottom() + 4.0 + ABOVE * SMALL.size;
        setter.put(frame, Place::new(left, below), &text, SMALL);
    }
    frame.rectangle(plot, Some(Stroke::solid(Colour::MUTED, 0.6)), None);
    let below = plot.bottom() + 6.0 + SMALL.leading() + ABOVE * SMALL.size;
    let text = format!("cable from the terminals, {unit}");
    let middle = plot.centre().x - 0.5 * setter.width(&text, SMALL);
    setter.put(frame, Place::new(middle, below), &text, SMALL);
    let volt = Place::new(plot.x - 26.0, plot.bottom() + 6.0 + ABOVE * SMALL.size);
    setter.put(frame, volt, "V", SMALL);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_hold_all_values() {
        let scale = Scale::round(10.75, 15.05, 6.0);
        assert_eq!((scale.low, scale.high, scale.step), (10.0, 16.0, 1.0));
        assert_eq!(scale.ticks().len(), 7);
        let narrow = Scale::round(0.0, 0.001, 6.0);
        assert!(narrow.high >= 0.001 && narrow.ticks().len() <= 8);
        let wide = Scale::round(0.0, 1234.0, 6.0);
        assert_eq!((wide.high, wide.step), (1500.0, 500.0));
    }
}
