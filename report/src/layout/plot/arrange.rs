//! Where the nodes of a drawing stand on the sheet: to scale when every node has
//! coordinates, else schematic.

use super::super::geometry::{Area, Place};
use super::schematic;
use crate::content::Drawing;

/// Blank kept along the border for labels, pt.
const BLANK: f64 = 30.0;
/// Points per inch.
const INCH: f64 = 72.0;
/// Points per metre of paper.
const METRE: f64 = INCH / 0.0254;
/// Steps of drawing scales in each decade; the first that fits is taken.
const STEPS: [f64; 11] = [1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5, 8.0];

/// Scale of a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale {
    /// Points on paper for one length unit of the job.
    pub points_per_unit: f64,
    metric: bool,
    /// As printed: `1 in = 20 ft`, `1 : 200`.
    pub said: String,
}

impl Scale {
    /// The same scale `zoom` times as large.
    pub fn zoomed(&self, zoom: f64) -> Self {
        Self::of(self.points_per_unit * zoom, self.metric)
    }

    fn of(points_per_unit: f64, metric: bool) -> Self {
        let said = if metric {
            let ratio = METRE / points_per_unit;
            format!("1 : {}", crate::format::trimmed(ratio, 2))
        } else {
            let feet = INCH / points_per_unit;
            format!("1 in = {} ft", crate::format::trimmed(feet, 3))
        };
        Self {
            points_per_unit,
            metric,
            said,
        }
    }

    /// How many units one unit of paper shows.
    fn reduction(&self) -> f64 {
        let one_to_one = if self.metric { METRE } else { INCH };
        one_to_one / self.points_per_unit
    }
}

/// Enlargements worth trying when one sheet is too crowded, smallest first: to
/// standard scales, or by steps where the drawing has none.
pub fn zooms(sheet: &Sheet) -> Vec<f64> {
    let Some(scale) = &sheet.scale else {
        return vec![1.5, 2.0, 3.0, 4.0];
    };
    let reduction = scale.reduction();
    let mut decade = 1e-3;
    let mut zooms = Vec::new();
    while decade <= reduction {
        zooms.extend(STEPS.iter().map(|step| reduction / (step * decade)));
        decade *= 10.0;
    }
    zooms.retain(|zoom| (1.3..=6.0).contains(zoom));
    zooms.sort_by(f64::total_cmp);
    zooms
}

/// Nodes on paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Place of each node; `None` when a schematic drawing leaves it out.
    pub places: Vec<Option<Place>>,
    /// The scale; `None` for a schematic drawing.
    pub scale: Option<Scale>,
}

/// Arranges a drawing in an area.
pub fn arrange(drawing: &Drawing, plot: Area) -> Sheet {
    let inner = plot.grown(-BLANK);
    let known: Option<Vec<(f64, f64)>> = drawing.spots.iter().map(|spot| spot.at).collect();
    match known {
        Some(known) if !known.is_empty() => to_scale(drawing, &known, inner),
        _ => {
            let found = schematic::arrange(drawing);
            let every = vec![true; found.len()];
            let (places, _) = fit(&found, &every, inner, |free| free);
            Sheet {
                places,
                scale: None,
            }
        }
    }
}

fn to_scale(drawing: &Drawing, known: &[(f64, f64)], inner: Area) -> Sheet {
    let metric = drawing.length_unit == "m";
    let found: Vec<Option<(f64, f64)>> = known.iter().copied().map(Some).collect();
    let (places, points_per_unit) = fit(&found, &drawing.shown(), inner, |free| {
        let one_to_one = if metric { METRE } else { INCH };
        one_to_one / standard(one_to_one / free)
    });
    Sheet {
        places,
        scale: Some(Scale::of(points_per_unit, metric)),
    }
}

/// The smallest standard reduction that is at least `least`.
fn standard(least: f64) -> f64 {
    let mut decade = 1.0;
    while decade * 10.0 <= least {
        decade *= 10.0;
    }
    while decade > least {
        decade /= 10.0;
    }
    STEPS
        .iter()
        .map(|step| step * decade)
        .find(|&reduction| reduction >= least * (1.0 - 1e-9))
        .unwrap_or(decade * 10.0)
}

/// Maps found positions (north up) so that the shown ones lie in an area, centred, at
/// the scale that `choose` makes of the largest that fits; others may pass its edge.
fn fit(
    found: &[Option<(f64, f64)>],
    shown: &[bool],
    inner: Area,
    choose: impl Fn(f64) -> f64,
) -> (Vec<Option<Place>>, f64) {
    let mut west = f64::INFINITY;
    let mut south = f64::INFINITY;
    let mut east = f64::NEG_INFINITY;
    let mut north = f64::NEG_INFINITY;
    let seen = found.iter().zip(shown).filter(|(_, shown)| **shown);
    for (x, y) in seen.filter_map(|(spot, _)| *spot) {
        west = west.min(x);
        east = east.max(x);
        south = south.min(y);
        north = north.max(y);
    }
    if west > east {
        return (vec![None; found.len()], 1.0);
    }
    // A single node has no extent; any scale shows it.
    let extent = (east - west).max((north - south).max(1e-6));
    let floor = extent * 1e-6;
    let free =
        (inner.width / (east - west).max(floor)).min(inner.height / (north - south).max(floor));
    let scale = choose(free);
    let middle = inner.centre();
    let places = found
        .iter()
        .map(|spot| {
            spot.map(|(x, y)| {
                Place::new(
                    middle.x + (x - 0.5 * (west + east)) * scale,
                    middle.y - (y - 0.5 * (south + north)) * scale,
                )
            })
        })
        .collect();
    (places, scale)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reductions_are_round_and_large_enough() {
        assert_eq!(standard(17.0), 20.0);
        assert_eq!(standard(20.0), 20.0);
        assert!((standard(0.3) - 0.3).abs() < 1e-12);
        assert_eq!(standard(801.0), 1000.0);
        assert_eq!(standard(51.0), 60.0);
        assert_eq!(standard(126.0), 150.0);
    }
}
