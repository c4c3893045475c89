//! Site drawings: where nodes stand on the sheet, trenches by surface, cables side
//! by side in them, labels that do not collide, the key; further sheets when one is
//! too crowded.

mod arrange;
mod bands;
mod key;
mod labels;
mod marks;
pub mod palette;
mod schematic;
mod strands;
mod tiles;

use super::frame::{Colour, Frame, Item, Stroke};
use super::geometry::{Area, Place};
use super::text::{Setter, Style};
use super::typeface::{ABOVE, Weight};
use crate::content::{Drawing, Mark, Orientation};
use arrange::Sheet;
use key::{Beside, Key};
use labels::{Candidate, Label, Obstacles};
pub use tiles::Stage;
use tiles::Tiling;

/// Blank between the drawing and its key, pt.
const GUTTER: f64 = 8.0;
/// Most labels that one sheet of a scattered drawing should bear.
const MOST_LABELS: usize = 120;
/// Largest share of labels that may stand far from their marks.
const MOST_FAR: f64 = 0.1;
/// Width and height of a sheet's caption in the corner of its plot, pt.
const CAPTION: (f64, f64) = (150.0, 14.0);

const CAPTION_STYLE: Style = Style {
    size: 8.5,
    weight: Weight::Bold,
    colour: Colour::ACCENT,
};

/// The way to lay a sheet that shows a drawing larger; level where both do alike.
/// `stages`: both ways, the level one first.
pub fn larger(setter: Setter<'_>, drawing: &Drawing, stages: [Stage; 2]) -> Orientation {
    let [level, upright] = stages.map(|stage| {
        let key = Key::measure(setter, drawing, stage.area.height);
        let plot = left_by(&key, stage.area);
        let scale = arrange::arrange(drawing, plot).scale;
        scale.map_or(0.0, |scale| scale.points_per_unit)
    });
    let [first, second] = stages;
    if upright > level {
        second.orientation
    } else {
        first.orientation
    }
}

/// What a key at the right of an area leaves to draw on.
fn left_by(key: &Key, area: Area) -> Area {
    let width = area.width - key.width() - GUTTER;
    Area::new(area.x, area.y, width, area.height)
}

/// What is drawn on one sheet.
pub struct Drawn {
    /// How its own sheet lies; `None` for what is drawn in the area given.
    pub turned: Option<Orientation>,
    /// Items at their places.
    pub items: Vec<Item>,
}

/// Draws a drawing into an area and, where its labels need more room, over further
/// sheets of the kinds given; the area then shows the whole without fixture tags and
/// serves as key plan. A drawing that may not be split does without the tags.
pub fn sheets(setter: Setter<'_>, drawing: &Drawing, area: Area, stages: [Stage; 2]) -> Vec<Drawn> {
    let key = Key::measure(setter, drawing, area.height);
    let plot = left_by(&key, area);
    let whole = arrange::arrange(drawing, plot);
    let here = |items: Vec<Item>| Drawn {
        turned: None,
        items,
    };
    let laid = |tags: bool| Laid::new(setter, drawing, whole.clone(), plot, tags);
    let labelled = drawing.spots.iter().filter(|spot| !spot.label.is_empty());
    // Places for hundreds of labels are not looked for where they would not be kept.
    if labelled.count() <= MOST_LABELS {
        let tagged = laid(true);
        if !tagged.crowded() {
            return vec![here(tagged.put(setter, &key, None))];
        }
    }
    if !drawing.splits {
        return vec![here(laid(false).put(setter, &key, None))];
    }
    let Some((tiling, tiles)) = tiled(setter, drawing, &whole, plot, stages) else {
        return vec![here(laid(true).put(setter, &key, None))];
    };
    let overview = laid(false).put(setter, &key, Some((&tiling, None)));
    let own_key = Key::of_part(setter, drawing, tiling.stage.area.height);
    let numbered = tiles.iter().enumerate().map(|(at, tile)| Drawn {
        turned: Some(tiling.stage.orientation),
        items: tile.put(setter, &own_key, Some((&tiling, Some(at)))),
    });
    std::iter::once(here(overview)).chain(numbered).collect()
}

/// The tiling of fewest sheets of which none is crowded, else the one that leaves out
/// fewest labels; `None` when there is no tiling.
fn tiled<'a>(
    setter: Setter<'_>,
    drawing: &'a Drawing,
    whole: &Sheet,
    plot: Area,
    stages: [Stage; 2],
) -> Option<(Tiling, Vec<Laid<'a>>)> {
    let mut best: Option<(usize, Tiling, Vec<Laid<'a>>)> = None;
    let stages = stages.map(|stage| {
        let key = Key::of_part(setter, drawing, stage.area.height);
        (stage, left_by(&key, stage.area))
    });
    let tilings = tiles::tilings(drawing, whole, plot, &stages);
    let finest = tilings.len();
    for (rank, tiling) in tilings.into_iter().enumerate() {
        if rank + 1 < finest && tiling.most_labels(drawing, whole) > MOST_LABELS {
            continue;
        }
        let tiles: Vec<Laid<'_>> = (0..tiling.windows.len())
            .map(|at| Laid::new(setter, drawing, tiling.sheet(whole, at), tiling.plot, true))
            .collect();
        let missing: usize = tiles.iter().map(|tile| tile.left_out().len()).sum();
        let good = missing == 0 && !tiles.iter().any(Laid::crowded);
        // Of equals the finer one, until one is good.
        if best.as_ref().is_none_or(|(least, ..)| missing <= *least) {
            best = Some((missing, tiling, tiles));
        }
        if good {
            break;
        }
    }
    best.map(|(_, tiling, tiles)| (tiling, tiles))
}

/// A drawing at one scale with every label in its place.
struct Laid<'a> {
    drawing: &'a Drawing,
    sheet: Sheet,
    plot: Area,
    bundles: strands::Bundles,
    labels: Vec<Label>,
    placed: Vec<Option<Candidate>>,
}

impl<'a> Laid<'a> {
    fn new(setter: Setter<'_>, drawing: &'a Drawing, sheet: Sheet, plot: Area, tags: bool) -> Self {
        let bundles = strands::bundles(drawing, &sheet).within(&plot);
        let labels = wanted_labels(setter, drawing, &sheet, &bundles, plot, tags);
        let mut marks: Vec<Area> = drawing
            .spots
            .iter()
            .zip(&sheet.places)
            .filter(|(spot, _)| spot.mark != Mark::Bend)
            .filter_map(|(spot, place)| place.map(|place| marks::area(spot.mark, place)))
            .filter(|mark| plot.common(mark) > 0.0)
            .collect();
        marks.push(caption_area(plot));
        let obstacles = Obstacles {
            border: plot.grown(-2.0),
            marks,
            strokes: bundles.strokes(),
        };
        let placed = labels::place(&labels, &obstacles);
        Self {
            drawing,
            sheet,
            plot,
            bundles,
            labels,
            placed,
        }
    }

    /// Whether labels found no place, or are too many or too far off to be read with ease.
    fn crowded(&self) -> bool {
        let far = self.placed.iter().flatten().filter(|at| at.far).count();
        let count = self.labels.len();
        !self.left_out().is_empty()
            || count > MOST_LABELS
            || far as f64 > (MOST_FAR * count as f64).max(2.0)
    }

    /// Labels that found no place.
    fn left_out(&self) -> Vec<String> {
        let all = self.labels.iter().zip(&self.placed);
        all.filter(|(_, at)| at.is_none())
            .map(|(label, _)| label.text.clone())
            .collect()
    }

    /// Draws it; `tile` names the tiling and, on a tile, its number.
    fn put(
        &self,
        setter: Setter<'_>,
        key: &Key,
        tile: Option<(&Tiling, Option<usize>)>,
    ) -> Vec<Item> {
        let mut frame = Frame::new(0.0, 0.0);
        let (drawing, sheet, plot) = (self.drawing, &self.sheet, self.plot);
        frame.rectangle(plot, Some(Stroke::solid(Colour::RULE, 0.6)), None);
        put_closed(&mut frame, drawing, sheet, &plot);
        bands::put(&mut frame, drawing, sheet, &plot);
        for strand in &self.bundles.strands {
            for part in &strand.parts {
                frame.line(part.clone(), palette::stroke(strand.circuit));
            }
        }
        if let Some((tiling, None)) = tile {
            let labels = self.placed.iter().flatten().map(|at| at.area);
            tiling.put_windows(setter, &mut frame, labels.collect());
        }
        self.put_labels(setter, &mut frame);
        if let Some((tiling, at)) = tile {
            let text = tiling.caption(at);
            let corner = caption_area(plot);
            let baseline = corner.y + 1.0 + ABOVE * CAPTION_STYLE.size;
            let place = Place::new(corner.x + 2.0, baseline);
            let ground = setter.area(place, &text, CAPTION_STYLE).grown(1.5);
            frame.rectangle(ground.within(&plot.grown(-0.5)), None, Some(Colour::PAPER));
            setter.put(&mut frame, place, &text, CAPTION_STYLE);
        }
        let place = Place::new(plot.right() + GUTTER, plot.y);
        let plan = tile.and_then(|(tiling, at)| at.map(|at| (tiling, at)));
        let drawn = |circuit: &usize| {
            let mut strands = self.bundles.strands.iter();
            plan.is_none() || strands.any(|strand| strand.circuit == *circuit)
        };
        let beside = Beside {
            left_out: self.left_out(),
            circuits: drawing.in_key.iter().copied().filter(drawn).collect(),
            plan,
        };
        key.put(setter, &mut frame, place, drawing, sheet, &beside);
        frame.items
    }

    fn put_labels(&self, setter: Setter<'_>, frame: &mut Frame) {
        let placed = || {
            let all = self.labels.iter().zip(&self.placed);
            all.filter_map(|(label, at)| at.as_ref().map(|at| (label, at)))
        };
        // Leaders first: a label that stands in the way of one stays readable.
        for (label, at) in placed() {
            labels::put_leader(frame, label, at);
        }
        for (_, at) in placed() {
            labels::put_ground(frame, at);
        }
        for (spot, place) in self.drawing.spots.iter().zip(&self.sheet.places) {
            if let Some(place) = place
                && self.plot.contains(&marks::area(spot.mark, *place), 0.0)
            {
                marks::put(frame, spot.mark, *place);
            }
        }
        for (label, at) in placed() {
            labels::put_text(setter, frame, label, at);
        }
    }
}

fn caption_area(plot: Area) -> Area {
    Area::new(plot.x, plot.y, CAPTION.0.min(plot.width), CAPTION.1)
}

fn put_closed(frame: &mut Frame, drawing: &Drawing, sheet: &Sheet, plot: &Area) {
    if sheet.scale.is_none() {
        return;
    }
    let closed = drawing
        .trenches
        .iter()
        .filter(|one| one.circuits.is_empty());
    for trench in closed {
        if let (Some(a), Some(b)) = (sheet.places[trench.a], sheet.places[trench.b])
            && let Some((a, b)) = plot.clipped(a, b)
        {
            frame.line(vec![a, b], Stroke::solid(Colour::RULE, 0.35));
        }
    }
}

/// Labels of spots inside the plot, then of circuits beside their first trenches.
fn wanted_labels(
    setter: Setter<'_>,
    drawing: &Drawing,
    sheet: &Sheet,
    bundles: &strands::Bundles,
    plot: Area,
    tags: bool,
) -> Vec<Label> {
    let shown = || {
        let spots = drawing.spots.iter().zip(&sheet.places);
        spots.filter_map(|(spot, place)| {
            let place = (*place)?;
            let inside = plot.contains(&Area::new(place.x, place.y, 0.0, 0.0), 0.0);
            let wanted = tags || matches!(spot.mark, Mark::Transformer | Mark::Hub);
            (inside && wanted && !spot.label.is_empty()).then_some((spot, place))
        })
    };
    let size = match shown().count() {
        0..=60 => 7.0,
        61..=140 => 6.2,
        _ => 5.6,
    };
    let mut labels: Vec<Label> = shown()
        .map(|(spot, place)| {
            let reach = marks::radius(spot.mark);
            Label::new(
                setter,
                &spot.label,
                label_style(spot.mark, size),
                place,
                reach,
            )
        })
        .collect();
    if !drawing.names {
        return labels;
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

fn label_style(mark: Mark, size: f64) -> Style {
    match mark {
        Mark::Transformer => Style {
            size: size + 1.2,
            weight: Weight::Bold,
            colour: Colour::INK,
        },
        Mark::Bend => Style {
            size: (size - 0.8).max(5.0),
            weight: Weight::Regular,
            colour: Colour::MUTED,
        },
        Mark::Fixture | Mark::Hub => Style {
            size,
            weight: Weight::Regular,
            colour: Colour::INK,
        },
    }
}
