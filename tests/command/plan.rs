//! `duskwright plan`.

use crate::desk::{Desk, PLAN_COURTYARD, planned};
use std::fs;

const RESULTS: [&str; 6] = [
    "bill.csv",
    "circuits.csv",
    "fixtures.csv",
    "pieces.csv",
    "plan.json",
    "report.pdf",
];

#[test]
fn a_planned_job_leaves_six_files_and_says_what_matters() {
    let (desk, said) = planned();
    said.ended_with(0);
    assert_eq!(desk.names("out"), RESULTS);
    for words in [
        "Mill courtyard: 12 fixtures",
        "price",
        "direct cost",
        "proven bound",
        "tightest fixture",
        "report.pdf",
    ] {
        assert!(said.out.contains(words), "no `{words}` in\n{}", said.out);
    }
    assert!(
        fs::read(desk.path("out/report.pdf"))
            .expect("there")
            .starts_with(b"%PDF-")
    );
    // A heading, a row for each fixture, and how it was made: version, input, search.
    assert_eq!(desk.text("out/fixtures.csv").lines().count(), 16);
}

#[test]
fn papers_and_drawings_are_written_when_asked_for() {
    let desk = Desk::with_courtyard();
    fs::write(
        desk.path("firm.toml"),
        "name = \"Evening Garden Lighting\"\naddress = [\"7 Orchard Lane\"]\nterms = [\"Valid for 30 days.\"]\n",
    )
    .expect("written");
    let more = [
        "--papers",
        "buy,bid,crew",
        "--svg",
        "--firm",
        "firm.toml",
        "--sheets",
        "a3",
    ];
    let words: Vec<&str> = PLAN_COURTYARD.iter().copied().chain(more).collect();
    let said = desk.run(&words);
    said.ended_with(0);
    let names = desk.names("out");
    for paper in ["bid.pdf", "crew.pdf", "buy.pdf", "drawing-site-1.svg"] {
        assert!(names.iter().any(|name| name == paper), "{names:?}");
        assert!(said.out.contains(paper), "{}", said.out);
    }
    // The next plan of the same folder leaves only what it was asked for.
    desk.run(&PLAN_COURTYARD).ended_with(0);
    assert_eq!(desk.names("out"), RESULTS);
}

#[test]
fn the_circuits_of_the_lists_bear_the_names_of_the_plan() {
    let (desk, said) = planned();
    said.ended_with(0);
    let plan: serde_json::Value =
        serde_json::from_str(&desk.text("out/plan.json")).expect("a plan");
    let circuits = plan["circuits"].as_array().expect("circuits");
    let listed = desk.text("out/circuits.csv");
    for circuit in circuits {
        let label = circuit["label"].as_str().expect("a label");
        let row = listed
            .lines()
            .find(|line| line.starts_with(&format!("{label},")));
        assert!(row.is_some(), "{label} is not in\n{listed}");
    }
    let pieces = desk.text("out/pieces.csv");
    let named = circuits
        .iter()
        .flat_map(|circuit| circuit["pieces"].as_array().expect("pieces"));
    for piece in named {
        let label = piece["label"].as_str().expect("a label");
        assert!(
            pieces
                .lines()
                .any(|line| line.starts_with(&format!("{label},"))),
            "{label}"
        );
    }
}

#[test]
fn a_firm_that_cannot_be_read_is_refused_before_the_search() {
    let desk = Desk::with_courtyard();
    fs::write(desk.path("firm.toml"), "nam = \"A\"\n").expect("written");
    let words: Vec<&str> = PLAN_COURTYARD
        .iter()
        .copied()
        .chain(["--firm", "firm.toml"])
        .collect();
    let said = desk.run(&words);
    said.ended_with(2);
    assert!(
        said.err.contains("firm.toml") && said.err.contains("accepted: name"),
        "{}",
        said.err
    );
    assert!(desk.names("out").is_empty());
}

#[test]
fn nothing_but_the_results_is_left_beside_the_job() {
    let (desk, said) = planned();
    said.ended_with(0);
    assert_eq!(desk.names(""), ["catalogue-metric", "courtyard", "out"]);
}

#[test]
fn json_says_the_same_facts() {
    let (_, said) = planned();
    said.ended_with(0);
    let words: Vec<&str> = PLAN_COURTYARD.iter().copied().chain(["--json"]).collect();
    let again = Desk::with_courtyard();
    let json = again.run(&words);
    json.ended_with(0);
    let json: serde_json::Value =
        serde_json::from_str(&json.out).expect("one JSON value on standard output");
    assert_eq!(json["result"], "feasible");
    assert_eq!(json["fixtures"], 12);
    let price = json["price"].as_str().expect("a price");
    assert!(said.out.contains(price), "{price} is not in\n{}", said.out);
    let (cost, bound) = (number(&json["direct_cost"]), number(&json["bound"]));
    assert!(bound > 0.0 && bound <= cost, "bound {bound}, cost {cost}");
    assert_eq!(json["files"].as_array().map(Vec::len), Some(RESULTS.len()));
}

fn number(value: &serde_json::Value) -> f64 {
    value.as_f64().expect("a number")
}

#[test]
fn one_thread_and_two_write_the_same_bytes() {
    let (desk, said) = planned();
    said.ended_with(0);
    let again = Desk::with_courtyard();
    let words: Vec<&str> = PLAN_COURTYARD
        .iter()
        .copied()
        .chain(["--threads", "1"])
        .collect();
    again.run(&words).ended_with(0);
    for name in RESULTS {
        let name = format!("out/{name}");
        let (one, two) = (fs::read(desk.path(&name)), fs::read(again.path(&name)));
        assert_eq!(one.expect("there"), two.expect("there"), "{name} differs");
    }
}

#[test]
fn a_refused_job_leaves_an_earlier_plan_untouched() {
    let desk = Desk::with_courtyard();
    desk.run(&PLAN_COURTYARD).ended_with(0);
    let before: Vec<Vec<u8>> = RESULTS
        .iter()
        .map(|name| fs::read(desk.path(&format!("out/{name}"))).expect("there"))
        .collect();
    desk.edit("courtyard/fixtures.csv", "spot-wide", "spot-wyde");
    let said = desk.run(&PLAN_COURTYARD);
    said.ended_with(2);
    assert_eq!(said.out, "");
    let after: Vec<Vec<u8>> = RESULTS
        .iter()
        .map(|name| fs::read(desk.path(&format!("out/{name}"))).expect("there"))
        .collect();
    assert!(before == after, "the earlier results changed");
}

#[test]
fn a_folder_with_something_of_the_user_in_it_is_not_written_to() {
    let desk = Desk::with_courtyard();
    fs::create_dir(desk.path("out")).expect("made");
    fs::write(desk.path("out/notes.txt"), "mine").expect("written");
    let said = desk.run(&PLAN_COURTYARD);
    said.ended_with(2);
    assert!(said.err.contains("`notes.txt`"), "{}", said.err);
    assert_eq!(desk.names("out"), ["notes.txt"]);
}

#[test]
fn a_job_that_cannot_be_served_names_the_fixture_and_what_would_help() {
    let desk = Desk::with_courtyard();
    // A window that begins above anything the taps (12 to 15 V) can give.
    desk.edit(
        "catalogue-metric/fixture_models.csv",
        "spot-small,6.5,5,12,0,9,15",
        "spot-small,6.5,5,12,0,16,18",
    );
    let said = desk.run(&PLAN_COURTYARD);
    said.ended_with(3);
    for words in [
        "Trough",
        "Arch",
        "no tap that may be used",
        "smallest change, any one of:",
        "- a tap of at least 1",
        "highest_tap_v",
        "- a fixture whose window begins at 1",
    ] {
        assert!(said.out.contains(words), "no `{words}` in\n{}", said.out);
    }
    assert!(desk.names("out").is_empty());
}

#[test]
fn a_proof_that_no_plan_exists_is_json_too() {
    let desk = Desk::with_courtyard();
    desk.edit(
        "catalogue-metric/fixture_models.csv",
        "spot-small,6.5,5,12,0,9,15",
        "spot-small,6.5,5,12,0,16,18",
    );
    let words: Vec<&str> = PLAN_COURTYARD.iter().copied().chain(["--json"]).collect();
    let said = desk.run(&words);
    said.ended_with(3);
    let json: serde_json::Value = serde_json::from_str(&said.out).expect("one JSON value");
    let proof = &json["unserved"][0]["proof"];
    assert_eq!(proof["binds"], "taps");
    // 16 V and the courtyard's margin of 0.4 V.
    assert!((number(&proof["needed_v"]) - 16.4).abs() < 1e-9);
    let best = number(&proof["best_v"]);
    let changes = proof["changes"].as_array().expect("changes");
    let value = |kind: &str| {
        let of_kind = changes.iter().find(|change| change["kind"] == kind);
        number(&of_kind.unwrap_or_else(|| panic!("no {kind} in {changes:?}"))["value"])
    };
    assert!((value("window low end") - (best - 0.4)).abs() < 1e-9);
    assert!(value("higher tap") > 15.0);
}

#[test]
fn a_job_with_too_little_transformer_says_so_and_what_would_likely_help() {
    let desk = Desk::with_courtyard();
    // One place, on the barn wall, and no transformer above 40 VA.
    desk.edit(
        "courtyard/sites.csv",
        "barn-wall,0,600,1,2",
        "barn-wall,0,600,1,1",
    );
    desk.edit("courtyard/sites.csv", "kitchen-wall,130.00,900,1,1\n", "");
    for (tag, rated) in [("tr-100", "100"), ("tr-200", "200"), ("tr-400", "400")] {
        desk.edit(
            "catalogue-metric/transformers.csv",
            &format!("{tag},magnetic,{rated},"),
            &format!("{tag},magnetic,40,"),
        );
    }
    let said = desk.run(&PLAN_COURTYARD);
    said.ended_with(4);
    for words in [
        "no plan found; left over:",
        "optimistic",
        "load on transformers",
        "/ 32 VA: short",
        "would likely help (not proven)",
        "a transformer model rated for at least",
        "a further outlet and wall place at site `barn-wall`",
        "a further transformer site",
    ] {
        assert!(said.out.contains(words), "no `{words}` in\n{}", said.out);
    }
    assert!(desk.names("out").is_empty());
    let words: Vec<&str> = PLAN_COURTYARD.iter().copied().chain(["--json"]).collect();
    let json = desk.run(&words);
    json.ended_with(4);
    let json: serde_json::Value = serde_json::from_str(&json.out).expect("one JSON value");
    assert_eq!(json["resources"][0]["state"], "short");
    assert_eq!(json["likely_changes"][0]["kind"], "larger transformer");
    let likely = &json["unserved"][0]["likely"];
    assert!(number(&likely["best_v"]) > number(&likely["needed_v"]));
}

#[test]
fn a_date_that_is_none_is_refused_before_the_job_is_read() {
    let desk = Desk::with_courtyard();
    let said = desk.run(&["plan", "nowhere", "--out", "out", "--date", "2026-02-30"]);
    said.ended_with(2);
    assert!(said.err.contains("2026-02-30"), "{}", said.err);
}

#[test]
fn a_job_that_is_not_there_is_named() {
    let desk = Desk::with_courtyard();
    let said = desk.run(&["plan", "nowhere", "--out", "out"]);
    said.ended_with(1);
    assert!(said.err.contains("nowhere"), "{}", said.err);
}
