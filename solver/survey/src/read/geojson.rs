//! GeoJSON text (RFC 7946) to features.
//!
//! A property `layer` takes the meaning that the settings give that layer, where the feature
//! says nothing of its own. A member `survey` beside `features` may hold the settings `units`, `ground`, `bore` and
//! `hand_dig`. Only plans that declare `m` or `ft` depart from the longitude and latitude of
//! the standard.

use super::{Feature, Settings, Shape};
use crate::fault::{Code, Fault, Ledger, Place};
use ::geo::Coord;
use geojson::{FeatureCollection, Geometry, GeometryValue, Position, feature::Id};
use std::collections::BTreeMap;

/// Reads all features.
pub(super) fn read(
    name: &str,
    bytes: &[u8],
    settings: &mut Settings,
    ledger: &mut Ledger,
) -> Vec<Feature> {
    let file = Place::file(name);
    let collection: FeatureCollection = match serde_json::from_slice(bytes) {
        Ok(collection) => collection,
        Err(error) => {
            let place = Place {
                line: Some(error.line()),
                ..file
            };
            ledger.add(
                Fault::new(
                    Code::Unreadable,
                    &place,
                    format!("not a GeoJSON feature collection: {error}"),
                )
                .accepted("{\"type\": \"FeatureCollection\", \"features\": [...]} (RFC 7946)"),
            );
            return Vec::new();
        }
    };
    if let Some(declared) = collection
        .foreign_members
        .as_ref()
        .and_then(|all| all.get("survey"))
    {
        for (key, value) in declared.as_object().into_iter().flatten() {
            let word = value
                .as_str()
                .map_or_else(|| value.to_string(), str::to_owned);
            settings.declare(key, &word, &file.field(format!("survey.{key}")), ledger);
        }
    }
    let mut features = Vec::new();
    for (number, feature) in collection.features.into_iter().enumerate() {
        let mut words = BTreeMap::new();
        for (key, value) in feature.properties.into_iter().flatten() {
            let word = match value {
                serde_json::Value::Null => continue,
                serde_json::Value::String(word) => word,
                serde_json::Value::Bool(truth) => (if truth { "yes" } else { "no" }).to_owned(),
                other => other.to_string(),
            };
            words.insert(key, word);
        }
        let layer = words.get("layer").and_then(|layer| {
            let mut known = settings.layers.iter();
            known.find(|(name, _)| name.eq_ignore_ascii_case(layer))
        });
        if let Some((_, meaning)) = layer {
            for (key, word) in meaning.clone() {
                words.entry(key).or_insert(word);
            }
        }
        let id = match feature.id {
            Some(Id::String(id)) => Some(id),
            Some(Id::Number(id)) => Some(id.to_string()),
            None => words.get("tag").cloned(),
        };
        let place = Place {
            feature: Some(number + 1),
            id,
            ..file.clone()
        };
        match feature.geometry {
            Some(geometry) => shapes(geometry, &place, ledger)
                .into_iter()
                .for_each(|shape| {
                    features.push(Feature {
                        place: place.clone(),
                        shape,
                        words: words.clone(),
                    })
                }),
            None => ledger.add(Fault::new(
                Code::LeftOut,
                &place,
                "a feature without geometry was left out",
            )),
        }
    }
    features
}

fn coordinate(position: &Position) -> Coord<f64> {
    let at = |axis: usize| position.as_slice().get(axis).copied().unwrap_or(f64::NAN);
    Coord { x: at(0), y: at(1) }
}

fn course(line: &[Position]) -> Vec<Coord<f64>> {
    line.iter().map(coordinate).collect()
}

fn shapes(geometry: Geometry, place: &Place, ledger: &mut Ledger) -> Vec<Shape> {
    let area =
        |rings: &Vec<Vec<Position>>| Shape::Area(rings.iter().map(|ring| course(ring)).collect());
    match &geometry.value {
        GeometryValue::Point { coordinates } => vec![Shape::Point(coordinate(coordinates))],
        GeometryValue::LineString { coordinates } => vec![Shape::Line(course(coordinates))],
        GeometryValue::MultiLineString { coordinates } => coordinates
            .iter()
            .map(|line| Shape::Line(course(line)))
            .collect(),
        GeometryValue::Polygon { coordinates } => vec![area(coordinates)],
        GeometryValue::MultiPolygon { coordinates } => coordinates.iter().map(area).collect(),
        GeometryValue::MultiPoint { .. } | GeometryValue::GeometryCollection { .. } => {
            ledger.add(
                Fault::new(Code::WrongGeometry, place, "this geometry is not read")
                    .given(geometry.value.type_name())
                    .accepted("Point, LineString, Polygon, MultiLineString, MultiPolygon"),
            );
            Vec::new()
        }
    }
}
