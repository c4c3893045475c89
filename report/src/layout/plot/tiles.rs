//! Several sheets for one drawing: windows side by side at a larger scale, and the
//! key plan that says where each lies.

use super::super::frame::{Colour, Frame, Stroke};
use super::super::geometry::{Area, Place};
use super::super::text::{Setter, Style};
use super::super::typeface::{ABOVE, Weight};
use super::arrange::{self, Sheet};
use crate::content::{Drawing, Orientation};

/// Share of a window by which neighbours overlap at least.
const OVERLAP: f64 = 0.08;
/// Blank kept inside the outermost windows for labels, pt on the sheet.
const BLANK: f64 = 30.0;
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

/// A whole sheet that a window may be drawn on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stage {
    /// How it lies.
    pub orientation: Orientation,
    /// All of it that may be drawn on.
    pub area: Area,
}

/// Windows that together show every mark, each to be drawn on a sheet of its own.
#[derive(Clone, Debug)]
pub struct Tiling {
    /// Windows in the coordinates of the whole drawing, row by row.
    pub windows: Vec<Area>,
    /// The sheet of each.
    pub stage: Stage,
    /// Where on it a window is drawn.
    pub plot: Area,
    zoom: f64,
    /// Where the whole drawing is drawn.
    whole: Area,
    /// Opened ground in the coordinates of the whole drawing, for the key plan.
    ground: Vec<(Place, Place)>,
}

/// Tilings from few sheets to many, each at the largest scale that its number of
/// sheets allows, so that little of a sheet is blank or shown twice. `stages`: the
/// sheets to choose from, with the plot on each.
pub fn tilings(
    drawing: &Drawing,
    whole: &Sheet,
    plot: Area,
    stages: &[(Stage, Area)],
) -> Vec<Tiling> {
    let shown = shown(drawing, whole);
    let ground: Vec<(Place, Place)> = drawing
        .trenches
        .iter()
        .filter(|trench| !trench.circuits.is_empty())
        .filter_map(|trench| Some((whole.places[trench.a]?, whole.places[trench.b]?)))
        .collect();
    let mut tilings: Vec<Tiling> = Vec::new();
    for &(stage, on_sheet) in stages {
        tilings.extend(arrange::zooms(whole).into_iter().map(|zoom| Tiling {
            windows: windows(&shown, on_sheet, zoom),
            stage,
            plot: on_sheet,
            zoom,
            whole: plot,
            ground: ground.clone(),
        }));
    }
    tilings.retain(|tiling| (2..=MOST).contains(&tiling.windows.len()));
    tilings.sort_by(|one, other| {
        let counts = one.windows.len().cmp(&other.windows.len());
        counts.then(other.zoom.total_cmp(&one.zoom))
    });
    // What needs more sheets must show more.
    let mut largest = 0.0;
    tilings.retain(|tiling| {
        let larger = tiling.zoom > largest;
        largest = tiling.zoom.max(largest);
        larger
    });
    tilings
}

/// Places of everything that must be seen on some sheet.
fn shown(drawing: &Drawing, whole: &Sheet) -> Vec<Place> {
    let places = drawing.shown().into_iter().zip(&whole.places);
    places
        .filter_map(|(shown, place)| place.filter(|_| shown))
        .collect()
}

/// Windows over the shown places, of the plot's shape: rows cut into columns or columns
/// into rows, whichever needs fewer. Each row has as many as its own places need.
fn windows(shown: &[Place], plot: Area, zoom: f64) -> Vec<Area> {
    let blank = BLANK / zoom;
    let (width, height) = (plot.width / zoom, plot.height / zoom);
    let x: fn(&Place) -> f64 = |place| place.x;
    let y: fn(&Place) -> f64 = |place| place.y;
    let mut rows = Vec::new();
    for (top, held) in strips(shown, y, height, blank) {
        let across = strips(&held, x, width, blank).into_iter();
        rows.extend(across.map(|(left, _)| Area::new(left, top, width, height)));
    }
    let mut columns = Vec::new();
    for (left, held) in strips(shown, x, width, blank) {
        let down = strips(&held, y, height, blank).into_iter();
        columns.extend(down.map(|(top, _)| Area::new(left, top, width, height)));
    }
    if columns.len() < rows.len() {
        columns.sort_by(|one, other| one.y.total_cmp(&other.y).then(one.x.total_cmp(&other.x)));
        columns
    } else {
        rows
    }
}

/// Cuts places into strips of one size, evenly spaced from the first place to the last:
/// where each strip starts, and the places nearest its middle. Empty strips are left out.
fn strips(
    places: &[Place],
    along: fn(&Place) -> f64,
    size: f64,
    blank: f64,
) -> Vec<(f64, Vec<Place>)> {
    let low = places.iter().map(along).fold(f64::INFINITY, f64::min) - blank;
    let high = places.iter().map(along).fold(f64::NEG_INFINITY, f64::max) + blank;
    if low > high {
        return Vec::new();
    }
    let overlap = (OVERLAP * size).max(blank);
    if size <= overlap {
        return Vec::new();
    }
    let excess = (high - low - size).max(0.0);
    let count = (excess / (size - overlap)).ceil() as usize + 1;
    let (start, step) = if count == 1 {
        (0.5 * (low + high - size), size)
    } else {
        (low, excess / (count - 1) as f64)
    };
    let mut strips: Vec<(f64, Vec<Place>)> = (0..count)
        .map(|at| (start + step * at as f64, Vec::new()))
        .collect();
    for place in places {
        let nearest = ((along(place) - start - 0.5 * size) / step)
            .round()
            .max(0.0);
        strips[(nearest as usize).min(count - 1)].1.push(*place);
    }
    strips.retain(|(_, held)| !held.is_empty());
    strips
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
        taken.push(super::caption_area(self.whole));
        for (at, window) in self.windows.iter().enumerate() {
            let inside = window.within(&self.whole.grown(-1.0));
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
        let scale = (area.width / self.whole.width).min(area.height / self.whole.height);
        let on_plan = |place: Place| {
            Place::new(
                area.x + (place.x - self.whole.x) * scale,
                area.y + (place.y - self.whole.y) * scale,
            )
        };
        let border = Area::new(
            area.x,
            area.y,
            self.whole.width * scale,
            self.whole.height * scale,
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

    const PLOT: Area = Area::new(0.0, 0.0, 600.0, 400.0);

    #[test]
    fn windows_cover_every_place_with_room_for_its_label() {
        let shown: Vec<Place> = (0..40)
            .map(|at| Place::new(20.0 + 14.0 * f64::from(at), 30.0 + 9.0 * f64::from(at % 37)))
            .collect();
        for zoom in [1.5, 2.0, 3.0, 5.5] {
            let windows = windows(&shown, PLOT, zoom);
            let room = 0.49 * BLANK / zoom;
            for place in &shown {
                let dot = Area::new(place.x, place.y, 0.0, 0.0).grown(room);
                assert!(windows.iter().any(|window| window.contains(&dot, 0.0)));
            }
        }
        assert!(windows(&[], PLOT, 2.0).is_empty());
    }

    /// Twice as long as a sheet, no wider: two sheets side by side hold it.
    #[test]
    fn a_long_site_needs_sheets_in_one_direction_only() {
        let shown: Vec<Place> = (0..50)
            .map(|at| Place::new(10.0 + 10.0 * f64::from(at), 200.0))
            .collect();
        assert_eq!(windows(&shown, PLOT, 2.0).len(), 2);
    }

    /// Places along two sides of a square: the corner between the others stays undrawn.
    #[test]
    fn empty_ground_has_no_sheet() {
        let side = (0..40).map(|at| 14.0 * f64::from(at));
        let shown: Vec<Place> = side
            .clone()
            .map(|x| Place::new(x, 0.0))
            .chain(side.map(|y| Place::new(0.0, y)))
            .collect();
        let windows = windows(&shown, PLOT, 2.0);
        let far = Area::new(540.0, 540.0, 0.0, 0.0);
        assert!(windows.iter().all(|window| !window.contains(&far, 0.0)));
        // Two side by side at the top and one in each row below, not two in each of four rows.
        assert_eq!(windows.len(), 5);
    }
}
