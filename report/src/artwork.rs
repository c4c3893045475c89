//! A logo drawn in lines: SVG paths turned into regions of one plain colour each.
//!
//! Lines with a width become regions too, so that whoever writes a file knows only
//! how to fill. What cannot be said so (text, gradients, pictures, masks, filters) is
//! refused by name: a logo that looks otherwise than its owner drew it is worse
//! than none.

mod numbers;

use crate::error::ReportError;
use crate::layout::{Colour, Place};
use std::sync::Arc;
use usvg::tiny_skia_path::{Path, PathSegment, StrokeDash, Transform};
use usvg::{BlendMode, FillRule, Group, Node, Options, Paint, PaintOrder, Rect, Tree, roxmltree};

/// Most steps of all outlines: more would swell the file for nothing on a letterhead.
const MOST_STEPS: usize = 50_000;
/// Share of its larger side by which a drawing may pass its own edge (a line's half width).
const OVER_EDGE: f32 = 0.02;
/// Accuracy of the outlines of lines, as a factor on that of one pixel a unit.
const LINE_ACCURACY: f32 = 4.0;

/// Elements whose look would be lost, with the way out.
const REFUSED: [(&str, &str); 4] = [
    ("text", "turn text into paths before saving it"),
    ("image", "use the PNG instead, or draw it as paths"),
    ("foreignObject", "draw it as paths"),
    ("style", "write colours on the shapes instead of @import"),
];

/// One step of an outline, in units of the drawing or points of a page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// Starts a ring.
    Move(Place),
    /// Straight on.
    Line(Place),
    /// A cubic curve: two handles, then its end.
    Curve(Place, Place, Place),
}

impl Step {
    /// The places it names, handles first.
    pub fn places(&self) -> impl Iterator<Item = Place> + use<> {
        let named = match *self {
            Self::Move(at) | Self::Line(at) => [Some(at), None, None],
            Self::Curve(first, second, end) => [Some(first), Some(second), Some(end)],
        };
        named.into_iter().flatten()
    }
    /// The same step with every place moved by a rule.
    pub(crate) fn map(self, to: impl Fn(Place) -> Place) -> Self {
        match self {
            Self::Move(at) => Self::Move(to(at)),
            Self::Line(at) => Self::Line(to(at)),
            Self::Curve(first, second, end) => Self::Curve(to(first), to(second), to(end)),
        }
    }
}

/// A region of one colour, its rings closed.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// Its rings, each from one [`Step::Move`] to the next.
    pub outline: Vec<Step>,
    /// Whether rings inside rings are holes whichever way they run.
    pub even_odd: bool,
    /// Its colour.
    pub fill: Colour,
}

/// A drawing of plain regions, the first at the bottom.
#[derive(Clone, Debug, PartialEq)]
pub struct Artwork {
    width: f64,
    height: f64,
    regions: Arc<[Region]>,
}

impl Artwork {
    /// Reads an SVG. What is translucent is mixed with white paper.
    ///
    /// # Errors
    /// [`ReportError::Picture`] when it is no SVG, shows nothing, or shows something that is
    /// no path of one colour; the reason names it.
    pub fn from_svg(bytes: &[u8]) -> Result<Self, ReportError> {
        read(bytes).map_err(|reason| ReportError::Picture { reason })
    }
    /// Width, > 0, in the drawing's own unit.
    #[must_use]
    pub const fn width(&self) -> f64 {
        self.width
    }
    /// Height, > 0, in the same unit.
    #[must_use]
    pub const fn height(&self) -> f64 {
        self.height
    }
    /// The regions, the first at the bottom.
    #[must_use]
    pub fn regions(&self) -> &[Region] {
        &self.regions
    }
}

fn read(bytes: &[u8]) -> Result<Artwork, String> {
    let text = std::str::from_utf8(bytes).map_err(|_| "it is not UTF-8 text".to_owned())?;
    // A document type is allowed, as drawing programs write one; the reader bounds its entities.
    let form = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..roxmltree::ParsingOptions::default()
    };
    let document = roxmltree::Document::parse_with_options(text, form)
        .map_err(|error| format!("it is not XML: {error}"))?;
    refuse_elements(&document)?;
    numbers::refuse_large(&document)?;
    let tree = Tree::from_xmltree(&document, &Options::default())
        .map_err(|error| format!("it is no SVG: {error}"))?;
    let mut gathered = Gathered::default();
    gathered.group(tree.root(), 1.0)?;
    let (width, height) = (tree.size().width(), tree.size().height());
    let over = OVER_EDGE * width.max(height);
    let inside = |area: &Rect| {
        area.left() >= -over
            && area.top() >= -over
            && area.right() <= width + over
            && area.bottom() <= height + over
    };
    if gathered.regions.is_empty() {
        return Err("it shows nothing".to_owned());
    }
    if !gathered.areas.iter().all(inside) {
        return Err("parts of it lie outside its own view box; crop it to what is seen".to_owned());
    }
    Ok(Artwork {
        width: f64::from(width),
        height: f64::from(height),
        regions: gathered.regions.into(),
    })
}

fn refuse_elements(document: &roxmltree::Document<'_>) -> Result<(), String> {
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        let name = node.tag_name().name();
        let found = REFUSED.iter().find(|(refused, _)| *refused == name);
        let harmless = name == "style" && !node.text().unwrap_or_default().contains("@import");
        if let Some((name, way_out)) = found.filter(|_| !harmless) {
            let row = document.text_pos_at(node.range().start).row;
            return Err(format!("line {row}: <{name}> cannot be shown; {way_out}"));
        }
    }
    Ok(())
}

#[derive(Default)]
struct Gathered {
    regions: Vec<Region>,
    /// Extent of each region.
    areas: Vec<Rect>,
    steps: usize,
}

impl Gathered {
    fn group(&mut self, group: &Group, opacity: f32) -> Result<(), String> {
        let refused = |what: &str| Err(format!("{what} cannot be shown; use plain colours"));
        if group.mask().is_some() {
            return refused("a mask");
        }
        if !group.filters().is_empty() {
            return refused("a filter");
        }
        if group.blend_mode() != BlendMode::Normal {
            return refused("a blend mode");
        }
        if let Some(clip) = group.clip_path()
            && !spares(clip, group)
        {
            return Err("a clip path cuts something off; crop the shapes themselves".to_owned());
        }
        let opacity = opacity * group.opacity().get();
        for node in group.children() {
            match node {
                Node::Group(group) => self.group(group, opacity)?,
                Node::Path(path) if path.is_visible() => self.path(path, opacity)?,
                Node::Path(_) => {}
                Node::Image(_) => return refused("a picture"),
                Node::Text(_) => return refused("text"),
            }
        }
        Ok(())
    }

    fn path(&mut self, path: &usvg::Path, opacity: f32) -> Result<(), String> {
        let inner = |this: &mut Self| -> Result<(), String> {
            let Some(fill) = path.fill() else {
                return Ok(());
            };
            let opacity = opacity * fill.opacity().get();
            let outline = path.data().clone();
            let even_odd = fill.rule() == FillRule::EvenOdd;
            this.region(
                outline,
                path.abs_transform(),
                fill.paint(),
                opacity,
                even_odd,
            )
        };
        let line = |this: &mut Self| -> Result<(), String> {
            let Some(stroke) = path.stroke() else {
                return Ok(());
            };
            if dashes(path.data(), stroke) > MOST_STEPS as f64 {
                return Err(too_many_steps());
            }
            let Some(outline) = stroked(path.data(), stroke) else {
                return Ok(());
            };
            let opacity = opacity * stroke.opacity().get();
            this.region(
                outline,
                path.abs_transform(),
                stroke.paint(),
                opacity,
                false,
            )
        };
        match path.paint_order() {
            PaintOrder::FillAndStroke => inner(self).and_then(|()| line(self)),
            PaintOrder::StrokeAndFill => line(self).and_then(|()| inner(self)),
        }
    }

    fn region(
        &mut self,
        outline: Path,
        transform: Transform,
        paint: &Paint,
        opacity: f32,
        even_odd: bool,
    ) -> Result<(), String> {
        let Paint::Color(colour) = paint else {
            return Err("a gradient or pattern cannot be shown; use plain colours".to_owned());
        };
        let Some(outline) = outline.transform(transform) else {
            return Ok(());
        };
        let area = outline.bounds();
        let meets = |other: &&Rect| {
            other.left() < area.right()
                && area.left() < other.right()
                && other.top() < area.bottom()
                && area.top() < other.bottom()
        };
        if opacity < 1.0 && self.areas.iter().any(|other| meets(&other)) {
            return Err(
                "something translucent lies over something else; use plain colours".to_owned(),
            );
        }
        let outline = steps(&outline);
        self.steps += outline.len();
        if self.steps > MOST_STEPS {
            return Err(too_many_steps());
        }
        self.areas.push(area);
        self.regions.push(Region {
            outline,
            even_odd,
            fill: on_paper(*colour, opacity),
        });
        Ok(())
    }
}

fn too_many_steps() -> String {
    format!("its outlines have more than {MOST_STEPS} steps; simplify them or use a PNG")
}

/// Dashes of a line at most, 0 where it has none: each is an outline.
fn dashes(path: &Path, stroke: &usvg::Stroke) -> f64 {
    let Some(parts) = stroke.dasharray() else {
        return 0.0;
    };
    let period: f64 = parts.iter().map(|&part| f64::from(part)).sum();
    // No curve is longer than the way along its handles.
    let way: f64 = path
        .points()
        .windows(2)
        .map(|ends| f64::from(ends[0].distance(ends[1])))
        .sum();
    parts.len() as f64 * way / period
}

/// The outline of a line with its dashes, caps and joins; `None` when nothing is seen of it.
fn stroked(path: &Path, stroke: &usvg::Stroke) -> Option<Path> {
    let plain = stroke.to_tiny_skia();
    let dash = stroke
        .dasharray()
        .and_then(|parts| StrokeDash::new(parts.to_vec(), stroke.dashoffset()));
    match dash {
        Some(dash) => path
            .dash(&dash, LINE_ACCURACY)?
            .stroke(&plain, LINE_ACCURACY),
        None => path.stroke(&plain, LINE_ACCURACY),
    }
}

/// Whether a clip path is one rectangle that holds all of its group: drawing programs
/// wrap whole drawings so.
fn spares(clip: &usvg::ClipPath, group: &Group) -> bool {
    if clip.clip_path().is_some() {
        return false;
    }
    let [Node::Path(path)] = clip.root().children() else {
        return false;
    };
    // A clip path stands in the coordinates of its group.
    let transform = group
        .abs_transform()
        .pre_concat(clip.transform())
        .pre_concat(path.abs_transform());
    let Some(outline) = path.data().clone().transform(transform) else {
        return false;
    };
    let held = group.abs_stroke_bounding_box();
    let area = outline.bounds();
    let near = 0.01 * held.width().max(held.height());
    is_upright_rectangle(&outline)
        && area.left() <= held.left() + near
        && area.top() <= held.top() + near
        && area.right() >= held.right() - near
        && area.bottom() >= held.bottom() - near
}

fn is_upright_rectangle(outline: &Path) -> bool {
    let area = outline.bounds();
    let on_corner = |x: f32, y: f32| {
        let near =
            |one: f32, other: f32| (one - other).abs() <= 1e-3 * area.width().max(area.height());
        (near(x, area.left()) || near(x, area.right()))
            && (near(y, area.top()) || near(y, area.bottom()))
    };
    let mut corners = 0;
    let straight = outline.segments().all(|segment| match segment {
        PathSegment::MoveTo(at) | PathSegment::LineTo(at) => {
            corners += 1;
            on_corner(at.x, at.y)
        }
        PathSegment::Close => true,
        PathSegment::QuadTo(..) | PathSegment::CubicTo(..) => false,
    });
    straight && (4..=5).contains(&corners)
}

fn steps(outline: &Path) -> Vec<Step> {
    let place = |x: f32, y: f32| Place::new(f64::from(x), f64::from(y));
    let mut steps = Vec::with_capacity(outline.len());
    let mut last = Place::default();
    for segment in outline.segments() {
        match segment {
            PathSegment::MoveTo(at) => {
                last = place(at.x, at.y);
                steps.push(Step::Move(last));
            }
            PathSegment::LineTo(at) => {
                last = place(at.x, at.y);
                steps.push(Step::Line(last));
            }
            PathSegment::QuadTo(handle, end) => {
                // The cubic of the same curve: handles two thirds of the way.
                let (handle, end) = (place(handle.x, handle.y), place(end.x, end.y));
                let toward = |from: Place| {
                    from.moved(
                        (handle.x - from.x) * 2.0 / 3.0,
                        (handle.y - from.y) * 2.0 / 3.0,
                    )
                };
                steps.push(Step::Curve(toward(last), toward(end), end));
                last = end;
            }
            PathSegment::CubicTo(first, second, end) => {
                last = place(end.x, end.y);
                steps.push(Step::Curve(
                    place(first.x, first.y),
                    place(second.x, second.y),
                    last,
                ));
            }
            PathSegment::Close => {}
        }
    }
    steps
}

fn on_paper(colour: usvg::Color, opacity: f32) -> Colour {
    let over = |part: u8| {
        let mixed = f32::from(part) * opacity + 255.0 * (1.0 - opacity);
        mixed.round().clamp(0.0, 255.0) as u8
    };
    Colour(over(colour.red), over(colour.green), over(colour.blue))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn svg(body: &str) -> String {
        format!("<svg xmlns='http://www.w3.org/2000/svg' width='40' height='20'>{body}</svg>")
    }

    fn refusal(body: &str) -> String {
        Artwork::from_svg(svg(body).as_bytes())
            .unwrap_err()
            .to_string()
    }

    #[test]
    fn shapes_and_lines_become_regions_in_their_order() {
        let art = Artwork::from_svg(
            svg("<rect width='10' height='20' fill='#102030'/><g transform='translate(20 0)'><path d='M0 5 H10' fill='none' stroke='red' stroke-width='2'/></g>")
                .as_bytes(),
        )
        .unwrap();
        assert_eq!((art.width(), art.height()), (40.0, 20.0));
        let fills: Vec<Colour> = art.regions().iter().map(|region| region.fill).collect();
        assert_eq!(fills, [Colour(16, 32, 48), Colour(255, 0, 0)]);
        // The line from (20, 5) to (30, 5), 2 wide, covers y from 4 to 6.
        for step in &art.regions()[1].outline {
            for at in step.places() {
                assert!(
                    (20.0..=30.0).contains(&at.x) && (4.0..=6.0).contains(&at.y),
                    "{at:?}"
                );
            }
        }
    }

    #[test]
    fn what_is_translucent_is_mixed_with_paper_and_refused_over_other_shapes() {
        let art = Artwork::from_svg(
            svg("<rect width='9' height='9' fill='#000' opacity='.5'/>").as_bytes(),
        );
        assert_eq!(art.unwrap().regions()[0].fill, Colour(128, 128, 128));
        let over =
            "<rect width='9' height='9'/><rect width='5' height='5' fill='red' opacity='.5'/>";
        assert!(refusal(over).contains("translucent"));
    }

    #[test]
    fn a_clip_of_the_whole_drawing_is_no_matter_and_one_that_cuts_is() {
        let clip = |width: u32| {
            format!(
                "<defs><clipPath id='c'><rect width='{width}' height='20'/></clipPath></defs><g clip-path='url(#c)'><circle cx='10' cy='10' r='8'/></g>"
            )
        };
        assert!(Artwork::from_svg(svg(&clip(40)).as_bytes()).is_ok());
        assert!(refusal(&clip(12)).contains("cuts something off"));
    }

    #[test]
    fn what_would_take_long_to_outline_is_refused_before() {
        let arc = |x: &str| format!("<path d='M{x} 16 A10 10 0 0 1 9 16 Z'/>");
        for x in [
            "99999999999999999999999999999992",
            "1e30",
            "2E+12",
            "-1.5e07",
        ] {
            let said = refusal(&arc(x));
            assert!(said.contains("line 1: `d` has a number"), "{x}: {said}");
        }
        let dashed = refusal(
            "<path d='M0 5 H40' stroke='red' stroke-dasharray='0.00001 0.00001' fill='none'/>",
        );
        assert!(dashed.contains("more than 50000 steps"), "{dashed}");
    }

    #[test]
    fn what_would_look_otherwise_is_refused_by_name() {
        for (body, words) in [
            (
                "<text>A</text>",
                "line 1: <text> cannot be shown; turn text into paths",
            ),
            ("<image href='a.png' width='4' height='4'/>", "<image>"),
            (
                "<linearGradient id='g'><stop stop-color='red'/><stop offset='1' stop-color='blue'/></linearGradient><rect width='9' height='9' fill='url(#g)'/>",
                "gradient",
            ),
            ("", "shows nothing"),
            (
                "<rect x='30' width='30' height='9'/>",
                "outside its own view box",
            ),
        ] {
            let said = refusal(body);
            assert!(said.starts_with("R005: ") && said.contains(words), "{said}");
        }
        let no_svg = Artwork::from_svg(b"\x89PNG").unwrap_err().to_string();
        assert!(no_svg.contains("UTF-8"), "{no_svg}");
    }
}
