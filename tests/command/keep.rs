//! `duskwright plan --keep` and `--decisions`.

use crate::desk::{Desk, PLAN_COURTYARD};
use std::fs;

#[test]
fn a_plan_kept_under_the_same_prices_stays_as_it_is() {
    let desk = Desk::with_courtyard();
    desk.run(&PLAN_COURTYARD).ended_with(0);
    fs::copy(desk.path("out/plan.json"), desk.path("sent.json")).expect("copied");
    let said = desk.run(&[
        "plan",
        "courtyard",
        "--out",
        "again",
        "--effort",
        "quick",
        "--seed",
        "7",
        "--keep",
        "sent.json",
        "--tolerance",
        "30",
        "--date",
        "2026-03-28",
    ]);
    said.ended_with(0);
    let line = said.out.lines().find(|line| line.contains("as they were"));
    let words: Vec<&str> = line.expect("said").split_whitespace().collect();
    // `plan kept  2 of 2 circuits as they were`
    assert_eq!(words[2], words[4], "{}", said.out);
}

#[test]
fn decisions_are_kept_and_checked() {
    let desk = Desk::with_courtyard();
    let tags: Vec<String> = desk
        .text("courtyard/fixtures.csv")
        .lines()
        .skip(1)
        .filter_map(|line| line.split(',').next().map(str::to_owned))
        .collect();
    let rows = format!(
        "decision,subject,object\nother_circuit,{},{}\n",
        tags[0], tags[1]
    );
    fs::write(desk.path("decided.csv"), rows).expect("written");
    let mut words = PLAN_COURTYARD.to_vec();
    words.extend(["--decisions", "decided.csv"]);
    desk.run(&words).ended_with(0);
    let plan: serde_json::Value =
        serde_json::from_str(&desk.text("out/plan.json")).expect("a plan");
    let circuit_of = |tag: &str| {
        let circuits = plan["circuits"].as_array().expect("circuits");
        let serves = |circuit: &serde_json::Value| {
            circuit["leads"].to_string().contains(&format!("\"{tag}\""))
        };
        circuits.iter().position(serves).expect("served")
    };
    assert_ne!(circuit_of(&tags[0]), circuit_of(&tags[1]));
}

#[test]
fn unknown_names_and_contradictions_are_told_together() {
    let desk = Desk::with_courtyard();
    fs::write(
        desk.path("decided.csv"),
        "decision,subject,object\nsame_circuit,nobody,noone\ncircuit,nobody,C1\nhang,x,y\n",
    )
    .expect("written");
    let mut words = PLAN_COURTYARD.to_vec();
    words.extend(["--decisions", "decided.csv"]);
    let said = desk.run(&words);
    said.ended_with(2);
    for part in [
        "line 2",
        "no fixture `nobody`",
        "line 4",
        "accepted: same_circuit",
    ] {
        assert!(said.err.contains(part), "{}", said.err);
    }
}
