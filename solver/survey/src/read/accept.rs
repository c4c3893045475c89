//! From features with words to the plan: kinds, names and properties checked.

use super::{Feature, Known, Settings, Shape, rings};
use crate::fault::{Code, Fault, Ledger, Place};
use crate::plan::{Area, AreaKind, Barrier, FixturePoint, Line, LineKind, SitePlan, SitePoint};
use std::collections::BTreeMap;

const KINDS: &str = "building, pool, spa, fountain, pond, keep-out, utility, drive, boundary, sleeve, trench, wall, fixture, site, or a surface of the catalogue";

/// Checks every feature.
pub(super) fn plan(
    features: Vec<Feature>,
    settings: &Settings,
    name: &str,
    known: Known<'_>,
    ledger: &mut Ledger,
) -> SitePlan {
    let mut plan = SitePlan::default();
    let file = Place::file(name);
    if let Some(ground) = &settings.ground {
        plan.ground = Some(surface(ground, &file, known, ledger));
    }
    let metres = settings.units().map_or(1.0, super::Units::metres);
    for feature in features {
        let Some(kind) = feature.words.get("is").cloned() else {
            ledger.add(
                Fault::new(
                    Code::KindUnknown,
                    &feature.place,
                    "it does not say what it is",
                )
                .accepted(format!("a property `is`: {KINDS}")),
            );
            continue;
        };
        match (kind.as_str(), &feature.shape) {
            ("fixture" | "site", Shape::Point(at)) => {
                let at = *at;
                point(&mut plan, &kind, feature, at, known, ledger);
            }
            ("sleeve" | "trench" | "wall", Shape::Line(points)) => {
                let points = rings::course(points, &feature.place, ledger);
                line(&mut plan, &kind, &feature, points, known, ledger);
            }
            ("fixture" | "site" | "sleeve" | "trench" | "wall", _) => ledger.add(
                Fault::new(
                    Code::WrongGeometry,
                    &feature.place,
                    format!("a {kind} cannot have this geometry"),
                )
                .accepted("fixture, site: a point; sleeve, trench, wall: a line"),
            ),
            (_, Shape::Area(outline)) => {
                let outline = outline.clone();
                area(
                    &mut plan, &kind, &feature, &outline, settings, known, metres, ledger,
                );
            }
            (_, Shape::Line(points)) => {
                let outline = vec![points.clone()];
                area(
                    &mut plan, &kind, &feature, &outline, settings, known, metres, ledger,
                );
            }
            (_, Shape::Point(_)) => ledger.add(
                Fault::new(
                    Code::WrongGeometry,
                    &feature.place,
                    format!("`{kind}` cannot be a point"),
                )
                .accepted("an area"),
            ),
        }
    }
    unique(&plan, ledger);
    if plan.fixtures.is_empty() || plan.sites.is_empty() {
        ledger.add(Fault::new(
            Code::NothingToConnect,
            &file,
            "a plan needs at least one fixture and one site",
        ));
    }
    plan
}

fn surface(word: &str, place: &Place, known: Known<'_>, ledger: &mut Ledger) -> String {
    if !known.surfaces.iter().any(|surface| surface == word) {
        ledger.add(
            Fault::new(
                Code::SurfaceUnknown,
                place,
                "the catalogue does not list this surface",
            )
            .given(word)
            .accepted(known.surfaces.join(", ")),
        );
    }
    word.to_owned()
}

fn number<T: std::str::FromStr>(feature: &Feature, key: &str, ledger: &mut Ledger) -> Option<T> {
    let word = feature.words.get(key)?;
    let value = word.parse().ok();
    if value.is_none() {
        ledger.add(
            Fault::new(
                Code::Property,
                &feature.place,
                format!("`{key}` is not a number of its kind"),
            )
            .given(word.clone()),
        );
    }
    value
}

/// Vertical length above ground, m.
fn rise(feature: &Feature, ledger: &mut Ledger) -> f64 {
    let metric: Option<f64> = number(feature, "rise_m", ledger);
    let feet: Option<f64> = number(feature, "rise_ft", ledger);
    let rise = metric.or(feet.map(|feet| feet * super::Units::Feet.metres()));
    let rise = rise.unwrap_or(0.0);
    if !(rise.is_finite() && rise >= 0.0) || (metric.is_some() && feet.is_some()) {
        ledger.add(
            Fault::new(Code::Property, &feature.place, "this rise is not usable")
                .given(rise.to_string())
                .accepted("one of `rise_m` and `rise_ft`, 0 or more"),
        );
    }
    rise
}

fn id(feature: &Feature) -> String {
    let named = feature.words.get("tag").or(feature.place.id.as_ref());
    named.cloned().unwrap_or_default()
}

/// An area of a drawing is known by its layer rather than by a number of the drawing program.
fn area_name(feature: &Feature) -> String {
    let drawn = feature.place.layer.clone();
    match feature.words.get("tag") {
        Some(tag) => tag.clone(),
        None => drawn.unwrap_or_else(|| id(feature)),
    }
}

fn point(
    plan: &mut SitePlan,
    kind: &str,
    feature: Feature,
    at: geo::Coord<f64>,
    known: Known<'_>,
    ledger: &mut Ledger,
) {
    let tag = id(&feature);
    if tag.is_empty() {
        ledger.add(
            Fault::new(
                Code::Property,
                &feature.place,
                format!("a {kind} needs a name"),
            )
            .accepted("an id, or a property `tag`"),
        );
        return;
    }
    let rise_m = rise(&feature, ledger);
    if kind == "site" {
        for needed in known.site_needs {
            if !feature.words.contains_key(*needed) {
                let message = format!("a site needs a property `{needed}`");
                ledger.add(
                    Fault::new(Code::Property, &feature.place, message)
                        .accepted(format!("the properties {}", known.site_needs.join(", "))),
                );
            }
        }
        let own = |key: &str| matches!(key, "is" | "tag" | "rise_m" | "rise_ft");
        let columns: BTreeMap<String, String> = feature
            .words
            .into_iter()
            .filter(|(key, _)| !own(key))
            .collect();
        plan.sites.push(SitePoint {
            tag,
            place: feature.place,
            at,
            rise_m,
            columns,
        });
        return;
    }
    let model = feature.words.get("model").cloned().unwrap_or_default();
    if !known.models.contains(&model) {
        ledger.add(
            Fault::new(
                Code::Property,
                &feature.place,
                "the catalogue does not list this fixture model",
            )
            .given(model.clone())
            .accepted(known.models.join(", ")),
        );
    }
    let zone = feature.words.get("zone").cloned();
    if let Some(zone) = zone.as_ref().filter(|zone| !known.zones.contains(zone)) {
        ledger.add(
            Fault::new(
                Code::Property,
                &feature.place,
                "the job's zones.csv does not list this zone",
            )
            .given(zone.clone())
            .accepted(if known.zones.is_empty() {
                "no zone: the job has none".to_owned()
            } else {
                known.zones.join(", ")
            }),
        );
    }
    plan.fixtures.push(FixturePoint {
        tag,
        at,
        model,
        zone,
        section: feature.words.get("section").cloned(),
        rise_m,
        existing: feature
            .words
            .get("existing")
            .is_some_and(|word| word == "yes"),
        place: feature.place,
    });
}

fn line(
    plan: &mut SitePlan,
    kind: &str,
    feature: &Feature,
    points: Vec<geo::Coord<f64>>,
    known: Known<'_>,
    ledger: &mut Ledger,
) {
    if points.len() < 2 {
        ledger.add(Fault::new(
            Code::WrongGeometry,
            &feature.place,
            "a line needs two different points",
        ));
        return;
    }
    let word = feature.words.get("surface").map_or(kind, String::as_str);
    plan.lines.push(Line {
        id: id(feature),
        place: feature.place.clone(),
        kind: if kind == "sleeve" {
            LineKind::Sleeve
        } else {
            LineKind::Follow
        },
        surface: surface(word, &feature.place, known, ledger),
        most_cables: number(feature, "most_cables", ledger),
        course: geo::LineString::new(points),
    });
}

#[expect(
    clippy::too_many_arguments,
    reason = "one feature, what is known of it, and where to say so"
)]
fn area(
    plan: &mut SitePlan,
    kind: &str,
    feature: &Feature,
    outline: &[Vec<geo::Coord<f64>>],
    settings: &Settings,
    known: Known<'_>,
    metres: f64,
    ledger: &mut Ledger,
) {
    let stated = feature.words.get("surface").map(String::as_str);
    let place = &feature.place;
    let kind = match kind {
        "building" => AreaKind::NoTrench(Barrier::Building),
        "pool" => AreaKind::NoTrench(Barrier::Pool),
        "spa" => AreaKind::NoTrench(Barrier::Spa),
        "fountain" => AreaKind::NoTrench(Barrier::Fountain),
        "pond" => AreaKind::NoTrench(Barrier::Pond),
        "keep-out" => AreaKind::NoTrench(Barrier::KeepOut),
        "boundary" => AreaKind::Boundary,
        "utility" => {
            let word = stated
                .or(settings.hand_dig.as_deref())
                .unwrap_or("hand-dig");
            AreaKind::Utility(surface(word, place, known, ledger))
        }
        "drive" => {
            let word = stated.or(settings.bore.as_deref()).unwrap_or("bore");
            AreaKind::BoreOnly(surface(word, place, known, ledger))
        }
        word if known.surfaces.iter().any(|surface| surface == word) => {
            AreaKind::Ground(word.to_owned())
        }
        word => {
            ledger.add(
                Fault::new(Code::KindUnknown, place, "this kind is not known")
                    .given(word)
                    .accepted(KINDS),
            );
            return;
        }
    };
    if let Some(outline) = rings::polygon(outline, place, metres, ledger) {
        let priority = number(feature, "priority", ledger);
        plan.areas.push(Area {
            id: area_name(feature),
            place: place.clone(),
            kind,
            priority,
            outline,
        });
    }
}

fn unique(plan: &SitePlan, ledger: &mut Ledger) {
    let fixtures = plan
        .fixtures
        .iter()
        .map(|item| (&item.tag, &item.place, item.at));
    let sites = plan
        .sites
        .iter()
        .map(|item| (&item.tag, &item.place, item.at));
    let mut tags = BTreeMap::new();
    let mut places: BTreeMap<[i64; 2], &String> = BTreeMap::new();
    for (tag, place, at) in fixtures.chain(sites) {
        if tags.insert(tag, place).is_some() {
            ledger.add(Fault::new(
                Code::TagTwice,
                place,
                format!("the name `{tag}` is given twice"),
            ));
        }
        let cell = [
            (at.x * 1000.0).round() as i64,
            (at.y * 1000.0).round() as i64,
        ];
        if let Some(other) = places.insert(cell, tag) {
            ledger.add(Fault::new(
                Code::SamePlace,
                place,
                format!("`{tag}` stands where `{other}` stands"),
            ));
        }
    }
}
