//! From what a report says to frames: items at fixed positions on pages.

mod charts;
mod clean;
mod flow;
mod frame;
mod geometry;
mod labels;
mod one_line;
mod page;
mod plot;
mod riser;
mod table;
mod text;
mod typeface;

pub use frame::{Bookmark, Colour, Frame, Item, Pages, Path, Stroke, TextRun, Tile};
pub use geometry::{Area, Place};
pub use labels::labels;
pub use page::{Foot, PaperSize, Stock};
pub use typeface::{Face, Typeface, Weight};

use crate::content::Section;
use text::Setter;

/// Lays out a report.
#[must_use]
pub fn lay_out(typeface: &Typeface, stock: Stock, sections: &[Section], foot: &Foot) -> Pages {
    let setter = Setter { typeface };
    let mut pages = flow::pour(setter, stock, &clean::sections(typeface, sections));
    page::put_feet(setter, &mut pages.frames, &clean::foot(typeface, foot));
    pages
}
