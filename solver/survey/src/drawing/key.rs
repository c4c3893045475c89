//! The key beside the drawing: surfaces with how much there is of each, signs, scale.

use super::paint::{self, Palette, escaped};
use super::{Drawing, total};
use crate::plan::{AreaKind, Barrier};
use std::fmt::Write;

/// Width of the key, px.
pub(super) const WIDTH_PX: f64 = 400.0;
const ROW_PX: f64 = 24.0;

/// Signs that are always explained.
const SIGNS: usize = 6;

/// Height that the key needs, px.
pub(super) fn height(drawing: &Drawing<'_>, palette: &Palette) -> f64 {
    let rows = palette.surfaces().len() + kinds(drawing).len() + SIGNS + 7;
    rows as f64 * ROW_PX + 60.0
}

/// Kinds of area on the plan with what they mean to a trench.
fn kinds(drawing: &Drawing<'_>) -> Vec<(AreaKind, &'static str)> {
    let words = |kind: &AreaKind| match kind {
        AreaKind::NoTrench(Barrier::Building) => Some("building: no trench"),
        AreaKind::NoTrench(Barrier::Pool | Barrier::Spa | Barrier::Fountain) => {
            Some("pool, spa, fountain: no trench")
        }
        AreaKind::NoTrench(Barrier::Pond) => Some("pond: no trench"),
        AreaKind::NoTrench(Barrier::KeepOut) => Some("keep out: no trench"),
        AreaKind::Utility(_) => Some("buried utility: dug by hand"),
        AreaKind::BoreOnly(_) => Some("crossed by bores only"),
        AreaKind::Boundary => Some("edge of the lot"),
        AreaKind::Ground(_) => None,
    };
    let mut found: Vec<(AreaKind, &'static str)> = Vec::new();
    for area in &drawing.plan.areas {
        if let Some(text) = words(&area.kind)
            && !found.iter().any(|(_, known)| *known == text)
        {
            found.push((area.kind.clone(), text));
        }
    }
    found
}

/// Draws the key with its upper left corner at (`left`, `top`). `scale`: pixels in a metre.
pub(super) fn draw(
    out: &mut String,
    left: f64,
    top: f64,
    scale: f64,
    drawing: &Drawing<'_>,
    palette: &Palette,
) {
    let mut y = top + 40.0;
    let mut row = |out: &mut String, sign: &str, text: &str| {
        let _infallible = writeln!(
            out,
            "<g transform=\"translate({left:.1} {y:.1})\">{sign}<text x=\"46\" y=\"5\" font-size=\"14\">{}</text></g>",
            escaped(text)
        );
        y += ROW_PX;
    };
    let (metres, symbol) = drawing.unit;
    row(out, "", "Possible segments by surface");
    for surface in palette.surfaces() {
        let (count, length) = total(drawing.survey, surface);
        let sign = format!(
            "<rect x=\"0\" y=\"-8\" width=\"36\" height=\"16\" fill=\"{}\"/><path d=\"M0 0H36\" stroke=\"{}\" stroke-width=\"2\"/>",
            palette.tint(surface),
            palette.line(surface)
        );
        let text = format!("{surface}: {count}, {:.0} {symbol}", length / metres);
        row(out, &sign, &text);
    }
    row(out, "", "");
    for (kind, text) in kinds(drawing) {
        let (fill, outline) = palette.area(&kind);
        let sign = format!(
            "<rect x=\"0\" y=\"-8\" width=\"36\" height=\"16\" fill=\"{fill}\" {outline}/>"
        );
        row(out, &sign, text);
    }
    row(out, "", "");
    for (sign, text) in signs(drawing) {
        row(out, &sign, &text);
    }
    let (length, text) = bar(scale, metres, symbol);
    let bar = format!(
        "<path d=\"M0 -6V6M0 0H{length:.1}M{length:.1} -6V6\" stroke=\"#000000\" stroke-width=\"1.5\" fill=\"none\"/>\
         <text x=\"0\" y=\"24\" font-size=\"14\">{text}</text>"
    );
    row(out, "", "");
    row(out, &bar, "");
    if drawing.plan.origin.is_some() {
        row(out, "", "");
        let arrow = "<path d=\"M10 12V-12M4 -4L10 -12L16 -4\" stroke=\"#000000\" stroke-width=\"1.5\" fill=\"none\"/>";
        row(out, arrow, "north");
    }
}

fn signs(drawing: &Drawing<'_>) -> [(String, String); SIGNS] {
    let (metres, symbol) = drawing.unit;
    let text = |text: &str| text.to_owned();
    [
        (
            text("<circle cx=\"18\" cy=\"0\" r=\"4\" fill=\"#1b1b1b\"/>"),
            text("fixture"),
        ),
        (
            text("<rect x=\"12\" y=\"-6\" width=\"12\" height=\"12\" fill=\"#a3341f\"/>"),
            text("place for transformers"),
        ),
        (
            format!(
                "<circle cx=\"18\" cy=\"0\" r=\"8\" fill=\"none\" stroke=\"{}\" stroke-width=\"2\"/>",
                paint::NEAR_WATER
            ),
            format!(
                "within {:.1} {symbol} of water: ask the local code",
                drawing.water_m / metres
            ),
        ),
        (
            text(
                "<path d=\"M0 0H36\" stroke=\"#3f3f3f\" stroke-width=\"1.5\" stroke-dasharray=\"7 4\"/>",
            ),
            text("bore"),
        ),
        (
            text(
                "<path d=\"M0 0H36\" stroke=\"#6b6259\" stroke-width=\"8\" stroke-opacity=\"0.35\"/>",
            ),
            text("sleeve, trench or wall that is there"),
        ),
        (
            format!(
                "<path d=\"M0 0H36\" stroke=\"{}\" stroke-width=\"3.2\"/>",
                paint::UTILITY_CROSSED
            ),
            text("across a buried utility: locate first"),
        ),
    ]
}

/// Length of the scale bar, px, and its text: 1, 2 or 5 times a power of ten.
fn bar(scale: f64, metres: f64, symbol: &str) -> (f64, String) {
    let pixels = scale * metres;
    let mut length = 1.0;
    let mut steps = [2.0, 2.5, 2.0].iter().cycle();
    while length * pixels < 100.0 {
        length *= steps.next().copied().unwrap_or(10.0);
    }
    (length * pixels, format!("{length:.0} {symbol}"))
}
