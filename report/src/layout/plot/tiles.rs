//! Several sheets for one drawing: windows side by side at a larger scale, and the
//! key plan that says where each lies.

use super::super::frame::{Colour, Frame, Stroke};
use super::super::geometry::{Area, Place};
use super::super::text::{Setter, Style};
use super::super::typeface::{ABOVE, Weight};
use super::arrange::{self, Sheet};
use crate::content::Drawing;

/// Share of a window by which neighbours overlap.
const OVERLAP: f64 = 0.08;
/// Most windows of one tiling.
const MOST: usize = 24;

const NUMBER: Style = Style {
    size: 10.0,
    weight: Weight::Bold,
    colour: Colour::MUTED,
};
const SMALL: Style = Style {
    size: 6.5,
    weight: Weight::Bold,
    colour: Colour::INK,
};

/// Windows that together show every mark.
#[derive(Clone, Debug)]
pub struct Tiling {
    /// Windows in the coordinates of the whole drawing, row by row.
    pub windows: Vec<Area>,
    zoom: f64,
    plot: Area,
    /// Opened ground in those coordinates, for the key plan.
    ground: Vec<(Place, Place)>,
}

/// Tilings from coarse to fine.
pub fn tilings(drawing: &Drawing, whole: &Sheet, plot: Area) -> Vec<Tiling> {
    let shown = shown(drawing, whole);
    let ground: Vec<(Place, Place)> = drawing
        .trenches
        .iter()
        .filter(|trench| !trench.circuits.is_empty())
        .filter_map(|trench| Some((whole.places[trench.a]?, whole.places[trench.b]?)))
        .collect();
    arrange::zooms(whole)
        .into_iter()
        .map(|zoom| Tiling {
            windows: windows(&shown, plot, zoom),
            zoom,
            plot,
            ground: ground.clone(),
        })
        .filter(|tiling| (2..=MOST).contains(&tiling.windows.len()))
        .collect()
}

/// Places of everything that must be seen on some sheet.
fn shown(drawing: &Drawing, whole: &Sheet) -> Vec<Place> {
    let places = drawing.shown().into_iter().zip(&whole.places);
    places
        .filter_map(|(shown, place)| place.filter(|_| shown))
        .collect()
}

/// A grid of windows over the shown places, centred; windows without any are left out.
fn windows(shown: &[Place], plot: Area, zoom: f64) -> Vec<Area> {
    let (width, height) = (plot.width / zoom, plot.height / zoom);
    let extent = |pick: fn(&Place) -> f64| {
        let low = shown.iter().map(pick).fold(f64::INFINITY, f64::min);
        let high = shown.iter().map(pick).fold(f64::NEG_INFINITY, f64::max);
        (low, high)
    };
    let across = steps(extent(|place| place.x), width);
    let down = steps(extent(|place| place.y), height);
    let mut windows = Vec::new();
    for &y in &down {
        for &x in &across {
            let window = Area::new(x, y, width, height);
            let inner = window.grown(-0.25 * OVERLAP * width.min(height));
            let holds = |place: &Place| inner.contains(&Area::new(place.x, place.y, 0.0, 0.0), 0.0);
            let held: Vec<Place> = shown.iter().copied().filter(|place| holds(place)).collect();
            if !held.is_empty() {
                windows.push(centred(window, &held));
            }
        }
    }
    windows
}

/// A window moved so that what it holds stands in its middle.
fn centred(window: Area, held: &[Place]) -> Area {
    let middle = |pick: fn(&Place) -> f64| {
        let low = held.iter().map(pick).fold(f64::INFINITY, f64::min);
        let high = held.iter().map(pick).fold(f64::NEG_INFINITY, f64::max);
        0.5 * (low + high)
    };
    let (x, y) = (middle(|place| place.x), middle(|place| place.y));
    Area::new(
        x - 0.5 * window.width,
        y - 0.5 * window.height,
        window.width,
        window.height,
    )
}

/// Starts of overlapping windows of one size that cover an extent.
fn steps((low, high): (f64, f64), size: f64) -> Vec<f64> {
    if low > high {
        return Vec::new();
    }
    let margin = OVERLAP * size;
    let (low, high) = (low - margin, high + margin);
    let step = size * (1.0 - OVERLAP);
    let count = ((high - low - size) / step).ceil().max(0.0) as usize + 1;
    let covered = size + step * (count - 1) as f64;
    let start = 0.5 * (low + high - covered);
    (0..count).map(|at| start + step * at as f64).collect()
}

impl Tiling {
    /// Places and scale of one window on a whole sheet.
    pub fn sheet(&self, whole: &Sheet, at: usize) -> Sheet {
        let window = self.windows[at];
        let places = whole.places.iter().map(|place| {
            place.map(|place| {
                Place::new(
                    self.plot.x + (place.x - window.x) * self.zoom,
                    self.plot.y + (place.y - window.y) * self.zoom,
                )
            })
        });
        Sheet {
            places: places.collect(),
            scale: whole.scale.as_ref().map(|scale| scale.zoomed(self.zoom)),
        }
    }

    /// Most labelled spots in one window.
    pub fn most_labels(&self, drawing: &Drawing, whole: &Sheet) -> usize {
        let labelled = drawing.spots.iter().zip(&whole.places);
        let places: Vec<Area> = labelled
            .filter(|(spot, _)| !spot.label.is_empty())
            .filter_map(|(_, place)| place.map(|place| Area::new(place.x, place.y, 0.0, 0.0)))
            .collect();
        let counts = self.windows.iter().map(|window| {
            let held = places.iter().filter(|place| window.contains(place, 0.0));
            held.count()
        });
        counts.max().unwrap_or(0)
    }

    /// What stands in the corner of a sheet; `None` is the overview.
    pub fn caption(&self, at: Option<usize>) -> String {
        match at {
            None => format!("Key plan: sheets 1 to {}", self.windows.len()),
            Some(at) => format!("Sheet {} of {}", at + 1, self.windows.len()),
        }
    }

    /// Frames and numbers of all windows over the whole drawing; numbers keep off `taken`.
    pub fn put_windows(&self, setter: Setter<'_>, frame: &mut Frame, mut taken: Vec<Area>) {
        let stroke = Stroke {
            colour: Colour::MUTED,
            width: 0.6,
            dash: vec![5.0, 3.0],
        };
        taken.push(super::caption_area(self.plot));
        for (at, window) in self.windows.iter().enumerate() {
            let inside = window.within(&self.plot.grown(-1.0));
            frame.rectangle(inside, Some(stroke.clone()), None);
            let text = (at + 1).to_string();
            let width = setter.width(&text, NUMBER);
            // Bottom left, else further right, where no other number stands.
            let corner = Place::new(inside.x + 4.0, inside.bottom() - 4.0);
            let free = (0..12)
                .map(|step| corner.moved(f64::from(step) * 16.0, 0.0))
                .find(|place| {
                    let area = setter.area(*place, &text, NUMBER);
                    taken.iter().all(|other| other.common(&area) <= 0.0)
                });
            if let Some(place) = free
                && place.x + width < inside.right()
            {
                let area = setter.area(place, &text, NUMBER);
                taken.push(area);
                frame.rectangle(area.grown(-1.0), None, Some(Colour::PAPER));
                setter.put(frame, place, &text, NUMBER);
            }
        }
    }

    /// The key plan in an area of the key: opened ground, and the window shown.
    pub fn put_plan(&self, setter: Setter<'_>, frame: &mut Frame, area: Area, at: usize) {
        let scale = (area.width / self.plot.width).min(area.height / self.plot.height);
        let on_plan = |place: Place| {
            Place::new(
                area.x + (place.x - self.plot.x) * scale,
                area.y + (place.y - self.plot.y) * scale,
            )
        };
        let border = Area::new(
            area.x,
            area.y,
            self.plot.width * scale,
            self.plot.height * scale,
        );
        frame.rectangle(border, Some(Stroke::solid(Colour::RULE, 0.5)), None);
        let window = self.windows[at];
        let corner = on_plan(Place::new(window.x, window.y));
        let shown = Area::new(
            corner.x,
            corner.y,
            window.width * scale,
            window.height * scale,
        )
        .within(&border);
        frame.rectangle(shown, None, Some(Colour::TINT));
        for (a, b) in &self.ground {
            if let Some((a, b)) = border.clipped(on_plan(*a), on_plan(*b)) {
                frame.line(vec![a, b], Stroke::solid(Colour::MUTED, 0.4));
            }
        }
        frame.rectangle(shown, Some(Stroke::solid(Colour::ACCENT, 1.0)), None);
        let text = format!("Sheet {}", at + 1);
        let below = Place::new(area.x, border.bottom() + 2.0 + ABOVE * SMALL.size);
        setter.put(frame, below, &text, SMALL);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn windows_cover_every_place_and_overlap() {
        let plot = Area::new(0.0, 0.0, 600.0, 400.0);
        let shown: Vec<Place> = (0..40)
            .map(|at| Place::new(20.0 + 14.0 * f64::from(at), 30.0 + 9.0 * f64::from(at % 37)))
            .collect();
        for zoom in [1.5, 2.0, 3.0] {
            let windows = windows(&shown, plot, zoom);
            for place in &shown {
                let dot = Area::new(place.x, place.y, 0.0, 0.0);
                assert!(windows.iter().any(|window| window.contains(&dot, 0.0)));
            }
        }
        assert!(windows(&[], plot, 2.0).is_empty());
    }
}
