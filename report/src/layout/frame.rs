//! Frames: items at fixed positions on one page. Layout ends here; writing a
//! frame to a file decides nothing any more.

use super::geometry::{Area, Place};
use super::typeface::Weight;
use crate::artwork::Region;
use crate::presentation::Picture;

/// A colour, red, green, blue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour(pub u8, pub u8, pub u8);

impl Colour {
    /// Text and main lines.
    pub const INK: Self = Self(28, 32, 38);
    /// Notes and secondary text.
    pub const MUTED: Self = Self(88, 96, 106);
    /// Hairlines of tables.
    pub const RULE: Self = Self(178, 184, 192);
    /// Ground of headings and sums.
    pub const TINT: Self = Self(236, 239, 243);
    /// Headings: a dusk blue.
    pub const ACCENT: Self = Self(38, 62, 98);
    /// Frame of cautions: amber.
    pub const CAUTION: Self = Self(178, 92, 0);
    /// Ground of cautions.
    pub const CAUTION_TINT: Self = Self(253, 244, 230);
    /// Paper.
    pub const PAPER: Self = Self(255, 255, 255);
}

/// How a line is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// Colour.
    pub colour: Colour,
    /// Width, pt.
    pub width: f64,
    /// Dash, gap, dash, gap …, pt; empty for a solid line.
    pub dash: Vec<f64>,
}

impl Stroke {
    /// A solid line.
    #[must_use]
    pub const fn solid(colour: Colour, width: f64) -> Self {
        Self {
            colour,
            width,
            dash: Vec::new(),
        }
    }
}

/// A run of text on one line.
#[derive(Clone, Debug, PartialEq)]
pub struct TextRun {
    /// Left end of the baseline.
    pub at: Place,
    /// The text, only characters of the typeface.
    pub text: String,
    /// Size, pt.
    pub size: f64,
    /// Weight.
    pub weight: Weight,
    /// Colour.
    pub colour: Colour,
    /// Area that its letters may touch.
    pub area: Area,
}

/// A line or a filled shape.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// Corners.
    pub points: Vec<Place>,
    /// Whether the last corner joins the first.
    pub closed: bool,
    /// Outline.
    pub stroke: Option<Stroke>,
    /// Filling (of a closed path).
    pub fill: Option<Colour>,
}

/// A picture stretched over an area.
#[derive(Clone, Debug, PartialEq)]
pub struct Tile {
    /// Where it stands.
    pub area: Area,
    /// What it shows.
    pub picture: Picture,
}

/// Something at a fixed position.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// Text.
    Text(TextRun),
    /// Line or shape.
    Path(Path),
    /// Picture.
    Tile(Tile),
    /// Region of a logo, in points of the page.
    Region(Region),
}

/// One page.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    /// Width, pt.
    pub width: f64,
    /// Height, pt.
    pub height: f64,
    /// Items, in drawing order.
    pub items: Vec<Item>,
}

impl Frame {
    /// An empty page.
    #[must_use]
    pub const fn new(width: f64, height: f64) -> Self {
        Self {
            width,
            height,
            items: Vec::new(),
        }
    }
    /// The whole page.
    #[must_use]
    pub const fn area(&self) -> Area {
        Area::new(0.0, 0.0, self.width, self.height)
    }
    /// Draws a line through `points`.
    pub fn line(&mut self, points: Vec<Place>, stroke: Stroke) {
        self.items.push(Item::Path(Path {
            points,
            closed: false,
            stroke: Some(stroke),
            fill: None,
        }));
    }
    /// Draws a closed shape.
    pub fn shape(&mut self, points: Vec<Place>, stroke: Option<Stroke>, fill: Option<Colour>) {
        self.items.push(Item::Path(Path {
            points,
            closed: true,
            stroke,
            fill,
        }));
    }
    /// Draws a rectangle.
    pub fn rectangle(&mut self, area: Area, stroke: Option<Stroke>, fill: Option<Colour>) {
        self.shape(area.corners().to_vec(), stroke, fill);
    }
    /// The text runs, in drawing order.
    pub fn texts(&self) -> impl Iterator<Item = &TextRun> {
        self.items.iter().filter_map(|item| match item {
            Item::Text(run) => Some(run),
            Item::Path(_) | Item::Tile(_) | Item::Region(_) => None,
        })
    }
}

/// A named page for the reader's outline.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bookmark {
    /// Name.
    pub title: String,
    /// Page, from 0.
    pub page: usize,
}

/// All pages.
#[derive(Clone, Debug, PartialEq)]
pub struct Pages {
    /// Pages in order.
    pub frames: Vec<Frame>,
    /// Bookmarks in order.
    pub bookmarks: Vec<Bookmark>,
}
