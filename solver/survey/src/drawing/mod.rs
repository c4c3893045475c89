//! A survey as an SVG drawing, to look at before planning: areas, possible segments by
//! surface, fixtures, sites and the names that hand edits use.

mod key;
mod paint;

use crate::edges::distance;
use crate::graph::NodeKind;
use crate::plan::{Area, AreaKind, LineKind, SitePlan};
use crate::survey::Survey;
use geo::{Area as _, Coord, InteriorPoint, LineString};
use paint::{Palette, escaped};
use std::fmt::Write;

/// Longer side of the site on the drawing, px.
const LONGEST_PX: f64 = 1600.0;
/// Blank round the site, px.
const MARGIN_PX: f64 = 30.0;
/// Size of the names of areas, px.
const NAME_PX: f64 = 11.0;
/// Height of the line with the title, px.
const TITLE_PX: f64 = 50.0;

/// What is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Drawing<'a> {
    /// Title.
    pub title: &'a str,
    /// The plan.
    pub plan: &'a SitePlan,
    /// Its survey.
    pub survey: &'a Survey,
    /// Metres in the unit in which lengths are said, and its symbol.
    pub unit: (f64, &'a str),
    /// Fixtures and sites nearer to water than this are marked, m.
    pub water_m: f64,
    /// How it was made, for whoever finds the file alone.
    pub made: &'a str,
}

/// Where the site lies on the paper.
struct Frame {
    west: f64,
    north: f64,
    /// Pixels in a metre.
    scale: f64,
    width: f64,
    height: f64,
}

impl Frame {
    fn of(drawing: &Drawing<'_>) -> Self {
        let plan = drawing.plan;
        let outlines = plan
            .areas
            .iter()
            .flat_map(|area| area.outline.exterior().0.iter());
        let lines = plan.lines.iter().flat_map(|line| line.course.0.iter());
        let nodes = drawing.survey.graph.nodes.iter().map(|node| node.at);
        let (mut low, mut high) = (
            Coord {
                x: f64::INFINITY,
                y: f64::INFINITY,
            },
            Coord {
                x: f64::NEG_INFINITY,
                y: f64::NEG_INFINITY,
            },
        );
        for at in outlines.chain(lines).copied().chain(nodes) {
            low = Coord {
                x: low.x.min(at.x),
                y: low.y.min(at.y),
            };
            high = Coord {
                x: high.x.max(at.x),
                y: high.y.max(at.y),
            };
        }
        let (width, height) = (high.x - low.x, high.y - low.y);
        let scale = LONGEST_PX / width.max(height).max(1.0);
        Self {
            west: low.x,
            north: high.y,
            scale,
            width: width * scale,
            height: height * scale,
        }
    }
    fn x(&self, at: Coord<f64>) -> f64 {
        MARGIN_PX + (at.x - self.west) * self.scale
    }
    fn y(&self, at: Coord<f64>) -> f64 {
        TITLE_PX + MARGIN_PX + (self.north - at.y) * self.scale
    }
    fn path(&self, course: &LineString<f64>) -> String {
        let mut path = String::new();
        for (number, at) in course.0.iter().enumerate() {
            let word = if number == 0 { 'M' } else { 'L' };
            let _infallible = write!(path, "{word}{:.1} {:.1}", self.x(*at), self.y(*at));
        }
        path
    }
}

/// Draws a survey. Deterministic; linear in what is drawn.
#[must_use]
pub fn drawing(drawing: Drawing<'_>) -> String {
    let frame = Frame::of(&drawing);
    let palette = Palette::of(drawing.plan, drawing.survey);
    let site_height = frame.height + 2.0 * MARGIN_PX;
    let width = frame.width + 2.0 * MARGIN_PX + key::WIDTH_PX;
    let height = TITLE_PX + site_height.max(key::height(&drawing, &palette));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.0}\" height=\"{height:.0}\" \
         viewBox=\"0 0 {width:.0} {height:.0}\" font-family=\"Noto Sans, DejaVu Sans, sans-serif\">\n\
         <metadata>{}</metadata>\n\
         <rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n\
         <text x=\"{MARGIN_PX}\" y=\"36\" font-size=\"22\" font-weight=\"bold\">{}</text>\n",
        escaped(drawing.made),
        escaped(drawing.title)
    );
    out.push_str(paint::PATTERNS);
    ground(&mut out, &frame, &drawing, &palette);
    areas(&mut out, &frame, &drawing, &palette);
    segments(&mut out, &frame, &drawing, &palette);
    names_of_areas(&mut out, &frame, drawing.plan);
    nodes(&mut out, &frame, &drawing);
    let left = frame.width + 2.0 * MARGIN_PX;
    key::draw(&mut out, left, TITLE_PX, frame.scale, &drawing, &palette);
    out.push_str("</svg>\n");
    out
}

fn ground(out: &mut String, frame: &Frame, drawing: &Drawing<'_>, palette: &Palette) {
    let fill = drawing
        .plan
        .ground
        .as_deref()
        .map_or("#f4f4f4", |surface| palette.tint(surface));
    let _infallible = writeln!(
        out,
        "<rect x=\"{MARGIN_PX}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"{fill}\"/>",
        TITLE_PX + MARGIN_PX,
        frame.width,
        frame.height
    );
}

/// Areas, those that count where they overlap on top.
fn areas(out: &mut String, frame: &Frame, drawing: &Drawing<'_>, palette: &Palette) {
    let mut order: Vec<&Area> = drawing.plan.areas.iter().collect();
    let size = |area: &Area| area.outline.unsigned_area();
    order.sort_by(|one, two| {
        let priority = |area: &Area| area.priority.unwrap_or(0);
        priority(one)
            .cmp(&priority(two))
            .then(paint::depth(&two.kind).cmp(&paint::depth(&one.kind)))
            .then(size(two).total_cmp(&size(one)))
            .then_with(|| two.id.cmp(&one.id))
    });
    for area in order {
        let (fill, outline) = palette.area(&area.kind);
        let holes = area.outline.interiors().iter();
        let path: String = [area.outline.exterior()]
            .into_iter()
            .chain(holes)
            .map(|ring| frame.path(ring) + "Z")
            .collect();
        let _infallible = writeln!(
            out,
            "<path d=\"{path}\" fill=\"{fill}\" fill-rule=\"evenodd\" {outline}/>"
        );
    }
    for line in &drawing.plan.lines {
        let _infallible = writeln!(
            out,
            "<path d=\"{}\" fill=\"none\" stroke=\"#6b6259\" stroke-width=\"{}\" stroke-opacity=\"0.35\"/>",
            frame.path(&line.course),
            if line.kind == LineKind::Sleeve { 8 } else { 5 }
        );
    }
}

fn segments(out: &mut String, frame: &Frame, drawing: &Drawing<'_>, palette: &Palette) {
    let graph = &drawing.survey.graph;
    for segment in &graph.segments {
        let [a, b] = segment.ends.map(|end| graph.nodes[end].at);
        let dashes = if segment.bored {
            " stroke-dasharray=\"7 4\""
        } else {
            ""
        };
        let mut line = |colour: &str, width: f64, dashes: &str| {
            let _infallible = writeln!(
                out,
                "<path d=\"M{:.1} {:.1}L{:.1} {:.1}\" stroke=\"{colour}\" stroke-width=\"{width}\"{dashes}/>",
                frame.x(a),
                frame.y(a),
                frame.x(b),
                frame.y(b)
            );
        };
        if segment.utility.is_some() {
            line(paint::UTILITY_CROSSED, 3.2, "");
        }
        line(palette.line(&segment.surface), 1.1, dashes);
    }
}

fn names_of_areas(out: &mut String, frame: &Frame, plan: &SitePlan) {
    let mut placed: Vec<(f64, f64, f64)> = Vec::new();
    for area in &plan.areas {
        let named = !area.id.is_empty() && !matches!(area.kind, AreaKind::Boundary);
        let Some(at) = area.outline.interior_point().filter(|_| named) else {
            continue;
        };
        let half = 0.3 * NAME_PX * area.id.chars().count() as f64;
        let (x, mut y) = (frame.x(at.0), frame.y(at.0));
        while placed.iter().any(|&(other, level, width)| {
            (x - other).abs() < half + width && (y - level).abs() < NAME_PX
        }) {
            y += NAME_PX;
        }
        placed.push((x, y, half));
        let _infallible = writeln!(
            out,
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{NAME_PX}\" font-style=\"italic\" text-anchor=\"middle\" fill=\"#5d5852\" {}>{}</text>",
            paint::HALO,
            escaped(&area.id)
        );
    }
}

fn nodes(out: &mut String, frame: &Frame, drawing: &Drawing<'_>) {
    let survey = drawing.survey;
    let mut named = String::new();
    for (number, node) in survey.graph.nodes.iter().enumerate() {
        let (x, y) = (frame.x(node.at), frame.y(node.at));
        let tag = escaped(&survey.tags[number]);
        let near = survey.water_m[number].is_some_and(|far| far < drawing.water_m);
        if near {
            let _infallible = writeln!(
                out,
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"8\" fill=\"none\" stroke=\"{}\" stroke-width=\"2\"/>",
                paint::NEAR_WATER
            );
        }
        let _infallible = match node.kind {
            NodeKind::Fixture(_) => writeln!(
                named,
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3.4\" fill=\"#1b1b1b\"/>\
                 <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"9.5\" {}>{tag}</text>",
                x + 5.0,
                y - 4.0,
                paint::HALO
            ),
            NodeKind::Site(_) => writeln!(
                named,
                "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"12\" height=\"12\" fill=\"#a3341f\"/>\
                 <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"13\" font-weight=\"bold\" {}>{tag}</text>",
                x - 6.0,
                y - 6.0,
                x + 9.0,
                y - 6.0,
                paint::HALO
            ),
            NodeKind::Mouth(_) | NodeKind::Turn => writeln!(
                out,
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"1\" fill=\"#4a4a4a\"/>\
                 <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"{:.1}\" fill=\"#4a4a4a\">{tag}</text>",
                x + 1.5,
                y - 1.0,
                turn_label_px(survey, frame)
            ),
        };
    }
    out.push_str(&named);
}

/// Size of the names of bends and forks: smaller where there are many; for looking closer.
fn turn_label_px(survey: &Survey, frame: &Frame) -> f64 {
    let room = frame.width * frame.height / survey.graph.nodes.len().max(1) as f64;
    (room.sqrt() / 8.0).clamp(2.5, 7.0)
}

/// Sum of the lengths of the segments of a surface, m, and their number.
fn total(survey: &Survey, surface: &str) -> (usize, f64) {
    let own = survey.graph.segments.iter();
    own.filter(|segment| segment.surface == surface)
        .fold((0, 0.0), |(count, sum), segment| {
            let [a, b] = segment.ends.map(|end| survey.graph.nodes[end].at);
            (count + 1, sum + segment.length_m.max(distance(a, b)))
        })
}
