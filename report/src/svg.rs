//! Frames to SVG 1.1: one file a frame, in points. Text stays text; each run says how
//! long it is, so that it keeps its place where the font is another.

use crate::artwork::{Region, Step};
use crate::layout::{Colour, Frame, Item, Path, Place, TextRun, Tile, Typeface, Weight};
use std::fmt::Write as _;

/// Fonts asked for: the papers' own, then what is likely at hand.
const FONTS: &str = "'Noto Sans SemiCondensed','Noto Sans',Arial,sans-serif";

/// Writes a frame. `made`: how, for whoever finds the file alone.
pub fn write(typeface: &Typeface, frame: &Frame, title: &str, made: &str) -> String {
    let (width, height) = (number(frame.width), number(frame.height));
    let mut out = String::new();
    let mut put = |text: std::fmt::Arguments<'_>| {
        let _infallible = out.write_fmt(text);
        out.push('\n');
    };
    put(format_args!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"{width}pt\" height=\"{height}pt\" viewBox=\"0 0 {width} {height}\" font-family=\"{FONTS}\">"
    ));
    put(format_args!("<title>{}</title>", escaped(title)));
    put(format_args!("<metadata>{}</metadata>", escaped(made)));
    put(format_args!(
        "<rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>"
    ));
    for item in &frame.items {
        match item {
            Item::Text(run) => put(format_args!("{}", text(typeface, run))),
            Item::Path(path) => put(format_args!("{}", shape(path))),
            Item::Tile(tile) => put(format_args!("{}", blank(tile))),
            Item::Region(region) => put(format_args!("{}", self::region(region))),
        }
    }
    put(format_args!("</svg>"));
    out
}

/// To the hundredth of a point, without useless zeros.
fn number(value: f64) -> String {
    let text = format!("{:.2}", (value * 100.0).round() / 100.0);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

fn colour(colour: Colour) -> String {
    format!("#{:02x}{:02x}{:02x}", colour.0, colour.1, colour.2)
}

/// Text for XML 1.0; a no-break blank stays one.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            letter if letter.is_control() || matches!(letter, '\u{fffe}' | '\u{ffff}') => {
                out.push('\u{fffd}');
            }
            letter => out.push(letter),
        }
    }
    out
}

fn text(typeface: &Typeface, run: &TextRun) -> String {
    let weight = match run.weight {
        Weight::Regular => "",
        Weight::Bold => " font-weight=\"bold\"",
    };
    let length = typeface.width(&run.text, run.weight, run.size);
    format!(
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{weight} fill=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\">{}</text>",
        number(run.at.x),
        number(run.at.y),
        number(run.size),
        colour(run.colour),
        number(length),
        escaped(&run.text),
    )
}

fn shape(path: &Path) -> String {
    let points: Vec<String> = path
        .points
        .iter()
        .map(|place| format!("{},{}", number(place.x), number(place.y)))
        .collect();
    let name = if path.closed { "polygon" } else { "polyline" };
    let fill = path.fill.map_or_else(|| "none".to_owned(), colour);
    let mut out = format!("<{name} points=\"{}\" fill=\"{fill}\"", points.join(" "));
    if let Some(stroke) = &path.stroke {
        let _infallible = write!(
            out,
            " stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
            colour(stroke.colour),
            number(stroke.width)
        );
        if !stroke.dash.is_empty() {
            let dash: Vec<String> = stroke.dash.iter().map(|&part| number(part)).collect();
            let _infallible = write!(out, " stroke-dasharray=\"{}\"", dash.join(" "));
        }
    }
    out.push_str("/>");
    out
}

fn region(region: &Region) -> String {
    let mut path = String::new();
    for step in &region.outline {
        let at = |place: &Place| format!("{} {}", number(place.x), number(place.y));
        let _infallible = match step {
            Step::Move(to) => write!(path, "M{}", at(to)),
            Step::Line(to) => write!(path, "L{}", at(to)),
            Step::Curve(first, second, end) => {
                write!(path, "C{} {} {}", at(first), at(second), at(end))
            }
        };
    }
    let rule = if region.even_odd {
        "evenodd"
    } else {
        "nonzero"
    };
    let fill = colour(region.fill);
    format!("<path d=\"{path}\" fill=\"{fill}\" fill-rule=\"{rule}\"/>")
}

/// Pictures stand on letterheads only; a drawing shows their frame.
fn blank(tile: &Tile) -> String {
    format!(
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"none\" stroke=\"#b2b8c0\"/>",
        number(tile.area.x),
        number(tile.area.y),
        number(tile.area.width),
        number(tile.area.height),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_text_is_no_markup() {
        assert_eq!(number(12.0), "12");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(1.256), "1.26");
        assert_eq!(escaped("a<b & \"c\""), "a&lt;b &amp; \"c\"");
        assert_eq!(escaped("a\u{1}b\u{ffff}"), "a\u{fffd}b\u{fffd}");
    }
}
