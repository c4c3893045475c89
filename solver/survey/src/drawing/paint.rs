//! Colours and patterns of the drawing.

use crate::overlay::precedence;
use crate::plan::{AreaKind, Barrier, SitePlan};
use crate::survey::Survey;

/// A fixture or site near water.
pub(super) const NEAR_WATER: &str = "#d9480f";
/// A segment across a utility.
pub(super) const UTILITY_CROSSED: &str = "#e03131";
/// Text that stays legible over lines.
pub(super) const HALO: &str =
    "paint-order=\"stroke\" stroke=\"#ffffff\" stroke-opacity=\"0.85\" stroke-width=\"2.5\"";

/// Patterns for areas that are not plain ground.
pub(super) const PATTERNS: &str = "<defs>\
<pattern id=\"keep-out\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
<rect width=\"8\" height=\"8\" fill=\"#efe9dd\"/><path d=\"M0 0V8\" stroke=\"#b9ab8d\" stroke-width=\"2\"/></pattern>\
<pattern id=\"utility\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(-45)\">\
<rect width=\"7\" height=\"7\" fill=\"#fdecec\"/><path d=\"M0 0V7\" stroke=\"#e8a9a9\" stroke-width=\"2\"/></pattern>\
</defs>\n";

/// Tint of an area and colour of a line, a pair for each surface.
const SURFACES: [(&str, &str); 10] = [
    ("#eef4e6", "#4d7c2f"),
    ("#e9dfd2", "#8a5a2b"),
    ("#e6e6ee", "#5a5fa0"),
    ("#f3eccb", "#8d7a16"),
    ("#dcebdc", "#1f6b4f"),
    ("#f0dfe6", "#96406a"),
    ("#dde8ec", "#26718a"),
    ("#ece3f2", "#6f45a0"),
    ("#f6e2d3", "#b0561a"),
    ("#e3e3e3", "#3f3f3f"),
];

/// Which surface has which colour.
pub(super) struct Palette {
    surfaces: Vec<String>,
}

impl Palette {
    /// The surfaces of a survey: those of the plan first, in its order, then those of segments.
    pub(super) fn of(plan: &SitePlan, survey: &Survey) -> Self {
        let areas = plan.areas.iter().filter_map(|area| match &area.kind {
            AreaKind::Utility(surface)
            | AreaKind::BoreOnly(surface)
            | AreaKind::Ground(surface) => Some(surface),
            AreaKind::NoTrench(_) | AreaKind::Boundary => None,
        });
        let lines = plan.lines.iter().map(|line| &line.surface);
        let segments = survey.graph.segments.iter().map(|segment| &segment.surface);
        let mut surfaces: Vec<String> = Vec::new();
        for surface in plan.ground.iter().chain(areas).chain(lines).chain(segments) {
            if !surfaces.contains(surface) {
                surfaces.push(surface.clone());
            }
        }
        Self { surfaces }
    }
    /// All surfaces.
    pub(super) fn surfaces(&self) -> &[String] {
        &self.surfaces
    }
    fn pair(&self, surface: &str) -> (&'static str, &'static str) {
        let place = self.surfaces.iter().position(|known| known == surface);
        SURFACES[place.unwrap_or_default() % SURFACES.len()]
    }
    /// Colour of its ground.
    pub(super) fn tint(&self, surface: &str) -> &'static str {
        self.pair(surface).0
    }
    /// Colour of its segments.
    pub(super) fn line(&self, surface: &str) -> &'static str {
        self.pair(surface).1
    }
    /// Fill and outline of an area.
    pub(super) fn area(&self, kind: &AreaKind) -> (&str, &'static str) {
        match kind {
            AreaKind::NoTrench(Barrier::Building) => {
                ("#c8c2ba", "stroke=\"#4d4842\" stroke-width=\"1.4\"")
            }
            AreaKind::NoTrench(Barrier::Pool | Barrier::Spa | Barrier::Fountain) => {
                ("#b5daf0", "stroke=\"#1c6ea4\" stroke-width=\"1.6\"")
            }
            AreaKind::NoTrench(Barrier::Pond) => {
                ("#cfe5ea", "stroke=\"#5b97a5\" stroke-width=\"1\"")
            }
            AreaKind::NoTrench(Barrier::KeepOut) => {
                ("url(#keep-out)", "stroke=\"#b9ab8d\" stroke-width=\"1\"")
            }
            AreaKind::Utility(_) => ("url(#utility)", "stroke=\"#d98b8b\" stroke-width=\"1\""),
            AreaKind::BoreOnly(_) => ("#d6d6d6", "stroke=\"#8c8c8c\" stroke-width=\"1\""),
            AreaKind::Ground(surface) => (
                self.tint(surface),
                "stroke=\"#b8b3a9\" stroke-width=\"0.7\"",
            ),
            AreaKind::Boundary => (
                "none",
                "stroke=\"#333333\" stroke-width=\"1.5\" stroke-dasharray=\"14 4 3 4\"",
            ),
        }
    }
}

/// The lower, the more it counts where areas overlap.
pub(super) const fn depth(kind: &AreaKind) -> u8 {
    precedence(kind)
}

/// Text for XML 1.0, the characters of markup written out.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            unfit if unfit.is_control() || matches!(unfit, '\u{fffe}' | '\u{ffff}') => {
                out.push(' ')
            }
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_no_markup_and_fits_xml() {
        assert_eq!(escaped("a<b> & \"c\""), "a&lt;b&gt; &amp; &quot;c&quot;");
        assert_eq!(escaped("a\u{1}b\u{ffff}c"), "a b c");
    }
}
