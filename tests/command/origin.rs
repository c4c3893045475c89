//! Version, hash of the input, effort and seed in every file that the commands write.

use crate::desk::{Desk, REBUILD_COURTYARD, planned};
use crate::papers::papered;
use std::fs;
use std::io::{Cursor, Read};

/// How results are expected to have been made.
struct Origin<'a> {
    hash: &'a str,
    /// `effort NAME, seed NUMBER`; JSON has the two by name.
    search: &'a str,
}

impl Origin<'_> {
    /// Requires a file to say it.
    #[track_caller]
    fn stands_in(&self, desk: &Desk, name: &str) {
        let bytes = fs::read(desk.path(name)).expect("a file");
        let search = if name.ends_with(".json") {
            let told = self.search.strip_prefix("effort ");
            let (effort, seed) = told
                .and_then(|told| told.split_once(", seed "))
                .expect("both");
            vec![
                format!("\"effort\": \"{effort}\""),
                format!("\"seed\": {seed}"),
            ]
        } else {
            vec![self.search.to_owned()]
        };
        let version = env!("CARGO_PKG_VERSION").to_owned();
        let wanted = [version, self.hash.to_owned()].into_iter().chain(search);
        for wanted in wanted {
            assert!(holds(name, &bytes, &wanted), "{name}: no `{wanted}`");
        }
    }

    /// Requires every file of a folder to say it, and returns their names.
    #[track_caller]
    fn stands_in_all(&self, desk: &Desk, folder: &str) -> Vec<String> {
        let names = desk.names(folder);
        for name in &names {
            self.stands_in(desk, &format!("{folder}/{name}"));
        }
        names
    }
}

/// Whether a file holds a text, however its kind writes it.
fn holds(name: &str, bytes: &[u8], text: &str) -> bool {
    let found = |bytes: &[u8], wanted: &[u8]| {
        let mut parts = bytes.windows(wanted.len());
        parts.any(|part| part == wanted)
    };
    if name.ends_with(".xlsx") {
        let mut parts = zip::ZipArchive::new(Cursor::new(bytes)).expect("a workbook");
        let mut told = parts.by_name("docProps/core.xml").expect("its description");
        let mut xml = Vec::new();
        told.read_to_end(&mut xml).expect("text");
        return found(&xml, text.as_bytes());
    }
    if !name.ends_with(".pdf") {
        return found(bytes, text.as_bytes());
    }
    // The description of a PDF may be written in UTF-16 or in its hexadecimal digits.
    let plain = text.as_bytes();
    let wide: Vec<u8> = plain.iter().flat_map(|&byte| [0, byte]).collect();
    let digits = |bytes: &[u8]| -> Vec<u8> {
        let digits: String = bytes.iter().map(|byte| format!("{byte:02X}")).collect();
        digits.into_bytes()
    };
    [plain.to_vec(), wide.clone(), digits(plain), digits(&wide)]
        .iter()
        .any(|form| found(bytes, form))
}

fn hash_of(desk: &Desk, plan: &str) -> String {
    let plan: serde_json::Value = serde_json::from_str(&desk.text(plan)).expect("JSON");
    let hash = plan["header"]["input_hash"].as_str().expect("a hash");
    assert_eq!(hash.len(), 64);
    hash.to_owned()
}

/// The input's hash in the row `made` of a table.
fn told_hash(table: &str) -> &str {
    let made = table
        .lines()
        .find(|line| line.starts_with("made,input_sha256,"));
    let hash = made.expect("a row for the input").split(',').nth(2);
    let hash = hash.expect("a hash");
    assert_eq!(hash.len(), 64);
    hash
}

#[test]
fn a_plan_its_papers_and_its_drawings() {
    let desk = papered();
    let origin = Origin {
        hash: &hash_of(desk, "out/plan.json"),
        search: "effort quick, seed 1",
    };
    let names = origin.stands_in_all(desk, "out");
    for kind in [".csv", ".json", ".pdf", ".svg"] {
        let count = names.iter().filter(|name| name.ends_with(kind)).count();
        assert!(count > 0, "no {kind} in {names:?}");
    }
}

/// A desk of its own with the courtyard and its plan in `out`.
fn with_plan() -> Desk {
    let (first, said) = planned();
    said.ended_with(0);
    let desk = Desk::with_courtyard();
    desk.lay(&first.path("out"), "out");
    desk
}

#[test]
fn an_order() {
    let desk = with_plan();
    let words = [
        "order",
        "courtyard",
        "--plan",
        "out/plan.json",
        "--out",
        "order",
        "--date",
        "2026-03-28",
    ];
    desk.run(&words).ended_with(0);
    let list = desk.text("order/order.csv");
    let origin = Origin {
        hash: told_hash(&list),
        search: "effort quick, seed 1",
    };
    let names = origin.stands_in_all(&desk, "order");
    assert_eq!(names.len(), 7, "{names:?}");
}

#[test]
fn a_test_sheet() {
    let desk = with_plan();
    let words = [
        "readings",
        "courtyard",
        "out/plan.json",
        "--out",
        "tests",
        "--draws",
        "40",
        "--seed",
        "5",
        "--date",
        "2026-03-28",
    ];
    desk.run(&words).ended_with(0);
    let hash = hash_of(&desk, "out/plan.json");
    let origin = Origin {
        hash: &hash,
        search: "plan: effort quick, seed 1; bands: 40 draws, seed 5",
    };
    let names = origin.stands_in_all(&desk, "tests");
    assert_eq!(names.len(), 2, "{names:?}");
}

#[test]
fn a_comparison() {
    let desk = Desk::with_courtyard();
    fs::create_dir(desk.path("compared")).expect("made");
    let words = [
        "compare",
        "courtyard",
        "--effort",
        "quick",
        "--seed",
        "3",
        "--csv",
        "compared/table.csv",
        "--pdf",
        "compared/paper.pdf",
        "--date",
        "2026-03-28",
    ];
    desk.run(&words).ended_with(0);
    let table = desk.text("compared/table.csv");
    let told = table
        .lines()
        .find_map(|line| line.strip_prefix("input_sha256,,"));
    let hash = told
        .and_then(|told| told.split(',').next())
        .expect("a hash");
    assert_eq!(hash.len(), 64);
    let origin = Origin {
        hash,
        search: "effort quick, seed 3",
    };
    let names = origin.stands_in_all(&desk, "compared");
    assert_eq!(names.len(), 2, "{names:?}");
}

#[test]
fn a_batch() {
    let desk = Desk::with_courtyard();
    let fixtures: Vec<String> = (desk.text("courtyard/fixtures.csv").lines())
        .take(4)
        .map(str::to_owned)
        .collect();
    fs::write(
        desk.path("courtyard/fixtures.csv"),
        fixtures.join("\n") + "\n",
    )
    .expect("written");
    fs::write(desk.path("list.txt"), "courtyard\n").expect("written");
    let words = [
        "batch",
        "list.txt",
        "--out",
        "week",
        "--effort",
        "quick",
        "--date",
        "2026-03-28",
    ];
    desk.run(&words).ended_with(0);
    // The lock and what a later run goes on from are no results.
    let kept = ["batch.json", "batch.lock", "jobs", "records"];
    let table = desk.text("week/portfolio.csv");
    let all = Origin {
        hash: told_hash(&table),
        search: "effort quick, seed 1",
    };
    let names = desk.names("week");
    let (kept, papers): (Vec<_>, Vec<_>) = names
        .into_iter()
        .partition(|name| kept.contains(&name.as_str()));
    assert_eq!((kept.len(), papers.len()), (4, 2), "{kept:?} {papers:?}");
    for name in papers {
        all.stands_in(&desk, &format!("week/{name}"));
    }
    let folder = "week/jobs/courtyard";
    let one = Origin {
        hash: &hash_of(&desk, &format!("{folder}/plan.json")),
        search: "effort quick, seed 1",
    };
    let names = one.stands_in_all(&desk, folder);
    assert_eq!(names.len(), 6, "{names:?}");
}

#[test]
fn what_was_built() {
    let desk = with_plan();
    fs::write(
        desk.path("changes.csv"),
        "what,name,to\npath,well/trough,4\n",
    )
    .expect("written");
    let words = [&REBUILD_COURTYARD[..], &["--date", "2026-03-28"]].concat();
    desk.run(&words).ended_with(0);
    let origin = Origin {
        hash: &hash_of(&desk, "built/plan.json"),
        search: "effort quick, seed 1",
    };
    for name in ["built/plan.json", "built/bill.csv", "built/changes.csv"] {
        origin.stands_in(&desk, name);
    }
    // Folded in once more, the history tells it of the newest folder alone.
    fs::write(
        desk.path("changes.csv"),
        "what,name,to\npath,well/trough,5\n",
    )
    .expect("written");
    let again = ["rebuild", "built", "built/plan.json", "changes.csv"];
    let out = ["--out", "again", "--date", "2026-03-29"];
    desk.run(&[&again[..], &out[..]].concat()).ended_with(0);
    let history = desk.text("again/changes.csv");
    let rows: Vec<&str> = history.lines().skip(1).collect();
    let begun: Vec<&str> = (rows.iter())
        .filter_map(|row| row.split(',').next())
        .collect();
    assert_eq!(begun, ["1", "2", "made", "made", "made"], "{history}");
    assert!(history.contains(&hash_of(&desk, "again/plan.json")));
}

/// Version and hash of the input in the drawing of a survey.
fn told_by(drawing: &str) -> (&str, &str) {
    let told = drawing
        .split_once("<metadata>Duskwright ")
        .and_then(|(_, rest)| rest.split_once("</metadata>"))
        .and_then(|(told, _)| told.split_once(", input "));
    let (version, hash) = told.expect("the drawing says how it was made");
    assert_eq!(hash.len(), 64);
    (version, hash)
}

#[test]
fn a_survey_and_what_it_was_made_of() {
    let desk = Desk::with_courtyard();
    fs::create_dir(desk.path("elm")).expect("made");
    fs::copy(desk.path("courtyard/job.toml"), desk.path("elm/job.toml")).expect("copied");
    fs::write(
        desk.path("elm/survey.toml"),
        "units = \"m\"\nground = \"lawn\"\n",
    )
    .expect("written");
    let plan = r#"{"type": "FeatureCollection", "features": [
        {"type": "Feature", "id": "F1", "properties": {"is": "fixture", "model": "path-low"}, "geometry": {"type": "Point", "coordinates": [14, 4]}},
        {"type": "Feature", "id": "S1", "properties": {"is": "site", "mains_va": 1200, "outlets": 2}, "geometry": {"type": "Point", "coordinates": [0, 0]}}]}"#;
    fs::write(desk.path("elm/plan.geojson"), plan).expect("written");
    let survey = || {
        desk.run(&["survey", "elm/plan.geojson", "--out", "job"])
            .ended_with(0);
        let drawing = desk.text("job/survey.svg");
        let (version, hash) = told_by(&drawing);
        assert_eq!(version, env!("CARGO_PKG_VERSION"));
        hash.to_owned()
    };
    let first = survey();
    assert_eq!(survey(), first, "nothing changed");
    let mut told = vec![first];
    for (file, from, to) in [
        ("elm/plan.geojson", "[14, 4]", "[14, 5]"),
        ("elm/survey.toml", "units", "hand_dig = \"bed\"\nunits"),
        (
            "job/overrides.csv",
            "note\n",
            "note\nmeasured,F1,S1,15,,,\n",
        ),
        ("job/job.toml", "name", "# prices of spring\nname"),
        ("catalogue-metric/surfaces.csv", "\n", "\n\n"),
    ] {
        desk.edit(file, from, to);
        let hash = survey();
        assert!(!told.contains(&hash), "{file} is an input");
        told.push(hash);
    }
}
