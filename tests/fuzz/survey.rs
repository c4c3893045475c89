//! The readers of a site plan, and small plans with one of everything.

use duskwright_survey::{Faults, Known, PlanText, overrides, read};

/// A plan in metres.
pub const GEOJSON: &str = r#"{"type": "FeatureCollection", "survey": {"units": "m", "ground": "lawn", "bore": "bore"}, "features": [
{"type": "Feature", "id": "F1", "properties": {"is": "fixture", "model": "path-low"}, "geometry": {"type": "Point", "coordinates": [10, 0]}},
{"type": "Feature", "id": "S1", "properties": {"is": "site", "mains_va": 1200, "outlets": 2}, "geometry": {"type": "Point", "coordinates": [0, 0]}},
{"type": "Feature", "id": "house", "properties": {"is": "building"}, "geometry": {"type": "Polygon", "coordinates": [[[2, 1], [8, 1], [8, 6], [2, 6], [2, 1]]]}},
{"type": "Feature", "id": "pool", "properties": {"is": "pool", "priority": 2}, "geometry": {"type": "Polygon", "coordinates": [[[11, 1], [15, 1], [15, 4], [11, 1]]]}},
{"type": "Feature", "id": "drive", "properties": {"is": "drive"}, "geometry": {"type": "MultiPolygon", "coordinates": [[[[-5, 8], [25, 8], [25, 11], [-5, 11], [-5, 8]], [[1, 9], [2, 9], [2, 10], [1, 9]]]]}},
{"type": "Feature", "id": "tube", "properties": {"is": "sleeve", "most_cables": 2}, "geometry": {"type": "LineString", "coordinates": [[3, 7], [3, 12]]}},
{"type": "Feature", "id": "F2", "properties": {"is": "fixture", "model": "path-low", "zone": "front"}, "geometry": {"type": "Point", "coordinates": [4, 14.5]}}
]}"#;

/// A plan in degrees, too small to tell anything apart.
pub const DEGREES: &str = r#"{"type": "FeatureCollection", "features": [
{"type": "Feature", "id": "F1", "properties": {"is": "fixture", "model": "path-low"}, "geometry": {"type": "Point", "coordinates": [8.5001, 47.25]}},
{"type": "Feature", "id": "S1", "properties": {"is": "site", "mains_va": 1200, "outlets": 2}, "geometry": {"type": "Point", "coordinates": [8.5, 47.25]}}
]}"#;

/// Settings that give the layers and blocks of the drawing a meaning.
pub const SETTINGS: &str = "units = \"m\"\nground = \"lawn\"\nbore = \"bore\"\nhand_dig = \"bed\"\n\n[[layers]]\nname = \"BEDS\"\nis = \"bed\"\n\n[[layers]]\nname = \"WALLS\"\nis = \"wall\"\n\n[[layers]]\nname = \"LIGHTS\"\nis = \"fixture\"\nmodel = \"path-low\"\nzone = \"front\"\n\n[[blocks]]\nname = \"TRANSFORMER\"\nis = \"site\"\nmains_va = 1200\noutlets = 2\n";

/// Fixtures in a table.
pub const FIXTURES: &str = "tag,x,y,model,zone,section,rise_m,existing\nF8,3,14,path-low,front,Walk,0.5,no\nF9,9.5,-2,path-low,,,,\n";

/// Hand edits.
pub const OVERRIDES: &str = "what,from,to,length_m,surface,most_cables,note\nmeasured,F1,S1,11,,,taped\nadded,F1,F2,,lawn,3,\nforbidden,n1,n2,,bed,,\n";

/// A drawing: pairs of group code and value.
pub fn drawing() -> String {
    const PAIRS: &str = "0 SECTION|2 HEADER|9 $INSUNITS|70 6|0 ENDSEC|0 SECTION|2 ENTITIES\
        |0 LWPOLYLINE|5 2A|8 BEDS|90 4|70 1|10 2.0|20 1.0|42 0.4|10 8.0|20 1.0|10 8.0|20 6.0|10 2.0|20 6.0\
        |0 LINE|8 WALLS|10 0.0|20 -3.0|11 9.0|21 -3.0|0 LINE|8 WALLS|10 9.0|20 -3.0|11 9.0|21 -6.0\
        |0 POLYLINE|8 BEDS|66 1|70 1|0 VERTEX|8 BEDS|10 12|20 2|0 VERTEX|8 BEDS|10 16|20 2|42 1\
        |0 VERTEX|8 BEDS|10 16|20 5|0 SEQEND\
        |0 CIRCLE|8 BEDS|10 20|20 20|40 2.5|0 POINT|8 LIGHTS|5 F1|10 10|20 0\
        |0 CIRCLE|8 LIGHTS|5 F2|10 4|20 14.5|40 0.1\
        |0 INSERT|2 TRANSFORMER|8 0|66 1|10 0|20 0|0 ATTRIB|8 0|10 0|20 0|1 S1|2 TAG|0 SEQEND\
        |0 ENDSEC|0 EOF";
    PAIRS
        .split('|')
        .map(|pair| pair.trim().replacen(' ', "\n", 1) + "\n")
        .collect()
}

fn said(plan: PlanText<'_>, settings: Option<&[u8]>, fixtures: Option<&[u8]>) -> String {
    let words = |names: &[&str]| -> Vec<String> { names.iter().map(|&n| n.to_owned()).collect() };
    let (surfaces, models) = (
        words(&["lawn", "bed", "bore", "sleeve", "wall"]),
        words(&["path-low"]),
    );
    let zones = words(&["front"]);
    let known = Known {
        surfaces: &surfaces,
        models: &models,
        zones: &zones,
        site_needs: &["mains_va", "outlets"],
        origin: None,
    };
    let settings = settings.map(|bytes| ("survey.toml", bytes));
    let fixtures = fixtures.map(|bytes| ("fixtures.csv", bytes));
    answer(
        read("plan", plan, settings, fixtures, known)
            .map(|(plan, notes)| format!("read {} areas, {notes:?}", plan.areas.len())),
    )
}

fn answer(answer: Result<String, Faults>) -> String {
    answer.unwrap_or_else(|faults| faults.to_string())
}

/// GeoJSON.
pub fn geojson(bytes: &[u8]) -> String {
    said(PlanText::GeoJson(bytes), None, None)
}

/// A drawing.
pub fn dxf(bytes: &[u8]) -> String {
    said(PlanText::Dxf(bytes), Some(SETTINGS.as_bytes()), None)
}

/// Settings.
pub fn settings(bytes: &[u8]) -> String {
    let plan = DEGREES
        .replace("8.5001, 47.25", "9, 1")
        .replace("8.5, 47.25", "1, 1");
    said(PlanText::GeoJson(plan.as_bytes()), Some(bytes), None)
}

/// A table of fixtures.
pub fn fixtures(bytes: &[u8]) -> String {
    said(PlanText::GeoJson(GEOJSON.as_bytes()), None, Some(bytes))
}

/// Hand edits.
pub fn edits(bytes: &[u8]) -> String {
    answer(overrides(("overrides.csv", bytes)).map(|edits| format!("read {:?}", edits.nodes())))
}
