//! Page templates: paper sizes, margins, the running foot.

use super::frame::{Colour, Frame, Stroke};
use super::geometry::{Area, Place};
use super::text::{Setter, Style};
use super::typeface::{SUBSTITUTE, Weight};
use crate::content::Orientation;

/// Paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PaperSize {
    /// 8.5 x 11 in.
    #[default]
    Letter,
    /// 210 x 297 mm.
    A4,
    /// 11 x 17 in.
    Tabloid,
    /// 297 x 420 mm.
    A3,
}

/// Points in one millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

impl PaperSize {
    /// Width and height upright, pt.
    #[must_use]
    pub fn upright(self) -> (f64, f64) {
        match self {
            Self::Letter => (8.5 * 72.0, 11.0 * 72.0),
            Self::A4 => (210.0 * POINTS_PER_MM, 297.0 * POINTS_PER_MM),
            Self::Tabloid => (11.0 * 72.0, 17.0 * 72.0),
            Self::A3 => (297.0 * POINTS_PER_MM, 420.0 * POINTS_PER_MM),
        }
    }
}

/// The papers of one file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stock {
    /// Of text and tables.
    pub pages: PaperSize,
    /// Of drawings.
    pub sheets: PaperSize,
}

impl Stock {
    /// An empty page.
    #[must_use]
    pub fn page(self, orientation: Orientation) -> Frame {
        let size = match orientation {
            Orientation::Portrait | Orientation::Landscape => self.pages,
            Orientation::Sheet | Orientation::UprightSheet => self.sheets,
        };
        let (short, long) = size.upright();
        match orientation {
            Orientation::Portrait | Orientation::UprightSheet => Frame::new(short, long),
            Orientation::Landscape | Orientation::Sheet => Frame::new(long, short),
        }
    }
}

impl Stock {
    /// Width of the content of a page, pt.
    #[must_use]
    pub fn body_width(self, orientation: Orientation) -> f64 {
        body(&self.page(orientation)).width
    }
}

/// Blank at the left and right, pt.
const MARGIN_X: f64 = 43.0;
/// Blank at the top, pt.
const MARGIN_TOP: f64 = 42.0;
/// Blank at the bottom, pt.
const MARGIN_BOTTOM: f64 = 30.0;
/// Height of the running foot, pt.
const FOOT: f64 = 24.0;

/// Area for the content of a page.
#[must_use]
pub fn body(frame: &Frame) -> Area {
    Area::new(
        MARGIN_X,
        MARGIN_TOP,
        frame.width - 2.0 * MARGIN_X,
        frame.height - MARGIN_TOP - MARGIN_BOTTOM - FOOT,
    )
}

/// Text of the running foot; page numbers are added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Foot {
    /// Name of the job.
    pub job: String,
    /// Program, version, date.
    pub made: String,
    /// Hash of the input.
    pub input: String,
}

/// Puts the running foot on every page.
pub fn put_feet(setter: Setter<'_>, frames: &mut [Frame], foot: &Foot) {
    let count = frames.len();
    for (number, frame) in frames.iter_mut().enumerate() {
        put_foot(
            setter,
            frame,
            foot,
            &format!("Page {} of {count}", number + 1),
        );
    }
}

fn put_foot(setter: Setter<'_>, frame: &mut Frame, foot: &Foot, number: &str) {
    let style = Style {
        size: 7.0,
        weight: Weight::Regular,
        colour: Colour::MUTED,
    };
    let bold = Style {
        weight: Weight::Bold,
        ..style
    };
    let replaced =
        foot.job.contains(SUBSTITUTE) || frame.texts().any(|run| run.text.contains(SUBSTITUTE));
    let body = body(frame);
    let (left, right) = (body.x, body.right());
    let top = frame.height - MARGIN_BOTTOM - FOOT + 8.0;
    frame.line(
        vec![Place::new(left, top), Place::new(right, top)],
        Stroke::solid(Colour::RULE, 0.5),
    );
    let first = top + 9.5;
    let second = first + 9.0;
    let number_width = setter.width(number, bold);
    setter.put(frame, Place::new(right - number_width, first), number, bold);
    let job = shortened(setter, &foot.job, bold, right - left - number_width - 20.0);
    setter.put(frame, Place::new(left, first), &job, bold);
    let mut made = format!("{}   input {}", foot.made, foot.input);
    if replaced {
        made.push_str("   \u{fffd}: a character that the font of this report lacks");
    }
    let made = shortened(setter, &made, style, right - left);
    setter.put(frame, Place::new(left, second), &made, style);
}

/// Text cut with an ellipsis so that it fits; only the running foot and labels may cut,
/// since other pages have the whole.
#[must_use]
pub fn shortened(setter: Setter<'_>, text: &str, style: Style, width: f64) -> String {
    if setter.width(text, style) <= width {
        return text.to_owned();
    }
    let mut kept = text.to_owned();
    while kept.pop().is_some() {
        let candidate = format!("{}…", kept.trim_end());
        if setter.width(&candidate, style) <= width {
            return candidate;
        }
    }
    kept
}
