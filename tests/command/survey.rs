//! From a site plan to a job folder: derived, drawn, made anew, edited by hand, refused.

use crate::desk::{Desk, Said};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// A garden in metres: a house, a pool, a paved terrace, a gas line, two fixtures and a site.
fn garden() -> Vec<Value> {
    let area = |id: &str, is: &str, ring: Value| {
        json!({"type": "Feature", "id": id, "properties": {"is": is},
               "geometry": {"type": "Polygon", "coordinates": [ring]}})
    };
    let point = |id: &str, properties: Value, at: [f64; 2]| {
        json!({"type": "Feature", "id": id, "properties": properties,
               "geometry": {"type": "Point", "coordinates": at}})
    };
    let fixture = json!({"is": "fixture", "model": "path-low"});
    vec![
        area(
            "house",
            "building",
            json!([[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]]),
        ),
        area(
            "pool",
            "pool",
            json!([[16, 2], [22, 2], [22, 6], [16, 6], [16, 2]]),
        ),
        area(
            "gas line",
            "utility",
            json!([[-6, 9], [30, 9], [30, 10], [-6, 10], [-6, 9]]),
        ),
        point("F1", fixture.clone(), [14.0, 4.0]),
        point("F2", fixture.clone(), [5.0, 14.0]),
        point("F3", fixture, [12.0, 15.0]),
        point(
            "garage",
            json!({"is": "site", "mains_va": 1200, "outlets": 2, "rise_m": 0.6}),
            [10.2, 1.0],
        ),
    ]
}

/// A desk with the courtyard's terms and a site plan beside them.
fn desk_with(features: &[Value]) -> Desk {
    let desk = Desk::with_courtyard();
    fs::create_dir(desk.path("elm")).expect("made");
    fs::copy(desk.path("courtyard/job.toml"), desk.path("elm/job.toml")).expect("copied");
    fs::write(
        desk.path("elm/survey.toml"),
        "units = \"m\"\nground = \"lawn\"\nhand_dig = \"bed\"\n",
    )
    .expect("written");
    draw(&desk, features);
    desk
}

fn draw(desk: &Desk, features: &[Value]) {
    let plan = json!({"type": "FeatureCollection", "features": features});
    fs::write(desk.path("elm/plan.geojson"), plan.to_string()).expect("written");
}

fn survey(desk: &Desk) -> Said {
    desk.run(&["survey", "elm/plan.geojson", "--out", "job"])
}

/// Rows of a table by heading.
fn rows(desk: &Desk, name: &str) -> Vec<BTreeMap<String, String>> {
    let text = desk.text(name);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows = reader.deserialize::<BTreeMap<String, String>>();
    rows.map(|row| row.expect("a row")).collect()
}

/// Position of each node, as written.
fn places(desk: &Desk, name: &str) -> BTreeMap<String, (String, String)> {
    rows(desk, name)
        .into_iter()
        .map(|row| {
            let metric = row.contains_key("x_m");
            let cell = |us: &str, si: &str| row[if metric { si } else { us }].clone();
            (
                row["node"].clone(),
                (cell("x_ft", "x_m"), cell("y_ft", "y_m")),
            )
        })
        .collect()
}

/// All files of a folder.
fn everything(desk: &Desk, folder: &str) -> Vec<(String, Vec<u8>)> {
    let names = desk.names(folder).into_iter();
    names
        .filter(|name| desk.path(&format!("{folder}/{name}")).is_file())
        .map(|name| {
            let bytes = fs::read(desk.path(&format!("{folder}/{name}"))).expect("read");
            (name, bytes)
        })
        .collect()
}

#[test]
fn a_site_plan_becomes_a_job_that_plans_and_cautions_about_water_and_the_utility() {
    let desk = desk_with(&garden());
    let said = survey(&desk);
    said.ended_with(0);
    assert!(said.out.contains("job: surveyed"), "{}", said.out);
    // F1 stands 2 m from the pool; 3 m is usual in a metric job.
    assert!(
        said.err.contains("note[G907]: 1 stands nearer"),
        "{}",
        said.err
    );
    assert!(said.err.contains("F1 2.0 m from `pool`"), "{}", said.err);
    assert!(said.err.contains("note[G908]"), "{}", said.err);
    let nodes = rows(&desk, "job/nodes.csv");
    assert_eq!(nodes[0]["node"], "F1");
    assert_eq!(nodes[0]["water_m"], "2");
    let garage = nodes.iter().find(|row| row["node"] == "garage");
    assert_eq!(garage.expect("a node of its own")["rise_m"], "0.6");
    for path in rows(&desk, "job/paths.csv") {
        let hand_dug = path["surface"] == "bed";
        assert_eq!(
            path["utility"],
            if hand_dug { "gas line" } else { "" },
            "{path:?}"
        );
    }
    desk.run(&["plan", "job", "--out", "out", "--effort", "quick", "--svg"])
        .ended_with(0);
    let pdf = fs::read(desk.path("out/report.pdf")).expect("a report");
    assert!(pdf.len() > 10_000);
    let svg = desk.text("job/survey.svg");
    for word in [
        ">F1<",
        ">garage<",
        ">gas line<",
        ">house<",
        "within 3.0 m of water",
    ] {
        assert!(svg.contains(word), "the drawing has no {word}");
    }
}

#[test]
fn the_usual_distance_from_water_is_the_jobs() {
    let desk = desk_with(&garden());
    desk.edit("elm/job.toml", "[rules]", "[rules]\nwater_distance_m = 1.5");
    let said = survey(&desk);
    said.ended_with(0);
    assert!(!said.err.contains("G907"), "{}", said.err);
}

#[test]
fn a_survey_made_twice_leaves_the_same_bytes() {
    let desk = desk_with(&garden());
    survey(&desk).ended_with(0);
    let first = everything(&desk, "job");
    survey(&desk).ended_with(0);
    assert_eq!(everything(&desk, "job"), first);
    desk.run(&["survey", "elm/plan.geojson", "--out", "other"])
        .ended_with(0);
    for (name, bytes) in everything(&desk, "other") {
        // The title of the drawing is the name of the folder.
        if name != "survey.svg" && name != "survey.json" {
            assert!(first.contains(&(name.clone(), bytes)), "{name} differs");
        }
    }
}

#[test]
fn nodes_keep_their_names_when_the_plan_changes() {
    let desk = desk_with(&garden());
    survey(&desk).ended_with(0);
    let before = places(&desk, "job/nodes.csv");
    let mut changed = garden();
    changed.remove(4);
    changed.push(json!({"type": "Feature", "id": "F9",
        "properties": {"is": "fixture", "model": "path-low"},
        "geometry": {"type": "Point", "coordinates": [-4.0, 3.0]}}));
    draw(&desk, &changed);
    survey(&desk).ended_with(0);
    let after = places(&desk, "job/nodes.csv");
    assert!(after.contains_key("F9") && !after.contains_key("F2"));
    let mut kept = 0;
    for (tag, place) in &after {
        if let Some(old) = before.get(tag) {
            assert_eq!(place, old, "{tag} is another place now");
            kept += 1;
        } else {
            assert!(!before.values().any(|old| old == place), "{tag} had a name");
        }
    }
    assert!(kept >= 6, "{kept} nodes kept");
}

#[test]
fn hand_edits_are_made_and_kept() {
    let desk = desk_with(&garden());
    survey(&desk).ended_with(0);
    let paths = rows(&desk, "job/paths.csv");
    let first = &paths[0];
    let (from, to) = (&first["from"], &first["to"]);
    let spare = &paths[paths.len() - 1];
    let edits = format!(
        "what,from,to,length_m,surface,most_cables,note\n\
         measured,{to},{from},41.5,,,round the oak\n\
         forbidden,{},{},,,,client says no\n\
         added,F1,F3,,lawn,2,along the fence\n\
         forbidden,F1,n999,,,,gone\n",
        spare["from"], spare["to"]
    );
    fs::write(desk.path("job/overrides.csv"), &edits).expect("written");
    let said = survey(&desk);
    said.ended_with(0);
    assert!(
        said.out.contains("1 measured, 1 forbidden, 1 added"),
        "{}",
        said.out
    );
    assert!(said.err.contains("note[G906]"), "{}", said.err);
    assert!(said.err.contains("overrides.csv:5"), "{}", said.err);
    assert_eq!(desk.text("job/overrides.csv"), edits);
    let now = rows(&desk, "job/paths.csv");
    let between = |a: &str, b: &str| -> Vec<_> {
        let own = now.iter();
        own.filter(|row| {
            (row["from"] == a && row["to"] == b) || (row["from"] == b && row["to"] == a)
        })
        .collect()
    };
    assert_eq!(between(from, to)[0]["length_m"], "41.5");
    assert!(between(&spare["from"], &spare["to"]).is_empty());
    let added = between("F1", "F3")
        .into_iter()
        .find(|row| row["most_cables"] == "2");
    // From (14, 4) to (12, 15): the root of 4 + 121.
    assert_eq!(added.expect("the added segment")["length_m"], "11.18");
    desk.run(&["inspect", "job"]).ended_with(0);
}

#[test]
fn forbidding_every_way_to_a_fixture_is_refused_and_leaves_the_job_alone() {
    let desk = desk_with(&garden());
    survey(&desk).ended_with(0);
    let mut edits = "what,from,to\n".to_owned();
    for path in rows(&desk, "job/paths.csv") {
        if path["from"] == "F2" || path["to"] == "F2" {
            edits += &format!("forbidden,{},{}\n", path["from"], path["to"]);
        }
    }
    fs::write(desk.path("job/overrides.csv"), edits).expect("written");
    let before = everything(&desk, "job");
    let said = survey(&desk);
    said.ended_with(2);
    assert!(
        said.err
            .contains("error[G131]: forbidden segments cut fixture `F2` off"),
        "{}",
        said.err
    );
    assert_eq!(everything(&desk, "job"), before);
}

#[test]
fn an_edited_table_is_written_over_only_when_asked() {
    let desk = desk_with(&garden());
    survey(&desk).ended_with(0);
    desk.edit("job/fixtures.csv", "path-low", "path-tall");
    let edited = desk.text("job/fixtures.csv");
    let said = survey(&desk);
    said.ended_with(2);
    assert!(
        said.err.contains("fixtures.csv") && said.err.contains("--replace-edited"),
        "{}",
        said.err
    );
    assert_eq!(desk.text("job/fixtures.csv"), edited);
    let words = [
        "survey",
        "elm/plan.geojson",
        "--out",
        "job",
        "--replace-edited",
    ];
    desk.run(&words).ended_with(0);
    assert_ne!(desk.text("job/fixtures.csv"), edited);
}

#[test]
fn a_job_that_no_survey_made_is_left_alone() {
    let desk = desk_with(&garden());
    let before = everything(&desk, "courtyard");
    let said = desk.run(&["survey", "elm/plan.geojson", "--out", "courtyard"]);
    said.ended_with(2);
    assert!(said.err.contains("which no survey wrote"), "{}", said.err);
    assert_eq!(everything(&desk, "courtyard"), before);
}

#[test]
fn refusals_name_the_place_and_write_nothing() {
    let twice = |features: &mut Vec<Value>| {
        let mut again = features[3].clone();
        again["geometry"]["coordinates"] = json!([13.0, 12.0]);
        features.push(again);
    };
    let in_the_pool = |features: &mut Vec<Value>| {
        features[3]["geometry"]["coordinates"] = json!([18.0, 4.0]);
    };
    let crossed = |features: &mut Vec<Value>| {
        features[0]["geometry"]["coordinates"] =
            json!([[[0, 0], [10, 8], [10, 0], [0, 8], [0, 0]]]);
    };
    let far = |features: &mut Vec<Value>| {
        features[4]["geometry"]["coordinates"] = json!([5.0, 140_000.0]);
    };
    let no_model = |features: &mut Vec<Value>| {
        features[4]["properties"]["model"] = json!("moon");
    };
    let no_zone = |features: &mut Vec<Value>| {
        features[4]["properties"]["zone"] = json!("attic");
    };
    let no_outlets = |features: &mut Vec<Value>| {
        features[6]["properties"] = json!({"is": "site", "mains_va": 1200});
    };
    type Spoil<'a> = (&'a str, &'a str, &'a dyn Fn(&mut Vec<Value>));
    let cases: [Spoil<'_>; 7] = [
        ("G114", "(`F1`)", &twice),
        ("G130", "feature 4 (`F1`)", &in_the_pool),
        ("G123", "(`house`), at 5, 4", &crossed),
        ("G121", "feature 5 (`F2`)", &far),
        ("G112", "moon", &no_model),
        ("G112", "attic", &no_zone),
        ("G112", "`outlets`", &no_outlets),
    ];
    for (code, place, spoil) in cases {
        let mut features = garden();
        spoil(&mut features);
        let desk = desk_with(&features);
        let said = survey(&desk);
        said.ended_with(2);
        assert!(
            said.err.contains(&format!("error[{code}]")),
            "{code}: {}",
            said.err
        );
        assert!(said.err.contains(place), "{code}: {}", said.err);
        assert!(!desk.path("job").exists(), "{code}");
    }
    let desk = desk_with(&garden());
    let said = desk.run(&["survey", "elm/job.toml", "--out", "job"]);
    said.ended_with(2);
    assert!(said.err.contains(".geojson, .json, .dxf"), "{}", said.err);
    fs::remove_file(desk.path("elm/job.toml")).expect("removed");
    let said = survey(&desk);
    said.ended_with(2);
    assert!(said.err.contains("--job-file"), "{}", said.err);
}

/// The estate in feet, away from its catalogue, which is then taken along.
#[test]
fn the_estate_is_derived_from_its_site_plan() {
    let desk = Desk::with_courtyard();
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../samples");
    for folder in ["estate", "catalogue-us"] {
        desk.lay(&samples.join(folder), folder);
    }
    let said = desk.run(&[
        "survey",
        "estate/plan.geojson",
        "--out",
        "deep/er/job",
        "--json",
    ]);
    said.ended_with(0);
    let summary: Value = serde_json::from_str(&said.out).expect("JSON");
    assert_eq!(summary["fixtures"], 120);
    assert_eq!(summary["sites"], 3);
    assert_eq!(summary["length_unit"], "ft");
    assert_eq!(summary["own_catalogue"], true);
    let segments = summary["segments"].as_u64().expect("a number");
    assert!((200..1500).contains(&segments), "{segments} segments");
    assert!(
        desk.text("deep/er/job/job.toml")
            .contains("folder = \"catalogue\"")
    );
    desk.run(&["inspect", "deep/er/job"]).ended_with(0);
    // The sleeves under the drive take three cables each: it may be bored beside them.
    let paths = rows(&desk, "deep/er/job/paths.csv");
    for surface in ["sleeve", "bore"] {
        assert!(
            paths.iter().any(|path| path["surface"] == surface),
            "no {surface}"
        );
    }
    // The same fixtures with the same models, zones and sections as in the tables by hand.
    let facts = |name: &str| -> BTreeMap<String, [String; 3]> {
        rows(&desk, name)
            .into_iter()
            .map(|row| {
                (
                    row["tag"].clone(),
                    ["model", "zone", "section"].map(|key| row[key].clone()),
                )
            })
            .collect()
    };
    assert_eq!(
        facts("deep/er/job/fixtures.csv"),
        facts("estate/fixtures.csv")
    );
    // Beside the samples the catalogue is found where it is.
    desk.run(&["survey", "estate/plan.geojson", "--out", "beside"])
        .ended_with(0);
    assert!(!desk.path("beside/catalogue").exists());
    desk.run(&["inspect", "beside"]).ended_with(0);
}
