//! Site drawings: where nodes stand on the sheet, cables side by side in their
//! trenches, labels that do not collide, the key.

mod arrange;
mod key;
mod labels;
mod marks;
pub mod palette;
mod schematic;
mod strands;

use super::frame::{Colour, Frame, Stroke};
use super::geometry::{Area, Place};
use super::text::{Setter, Style};
use super::typeface::Weight;
use crate::content::{Drawing, Mark};
use arrange::Sheet;
use labels::{Label, Obstacles};

/// Blank between the drawing and its key, pt.
const GUTTER: f64 = 8.0;

/// Puts a drawing with its key into an area of a page.
pub fn put(setter: Setter<'_>, frame: &mut Frame, area: Area, drawing: &Drawing) {
    let key = key::Key::measure(setter, drawing, area.height);
    let plot = Area::new(
        area.x,
        area.y,
        area.width - key.width() - GUTTER,
        area.height,
    );
    let sheet = arrange::arrange(drawing, plot);
    frame.rectangle(plot, Some(Stroke::solid(Colour::RULE, 0.6)), None);
    put_closed(frame, drawing, &sheet);
    let bundles = strands::bundles(drawing, &sheet);
    for strand in &bundles.strands {
        for part in &strand.parts {
            frame.line(part.clone(), palette::stroke(strand.circuit));
        }
    }
    let labels = wanted_labels(setter, drawing, &sheet, &bundles);
    let obstacles = Obstacles {
        border: plot.grown(-2.0),
        marks: drawing
            .spots
            .iter()
            .zip(&sheet.places)
            .filter(|(spot, _)| spot.mark != Mark::Bend)
            .filter_map(|(spot, place)| place.map(|place| marks::area(spot.mark, place)))
            .collect(),
        strokes: bundles.strokes(),
    };
    let placed = labels::place(&labels, &obstacles);
    let mut left_out = Vec::new();
    // Leaders first: a label that stands in the way of one stays readable.
    for (label, at) in labels.iter().zip(&placed) {
        match at {
            Some(at) => labels::put_leader(frame, label, at),
            None => left_out.push(label.text.clone()),
        }
    }
    for at in placed.iter().flatten() {
        labels::put_ground(frame, at);
    }
    for (spot, place) in drawing.spots.iter().zip(&sheet.places) {
        if let Some(place) = place {
            marks::put(frame, spot.mark, *place);
        }
    }
    for (label, at) in labels.iter().zip(&placed) {
        if let Some(at) = at {
            labels::put_text(setter, frame, label, at);
        }
    }
    let place = Place::new(plot.right() + GUTTER, area.y);
    key.put(setter, frame, place, drawing, &sheet, &left_out);
}

fn put_closed(frame: &mut Frame, drawing: &Drawing, sheet: &Sheet) {
    if sheet.scale.is_none() {
        return;
    }
    for trench in drawing
        .trenches
        .iter()
        .filter(|one| one.circuits.is_empty())
    {
        if let (Some(a), Some(b)) = (sheet.places[trench.a], sheet.places[trench.b]) {
            frame.line(vec![a, b], Stroke::solid(Colour::RULE, 0.35));
        }
    }
}

/// Labels of spots, then of circuits beside their first trenches.
fn wanted_labels(
    setter: Setter<'_>,
    drawing: &Drawing,
    sheet: &Sheet,
    bundles: &strands::Bundles,
) -> Vec<Label> {
    let tags = drawing
        .spots
        .iter()
        .filter(|spot| !spot.label.is_empty())
        .count();
    let size = match tags {
        0..=60 => 7.0,
        61..=140 => 6.2,
        141..=260 => 5.4,
        _ => 4.8,
    };
    let mut labels = Vec::new();
    for (spot, place) in drawing.spots.iter().zip(&sheet.places) {
        let (Some(place), false) = (place, spot.label.is_empty()) else {
            continue;
        };
        let strong = spot.mark == Mark::Transformer;
        let style = Style {
            size: if strong { size + 1.2 } else { size },
            weight: if strong {
                Weight::Bold
            } else {
                Weight::Regular
            },
            colour: Colour::INK,
        };
        labels.push(Label::new(
            setter,
            &spot.label,
            style,
            *place,
            marks::radius(spot.mark),
        ));
    }
    for (circuit, place) in bundles.name_places() {
        let style = Style {
            size: size + 0.3,
            weight: Weight::Bold,
            colour: palette::colour(circuit),
        };
        labels.push(Label::new(
            setter,
            &drawing.circuits[circuit],
            style,
            place,
            1.5,
        ));
    }
    labels
}
