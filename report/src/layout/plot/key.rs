//! The key beside a drawing: circuits, marks, scale bar, north arrow.

use super::super::frame::{Colour, Frame, Stroke};
use super::super::geometry::{Area, Place};
use super::super::text::{Setter, Style};
use super::super::typeface::{ABOVE, Weight};
use super::arrange::{Scale, Sheet};
use super::tiles::Tiling;
use super::{bands, marks, palette};
use crate::content::{Drawing, Mark, Trench};

/// Height kept for marks, scale and arrow, pt; each surface takes a further step.
const FOOT: f64 = 178.0;
/// Height of the key plan with its number, pt.
const PLAN: f64 = 84.0;
/// Height of one entry, pt.
const STEP: f64 = 11.0;
/// Length of a line sample, pt.
const SAMPLE: f64 = 30.0;
/// Narrowest key, pt: the scale bar must fit.
const NARROWEST: f64 = 118.0;
/// Most columns of circuits beside the whole drawing.
const MOST_COLUMNS: usize = 4;
/// The same beside a part of it, which lists its own circuits only.
const MOST_ON_PART: usize = 2;
/// Longest scale bar, pt.
const BAR: f64 = 96.0;

const STYLE: Style = Style {
    size: 7.5,
    weight: Weight::Regular,
    colour: Colour::INK,
};
const HEADING: Style = Style {
    size: 8.5,
    weight: Weight::Bold,
    colour: Colour::ACCENT,
};
const SMALL: Style = Style {
    size: 6.0,
    weight: Weight::Regular,
    colour: Colour::MUTED,
};

/// What a key says of its sheet beside the signs.
pub struct Beside<'a> {
    /// Labels that found no place.
    pub left_out: Vec<String>,
    /// Circuits listed, ascending.
    pub circuits: Vec<usize>,
    /// The tiling, and which of its windows this sheet is.
    pub plan: Option<(&'a Tiling, usize)>,
}

/// A measured key.
pub struct Key {
    rows: usize,
    /// Circuits that have room.
    places: usize,
    column: f64,
    width: f64,
    height: f64,
}

impl Key {
    /// Finds room for all circuits in columns of the given height.
    pub fn measure(setter: Setter<'_>, drawing: &Drawing, height: f64) -> Self {
        Self::within(setter, drawing, height, MOST_COLUMNS)
    }

    /// The same for the key of a part, which has a key plan too.
    pub fn of_part(setter: Setter<'_>, drawing: &Drawing, height: f64) -> Self {
        Self {
            height,
            ..Self::within(setter, drawing, height - PLAN, MOST_ON_PART)
        }
    }

    fn within(setter: Setter<'_>, drawing: &Drawing, height: f64, most: usize) -> Self {
        let names = drawing.surfaces.iter();
        let surfaces: f64 = names.map(|name| surface_height(setter, name)).sum();
        let rows = (((height - FOOT - surfaces - 14.0) / STEP).floor() as usize).max(1);
        let widest = drawing
            .in_key
            .iter()
            .map(|&circuit| setter.width(&drawing.circuits[circuit], STYLE))
            .fold(0.0, f64::max);
        let column = SAMPLE + 5.0 + widest + 8.0;
        let count = drawing.in_key.len();
        let columns = count.div_ceil(rows).clamp(1, most);
        Self {
            rows,
            places: rows * columns,
            column,
            width: (column * columns as f64).max(NARROWEST),
            height,
        }
    }

    /// Width, pt.
    pub fn width(&self) -> f64 {
        self.width
    }

    /// Puts the key with its top left corner at `at`.
    pub fn put(
        &self,
        setter: Setter<'_>,
        frame: &mut Frame,
        at: Place,
        drawing: &Drawing,
        sheet: &Sheet,
        beside: &Beside<'_>,
    ) {
        setter.put(
            frame,
            at.moved(0.0, ABOVE * HEADING.size),
            match (drawing.names, beside.plan) {
                (false, _) => "Key",
                (true, None) => "Circuits",
                (true, Some(_)) => "Circuits on this sheet",
            },
            HEADING,
        );
        self.put_circuits(setter, frame, at, drawing, &beside.circuits);
        let entries = beside.circuits.len().min(self.rows) as f64;
        let mut y = at.y + 14.0 + STEP * entries + 6.0;
        y = put_surfaces(setter, frame, Place::new(at.x, y), drawing);
        y = put_marks(
            setter,
            frame,
            Place::new(at.x, y),
            drawing,
            sheet.scale.is_some(),
        );
        if let Some((tiling, number)) = beside.plan {
            let area = Area::new(at.x, y + 6.0, self.width, PLAN - 16.0);
            tiling.put_plan(setter, frame, area, number);
            y += PLAN;
        }
        let bottom = at.y + self.height;
        match &sheet.scale {
            Some(scale) => {
                put_north(setter, frame, Place::new(at.x + 10.0, bottom - 52.0));
                put_scale(
                    setter,
                    frame,
                    Place::new(at.x, bottom - 18.0),
                    scale,
                    &drawing.length_unit,
                );
            }
            None => setter.put(
                frame,
                Place::new(at.x, bottom - 6.0),
                "Not to scale",
                HEADING,
            ),
        }
        let note = Area::new(at.x, y + 2.0, self.width, bottom - 92.0 - y);
        put_left_out(setter, frame, note, &beside.left_out);
    }

    fn put_circuits(
        &self,
        setter: Setter<'_>,
        frame: &mut Frame,
        at: Place,
        drawing: &Drawing,
        in_key: &[usize],
    ) {
        let place = |position: usize| {
            at.moved(
                self.column * (position / self.rows) as f64,
                14.0 + STEP * (position % self.rows) as f64 + 0.5 * STEP,
            )
        };
        let baseline = 0.36 * STYLE.size;
        let count = in_key.len();
        // The last place says how many are not listed.
        let listed = if count > self.places {
            self.places - 1
        } else {
            count
        };
        for (position, &circuit) in in_key.iter().take(listed).enumerate() {
            let start = place(position);
            frame.line(
                vec![start, start.moved(SAMPLE, 0.0)],
                palette::stroke(circuit),
            );
            let name = &drawing.circuits[circuit];
            setter.put(frame, start.moved(SAMPLE + 5.0, baseline), name, STYLE);
        }
        let more = count - listed;
        if more > 0 {
            let text = format!("and {more} more");
            setter.put(frame, place(listed).moved(0.0, baseline), &text, STYLE);
        }
    }
}

fn surface_lines(setter: Setter<'_>, name: &str) -> Vec<String> {
    setter.lines(name, STYLE, NARROWEST - SAMPLE - 5.0)
}

fn surface_height(setter: Setter<'_>, name: &str) -> f64 {
    let more = surface_lines(setter, name).len().saturating_sub(1);
    STEP + more as f64 * STYLE.leading()
}

/// Surfaces of the ground opened; returns the y below them.
fn put_surfaces(setter: Setter<'_>, frame: &mut Frame, at: Place, drawing: &Drawing) -> f64 {
    let mut y = at.y;
    let shown = |surface: usize| {
        let mut trenches = drawing.trenches.iter();
        trenches.any(|trench| trench.surface == surface && !trench.circuits.is_empty())
    };
    let surfaces = drawing.surfaces.iter().enumerate();
    for (surface, name) in surfaces.filter(|(surface, _)| shown(*surface)) {
        let middle = y + 0.5 * STEP;
        bands::put_sample(frame, surface, Place::new(at.x, middle), SAMPLE);
        for (line, text) in surface_lines(setter, name).iter().enumerate() {
            let below = middle + 0.36 * STYLE.size + line as f64 * STYLE.leading();
            let place = Place::new(at.x + SAMPLE + 5.0, below);
            setter.put(frame, place, text, STYLE);
        }
        y += surface_height(setter, name);
    }
    y + 5.0
}

/// Signs and their meaning; returns the y below them.
fn put_marks(
    setter: Setter<'_>,
    frame: &mut Frame,
    at: Place,
    drawing: &Drawing,
    to_scale: bool,
) -> f64 {
    let signs = [
        (Mark::Transformer, "transformer"),
        (Mark::Hub, "hub"),
        (Mark::Fixture, "fixture"),
    ];
    let mut y = at.y;
    let baseline = |y: f64| y + 0.5 * STEP + 0.36 * STYLE.size;
    let shown = |mark: Mark| drawing.spots.iter().any(|spot| spot.mark == mark);
    for (mark, meaning) in signs.into_iter().filter(|(mark, _)| shown(*mark)) {
        marks::put(frame, mark, Place::new(at.x + 6.0, y + 0.5 * STEP));
        setter.put(frame, Place::new(at.x + 18.0, baseline(y)), meaning, STYLE);
        y += STEP + 1.5;
    }
    let closed = |trench: &Trench| trench.circuits.is_empty();
    if to_scale && drawing.trenches.iter().any(closed) {
        let middle = y + 0.5 * STEP;
        frame.line(
            vec![Place::new(at.x, middle), Place::new(at.x + 14.0, middle)],
            Stroke::solid(Colour::RULE, 0.6),
        );
        setter.put(
            frame,
            Place::new(at.x + 18.0, baseline(y)),
            "stays closed",
            STYLE,
        );
        y += STEP;
    }
    y
}

/// What had no room, as far as there is room to say it.
fn put_left_out(setter: Setter<'_>, frame: &mut Frame, area: Area, left_out: &[String]) {
    if left_out.is_empty() {
        return;
    }
    let text = format!(
        "No room for {} of the labels: {}",
        left_out.len(),
        left_out.join(", ")
    );
    let most = (area.height / SMALL.leading()).floor().max(1.0) as usize;
    let mut lines = setter.lines(&text, SMALL, area.width - 8.0);
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            last.push('…');
        }
    }
    for (line, text) in lines.iter().enumerate() {
        let y = area.y + ABOVE * SMALL.size + line as f64 * SMALL.leading();
        setter.put(frame, Place::new(area.x, y), text, SMALL);
    }
}

/// An arrow to the north, its middle at `at`.
fn put_north(setter: Setter<'_>, frame: &mut Frame, at: Place) {
    let outline = Some(Stroke::solid(Colour::INK, 0.7));
    let tip = at.moved(0.0, -15.0);
    let notch = at.moved(0.0, 7.0);
    frame.shape(
        vec![tip, at.moved(-6.5, 13.0), notch],
        outline.clone(),
        Some(Colour::INK),
    );
    frame.shape(
        vec![tip, at.moved(6.5, 13.0), notch],
        outline,
        Some(Colour::PAPER),
    );
    setter.put(frame, at.moved(12.0, 3.0), "North", STYLE);
}

/// A scale bar with its left end at `at`.
fn put_scale(setter: Setter<'_>, frame: &mut Frame, at: Place, scale: &Scale, unit: &str) {
    let length = bar_length(BAR / scale.points_per_unit);
    let half = 0.5 * length * scale.points_per_unit;
    let outline = Some(Stroke::solid(Colour::INK, 0.6));
    frame.rectangle(
        Area::new(at.x, at.y, half, 4.0),
        outline.clone(),
        Some(Colour::INK),
    );
    frame.rectangle(
        Area::new(at.x + half, at.y, half, 4.0),
        outline,
        Some(Colour::PAPER),
    );
    let below = at.y + 12.0;
    setter.put(frame, Place::new(at.x, below), "0", STYLE);
    let text = format!("{} {unit}", crate::format::trimmed(length, 3));
    let x = at.x + 2.0 * half - 0.5 * setter.width(&text, STYLE);
    setter.put(frame, Place::new(x, below), &text, STYLE);
    setter.put(
        frame,
        Place::new(at.x, at.y - 5.0),
        &format!("Scale {}", scale.said),
        STYLE,
    );
}

/// The longest round length that is at most `most`.
fn bar_length(most: f64) -> f64 {
    let mut decade = 1.0;
    while decade * 10.0 <= most {
        decade *= 10.0;
    }
    while decade > most {
        decade /= 10.0;
    }
    [5.0, 2.0, 1.0]
        .iter()
        .map(|step| step * decade)
        .find(|&length| length <= most)
        .unwrap_or(decade)
}
