//! Longitude and latitude to a local plane, feet to metres, and what no site plan spans.

use super::settings::{Settings, Units};
use super::{Feature, Shape};
use crate::fault::{Code, Fault, Ledger, Place};
use ::geo::Coord;

/// WGS 84: semi-major axis, m (NGA.STND.0036).
const SEMI_MAJOR_M: f64 = 6_378_137.0;
/// WGS 84: flattening (NGA.STND.0036).
const FLATTENING: f64 = 1.0 / 298.257_223_563;
/// Nothing on a site is farther than this from its middle, m.
const FARTHEST_M: f64 = 5_000.0;
/// Degrees would have to lie within these; a site in feet or metres seldom does.
const MOST_DEGREES: Coord<f64> = Coord { x: 180.0, y: 90.0 };
/// A site that spans less than this in "feet" or "metres" is more likely in degrees.
const SMALLEST_SPAN: f64 = 0.5;

/// Calls a function with every coordinate of a shape.
fn each(shape: &mut Shape, change: &mut impl FnMut(&mut Coord<f64>)) {
    match shape {
        Shape::Point(at) => change(at),
        Shape::Line(course) => course.iter_mut().for_each(change),
        Shape::Area(rings) => rings.iter_mut().flatten().for_each(change),
    }
}

/// The first coordinate of a shape.
fn first(shape: &Shape) -> Option<Coord<f64>> {
    match shape {
        Shape::Point(at) => Some(*at),
        Shape::Line(course) => course.first().copied(),
        Shape::Area(rings) => rings.first().and_then(|ring| ring.first()).copied(),
    }
}

/// Puts all features on one plane, metres from the middle of the plan (degrees) or from the
/// plan's own origin (plain coordinates). An `earlier` origin on the site is kept, so that
/// coordinates do not change with every feature. Returns the origin of degrees.
pub(super) fn to_plane(
    mut features: Vec<Feature>,
    settings: &Settings,
    earlier: Option<[f64; 2]>,
    name: &str,
    ledger: &mut Ledger,
) -> (Vec<Feature>, Option<[f64; 2]>) {
    let units = settings.units().unwrap_or(Units::Degrees);
    let file = Place::file(name);
    let declared = settings.units.as_ref().map_or(&file, |stated| &stated.1);
    for feature in &mut features {
        let place = feature.place.clone();
        let mut told = false;
        each(&mut feature.shape, &mut |at| {
            let usable = at.x.is_finite()
                && at.y.is_finite()
                && (units != Units::Degrees
                    || (at.x.abs() <= MOST_DEGREES.x && at.y.abs() <= MOST_DEGREES.y));
            if !usable && !told {
                told = true;
                let fault = Fault::new(
                    Code::Coordinate,
                    &place.at([at.x, at.y]),
                    "a coordinate is out of range",
                );
                ledger.add(if units == Units::Degrees {
                    fault
                        .accepted("longitude -180 to 180, latitude -90 to 90, in degrees")
                        .help("declare `units` \"m\" or \"ft\" when the coordinates are plain lengths")
                } else {
                    fault.accepted("finite numbers")
                });
            }
        });
    }
    let Some(middle) = middle(&features) else {
        return (features, None);
    };
    if ledger.check().is_err() {
        return (features, None);
    }
    mixed(&features, units, middle, declared, ledger);
    far_away(&features, units, middle, ledger);
    let on_site = |at: Coord<f64>| {
        let there = local(at, middle);
        there.x.hypot(there.y) <= FARTHEST_M
    };
    let origin = earlier
        .map(|[x, y]| Coord { x, y })
        .filter(|&at| on_site(at))
        .unwrap_or_else(|| rounded_degrees(middle));
    for feature in &mut features {
        each(&mut feature.shape, &mut |at| {
            *at = match units {
                Units::Degrees => local(*at, origin),
                Units::Metres | Units::Feet => *at * units.metres(),
            };
        });
    }
    let stated = (units == Units::Degrees).then_some([origin.x, origin.y]);
    (features, stated)
}

/// To about a metre, so that the origin can be written down in few digits.
fn rounded_degrees(at: Coord<f64>) -> Coord<f64> {
    let round = |value: f64| (value * 1e5).round() / 1e5;
    Coord {
        x: round(at.x),
        y: round(at.y),
    }
}

/// Median of the first coordinates: one stray feature does not move it.
fn middle(features: &[Feature]) -> Option<Coord<f64>> {
    let firsts: Vec<Coord<f64>> = features
        .iter()
        .filter_map(|feature| first(&feature.shape))
        .collect();
    let median = |pick: fn(&Coord<f64>) -> f64| {
        let mut values: Vec<f64> = firsts.iter().map(pick).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied()
    };
    Some(Coord {
        x: median(|at| at.x)?,
        y: median(|at| at.y)?,
    })
}

/// Plain lengths, as `declared` there, all of which look like degrees.
fn mixed(
    features: &[Feature],
    units: Units,
    middle: Coord<f64>,
    declared: &Place,
    ledger: &mut Ledger,
) {
    if units == Units::Degrees {
        return;
    }
    let mut span: f64 = 0.0;
    for feature in features {
        if let Some(at) = first(&feature.shape) {
            span = span
                .max((at.x - middle.x).abs())
                .max((at.y - middle.y).abs());
        }
    }
    if features.len() > 2
        && span < SMALLEST_SPAN
        && middle.x.abs() <= 180.0
        && middle.y.abs() <= 90.0
    {
        ledger.add(
            Fault::new(
                Code::Units,
                declared,
                "the coordinates are declared as lengths but look like degrees",
            )
            .given(format!(
                "everything within {span:.6} of {:.6}, {:.6}",
                middle.x, middle.y
            ))
            .accepted("`units` = \"degrees\", or coordinates that span a site"),
        );
    }
}

fn far_away(features: &[Feature], units: Units, middle: Coord<f64>, ledger: &mut Ledger) {
    for feature in features {
        let mut shape = feature.shape.clone();
        let mut farthest: Option<(f64, Coord<f64>)> = None;
        each(&mut shape, &mut |at| {
            let there = match units {
                Units::Degrees => local(*at, middle),
                Units::Metres | Units::Feet => (*at - middle) * units.metres(),
            };
            let far = there.x.hypot(there.y);
            if far > FARTHEST_M && farthest.is_none_or(|(than, _)| far > than) {
                farthest = Some((far, *at));
            }
        });
        if let Some((far, at)) = farthest {
            ledger.add(
                Fault::new(
                    Code::FarAway,
                    &feature.place.at([at.x, at.y]),
                    format!(
                        "this lies {:.1} km from the middle of the plan",
                        far / 1000.0
                    ),
                )
                .accepted(format!("within {} km", FARTHEST_M / 1000.0))
                .help("swapped coordinates, another unit, or a stray point?"),
            );
        }
    }
}

/// Position on the plane that touches the ellipsoid at `middle`, m east and north of it.
///
/// `x = N cos(lat) dlon`, `y = M dlat + x² tan(lat) / 2N`: the series of the transverse
/// Mercator projection to second order (Snyder, Map Projections, USGS Professional Paper
/// 1395, equations 8-9 and 8-10, leading terms). Below 1e-6 of the distance within 1 km.
fn local(at: Coord<f64>, middle: Coord<f64>) -> Coord<f64> {
    let squared = FLATTENING * (2.0 - FLATTENING);
    let latitude = at.y.to_radians();
    let between = f64::midpoint(at.y, middle.y).to_radians();
    let bend = |latitude: f64| 1.0 - squared * latitude.sin().powi(2);
    let normal = SEMI_MAJOR_M / bend(latitude).sqrt();
    let meridian = SEMI_MAJOR_M * (1.0 - squared) / bend(between).powf(1.5);
    let x = normal * latitude.cos() * (at.x - middle.x).to_radians();
    let y = meridian * (at.y - middle.y).to_radians() + x * x * latitude.tan() / (2.0 * normal);
    Coord { x, y }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ::geo::{Distance, Geodesic, Point};

    /// Against Karney's geodesics, as `geo` has them.
    #[test]
    fn distances_on_the_plane_are_those_on_the_ellipsoid() {
        for middle in [(2.35, 48.85), (-105.2, 39.7), (151.2, -33.9), (20.0, 69.6)] {
            let middle = Coord {
                x: middle.0,
                y: middle.1,
            };
            for step in [(0.004, 0.003), (-0.005, 0.002), (0.0, -0.006), (0.007, 0.0)] {
                let at = middle
                    + Coord {
                        x: step.0,
                        y: step.1,
                    };
                let plane = local(at, middle);
                let exact = Geodesic.distance(Point::from(middle), Point::from(at));
                let ratio = plane.x.hypot(plane.y) / exact;
                assert!((ratio - 1.0).abs() < 1e-6, "{middle:?} {step:?}: {ratio}");
            }
        }
    }
}
