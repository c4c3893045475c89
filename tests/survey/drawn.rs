//! A DXF drawing, written by a library of its own and read by layers and blocks.

use crate::texts::{Given, plan, survey};
use duskwright_survey::plan::{AreaKind, Barrier, LineKind};
use duskwright_survey::{Code, NodeKind};
use dxf::entities::{Attribute, Circle, Entity, EntityType, Insert, Line, LwPolyline, ModelPoint};
use dxf::enums::{AcadVersion, Units};
use dxf::{Drawing, LwPolylineVertex, Point};

const LAYERS: &str = r#"
ground = "lawn"

[[layers]]
name = "HOUSE"
is = "building"

[[layers]]
name = "POOL"
is = "pool"

[[layers]]
name = "BEDS"
is = "bed"

[[layers]]
name = "WALLS"
is = "wall"

[[layers]]
name = "LIGHTS"
is = "fixture"
model = "path-low"
zone = "front"

[[blocks]]
name = "TRANSFORMER"
is = "site"
mains_va = 1200
outlets = 2
"#;

fn add(drawing: &mut Drawing, layer: &str, specific: EntityType) {
    let mut entity = Entity::new(specific);
    entity.common.layer = layer.to_owned();
    drawing.add_entity(entity);
}

fn outline(corners: &[(f64, f64, f64)]) -> EntityType {
    let mut outline = LwPolyline::default();
    outline.set_is_closed(true);
    for &(x, y, bulge) in corners {
        outline.vertices.push(LwPolylineVertex {
            x,
            y,
            bulge,
            ..LwPolylineVertex::default()
        });
    }
    EntityType::LwPolyline(outline)
}

fn insert(block: &str, tag: &str, x: f64, y: f64) -> EntityType {
    let mut insert = Insert {
        name: block.to_owned(),
        location: Point::new(x, y, 0.0),
        ..Insert::default()
    };
    insert.add_attribute(
        &mut Drawing::new(),
        Attribute {
            attribute_tag: "TAG".to_owned(),
            value: tag.to_owned(),
            ..Attribute::default()
        },
    );
    EntityType::Insert(insert)
}

/// A house, a bed with a round end, a round pool, a wall of two lines, two lights and a
/// transformer, in feet; and a layer that means nothing.
fn drawing() -> Drawing {
    let mut drawing = Drawing::new();
    drawing.header.version = AcadVersion::R2000;
    drawing.header.default_drawing_units = Units::Feet;
    let house = [
        (0.0, 0.0, 0.0),
        (40.0, 0.0, 0.0),
        (40.0, 30.0, 0.0),
        (0.0, 30.0, 0.0),
    ];
    add(&mut drawing, "HOUSE", outline(&house));
    // A half circle over the edge from (60, 10) to (60, 0): bulge 1 is a quarter turn's tangent.
    let bed = [
        (50.0, 0.0, 0.0),
        (60.0, 0.0, 1.0),
        (60.0, 10.0, 0.0),
        (50.0, 10.0, 0.0),
    ];
    add(&mut drawing, "BEDS", outline(&bed));
    let pool = Circle::new(Point::new(80.0, 40.0, 0.0), 10.0);
    add(&mut drawing, "POOL", EntityType::Circle(pool));
    for (a, b) in [((0.0, 40.0), (20.0, 40.0)), ((20.0, 40.0), (20.0, 60.0))] {
        let line = Line::new(Point::new(a.0, a.1, 0.0), Point::new(b.0, b.1, 0.0));
        add(&mut drawing, "WALLS", EntityType::Line(line));
    }
    for (tag, x, y) in [("L1", 55.0, 20.0), ("L2", 20.0, 60.0)] {
        add(&mut drawing, "LIGHTS", insert("LIGHT", tag, x, y));
    }
    add(
        &mut drawing,
        "ELECTRIC",
        insert("TRANSFORMER", "T1", 41.0, 15.0),
    );
    add(
        &mut drawing,
        "TEXT",
        EntityType::ModelPoint(ModelPoint::new(Point::new(1.0, 1.0, 0.0))),
    );
    drawing
}

fn text(drawing: &Drawing) -> Vec<u8> {
    let mut bytes = Vec::new();
    drawing.save(&mut bytes).expect("written to memory");
    bytes
}

fn given<'a>(bytes: &'a [u8], settings: &'a str) -> Given<'a> {
    Given {
        plan: bytes,
        settings: Some(settings),
        overrides: None,
        drawn: true,
    }
}

#[test]
fn a_drawing_is_read_by_its_layers_and_blocks_in_metres() {
    let bytes = text(&drawing());
    let (plan, notes) = plan(given(&bytes, LAYERS)).unwrap_or_else(|faults| panic!("{faults}"));
    let kinds: Vec<&AreaKind> = plan.areas.iter().map(|area| &area.kind).collect();
    assert_eq!(
        kinds,
        [
            &AreaKind::NoTrench(Barrier::Building),
            &AreaKind::Ground("bed".to_owned()),
            &AreaKind::NoTrench(Barrier::Pool),
        ]
    );
    assert_eq!(plan.areas[0].id, "HOUSE");
    let size = |area: usize| geo::Area::unsigned_area(&plan.areas[area].outline);
    let square_feet = 0.3048 * 0.3048;
    assert!((size(0) - 1200.0 * square_feet).abs() < 1e-6);
    // 10 x 10 and half a circle of radius 5, drawn with chords of at most 0.2 rad.
    let round = 100.0 + std::f64::consts::PI * 12.5;
    assert!(
        (size(1) / square_feet - round).abs() < 0.3,
        "{}",
        size(1) / square_feet
    );
    // A regular polygon of 24 corners in a circle of radius 10: half of 24 r² sin(15°).
    let ring = 0.5 * 24.0 * 100.0 * (std::f64::consts::TAU / 24.0).sin();
    assert!(
        (size(2) / square_feet - ring).abs() < 0.05,
        "{}",
        size(2) / square_feet
    );
    assert_eq!(plan.lines.len(), 1);
    assert_eq!(plan.lines[0].kind, LineKind::Follow);
    assert_eq!(plan.lines[0].course.0.len(), 3);
    let lights: Vec<&str> = plan.fixtures.iter().map(|item| item.tag.as_str()).collect();
    assert_eq!(lights, ["L1", "L2"]);
    assert_eq!(plan.fixtures[0].zone.as_deref(), Some("front"));
    assert!((plan.fixtures[0].at.x - 55.0 * 0.3048).abs() < 1e-9);
    assert_eq!(plan.sites[0].tag, "T1");
    assert_eq!(plan.sites[0].columns["mains_va"], "1200");
    let left_out: Vec<&String> = notes
        .iter()
        .filter(|note| note.code == Code::LeftOut)
        .map(|note| &note.message)
        .collect();
    assert_eq!(left_out.len(), 1);
    assert!(left_out[0].contains("`TEXT`"), "{left_out:?}");
}

#[test]
fn a_drawing_is_surveyed() {
    let bytes = text(&drawing());
    let (survey, _) = survey(given(&bytes, LAYERS)).unwrap_or_else(|faults| panic!("{faults}"));
    let ends = survey.graph.nodes.iter();
    let sites = ends.filter(|node| matches!(node.kind, NodeKind::Site(_)));
    assert_eq!(sites.count(), 1);
    assert!(
        survey
            .graph
            .segments
            .iter()
            .any(|segment| segment.surface == "wall")
    );
    // From (55, 20) to the pool's nearest corner or chord, about (72.2, 33.8) ft: 32.0 - 10 ft.
    let water_m = survey.water_m[0].expect("there is a pool");
    let centre_ft = (25.0_f64 * 25.0 + 20.0 * 20.0).sqrt();
    assert!(
        (water_m / 0.3048 - (centre_ft - 10.0)).abs() < 0.1,
        "{water_m}"
    );
}

#[test]
fn what_is_wrong_with_a_drawing_is_said_with_its_line_or_layer() {
    let good = text(&drawing());
    let codes = |bytes: &[u8], settings: &str| -> Vec<(Code, String)> {
        let faults = plan(given(bytes, settings)).expect_err("refused").0;
        faults
            .iter()
            .map(|fault| (fault.code, fault.to_string()))
            .collect()
    };
    let renamed = LAYERS.replace("\"POOL\"", "\"POOLS\"");
    let found = codes(&good, &renamed);
    assert_eq!(found[0].0, Code::EmptyLayer);
    assert!(
        found[0].1.contains("`POOLS`") && found[0].1.contains("POOL, "),
        "{}",
        found[0].1
    );
    let metric = format!("units = \"m\"\n{LAYERS}");
    assert_eq!(codes(&good, &metric)[0].0, Code::Units);
    let mut unitless = drawing();
    unitless.header.default_drawing_units = Units::Unitless;
    assert_eq!(codes(&text(&unitless), LAYERS)[0].0, Code::Units);
    let cut = &good[..good.len() / 2];
    assert_eq!(codes(cut, LAYERS)[0].0, Code::Unreadable);
    let found = codes(b"BINARY\r\n\x1a\0rest", LAYERS);
    assert_eq!(found[0].0, Code::Unreadable);
    assert!(found[0].1.contains("plan.dxf:1"), "{}", found[0].1);
    assert_eq!(codes(&good, "ground = \"lawn\"\n")[0].0, Code::Settings);
    let mut inside = drawing();
    add(&mut inside, "LIGHTS", insert("LIGHT", "L3", 80.0, 41.0));
    let bytes = text(&inside);
    let refused = survey(given(&bytes, LAYERS))
        .expect_err("in the pool")
        .to_string();
    assert!(
        refused.contains("G130") && refused.contains("layer `LIGHTS`"),
        "{refused}"
    );
}
