//! `duskwright rebuild`.

use crate::desk::{Desk, PLAN_COURTYARD, Said, planned};
use serde_json::Value;
use std::fs;

/// A desk with the courtyard planned.
fn desk() -> Desk {
    let (made, said) = planned();
    said.ended_with(0);
    let desk = Desk::with_courtyard();
    fs::create_dir(desk.path("out")).expect("made");
    fs::copy(made.path("out/plan.json"), desk.path("out/plan.json")).expect("copied");
    desk
}

/// Folds rows of changes in.
fn rebuild(desk: &Desk, job: &str, plan: &str, rows: &str, out: &str) -> Said {
    fs::write(desk.path("changes.csv"), format!("what,name,to\n{rows}")).expect("written");
    let words = ["rebuild", job, plan, "changes.csv", "--out", out];
    desk.run(&[&words[..], &["--date", "2026-04-11"]].concat())
}

fn plan(desk: &Desk, name: &str) -> Value {
    serde_json::from_str(&desk.text(name)).expect("a plan")
}

/// Every piece of a plan whose route takes this path, with its length.
fn lengths_through(plan: &Value, from: &str, to: &str) -> Vec<f64> {
    let circuits = plan["circuits"].as_array().expect("circuits");
    let pieces = circuits
        .iter()
        .flat_map(|circuit| circuit["pieces"].as_array().expect("pieces"));
    let through = pieces.filter(|piece| {
        let route = piece["route"].as_array().expect("a route");
        route.iter().any(|step| {
            let ends = [&step["from"], &step["to"]];
            ends == [from, to] || ends == [to, from]
        })
    });
    through
        .map(|piece| piece["length_m"].as_f64().expect("a length"))
        .collect()
}

#[test]
fn a_measured_length_and_a_moved_fixture_change_job_plan_and_bill() {
    let desk = Desk::with_courtyard();
    let leads = "catalogue-metric/fixture_models.csv";
    desk.edit(leads, "12,1,9,15,lead-1.0,3.00", "12,1,9,15,lead-1.0,4.20");
    desk.run(&PLAN_COURTYARD).ended_with(0);
    let before = plan(&desk, "out/plan.json");
    let said = rebuild(
        &desk,
        "courtyard",
        "out/plan.json",
        "path,steps/bench,3.40\nfixture,Steps,kitchen-door\n",
        "built",
    );
    said.ended_with(0);
    assert!(said.out.contains("2 changes folded"), "{}", said.out);
    let paths = desk.text("courtyard/paths.csv");
    let wheel = "bench,steps,3.0,gravel";
    assert_eq!(
        desk.text("built/paths.csv"),
        paths.replace(wheel, "bench,steps,3.40,gravel")
    );
    assert!(
        desk.text("built/fixtures.csv")
            .contains("Steps,kitchen-door,step")
    );
    let after = plan(&desk, "built/plan.json");
    let (short, long) = (
        lengths_through(&before, "bench", "steps"),
        lengths_through(&after, "bench", "steps"),
    );
    // The wheel said 3.0 m, the tape 3.4 m: every piece through it is 0.4 m longer.
    assert!(!short.is_empty());
    assert!(
        short
            .iter()
            .zip(&long)
            .all(|(short, long)| (long - short - 0.4).abs() < 1e-9),
        "{short:?} {long:?}"
    );
    let lead = after["circuits"]
        .as_array()
        .expect("circuits")
        .iter()
        .flat_map(|circuit| circuit["leads"].as_array().expect("leads"))
        .find(|lead| lead["fixture"] == "Steps")
        .expect("served");
    // The joint stands at the old node or at the new one: no way is longer than the path between.
    assert!(lead["route"].as_array().expect("a route").len() <= 1);
    desk.run(&["verify", "built", "built/plan.json"])
        .ended_with(0);
    let history = desk.text("built/changes.csv");
    let (changes, _) = history
        .split_once("made,")
        .expect("rows say how it was made");
    assert_eq!(
        changes,
        "number,date,what,name,was,to\n\
         1,2026-04-11,path,steps/bench,3.0,3.40\n\
         2,2026-04-11,fixture,Steps,steps,kitchen-door\n"
    );
    let bill = desk.text("built/bill.csv");
    assert!(bill.lines().count() > 5, "{bill}");
}

#[test]
fn swapped_taps_are_two_rows_and_what_they_break_is_told() {
    let desk = desk();
    let first = "path,steps/bench,3.40\n";
    rebuild(&desk, "courtyard", "out/plan.json", first, "built").ended_with(0);
    let taps = |name: &str| -> Vec<String> {
        let plan = plan(&desk, name);
        let circuits = plan["circuits"].as_array().expect("circuits").clone();
        let tap = |circuit: &Value| circuit["tap"].as_str().expect("a tap").to_owned();
        circuits.iter().map(tap).collect()
    };
    let planned = taps("out/plan.json");
    assert_eq!(planned.len(), 2);
    assert_ne!(planned[0], planned[1], "the sample hangs on two taps");
    let rows = format!("tap,C1,{}\ntap,C2,{}\n", planned[1], planned[0]);
    let said = rebuild(&desk, "built", "built/plan.json", &rows, "swapped");
    // The wall lamp bears 12 V at most; the higher tap gives it more.
    said.ended_with(5);
    assert!(said.out.contains("Door"), "{}", said.out);
    assert_eq!(
        taps("swapped/plan.json"),
        [planned[1].clone(), planned[0].clone()]
    );
    // The history of the first rebuild goes with the job.
    let history = desk.text("swapped/changes.csv");
    let rows: Vec<&str> = history.lines().collect();
    assert_eq!(rows[1], "1,2026-04-11,path,steps/bench,3.0,3.40");
    assert!(rows[2].starts_with("2,2026-04-11,tap,C1,"), "{history}");
    assert!(rows[3].starts_with("3,2026-04-11,tap,C2,"), "{history}");
    // Expected readings follow what is in the ground.
    let words = ["readings", "swapped", "swapped/plan.json", "--out", "sheet"];
    desk.run(&[&words[..], &["--draws", "60"]].concat())
        .ended_with(0);
}

#[test]
fn what_cannot_be_folded_in_is_refused_and_nothing_is_written() {
    let desk = desk();
    fs::write(desk.path("changes.csv"), "").expect("written");
    let before = desk.names(".");
    let cases = [
        ("path,steps/moon,3\n", "line 2: path `steps/moon`"),
        (
            "path,gate-right/gate-left,3\n",
            "gate-right/gate-left/sleeve",
        ),
        ("path,steps/bench,much\n", "paths.csv"),
        ("fixture,Nobody,steps\n", "no such fixture"),
        ("fixture,Steps,moon\n", "fixtures.csv"),
        ("fixture,Door,steps\n", "has no lead"),
        ("tap,C9,13\n", "accepted: \"C1\", \"C2\""),
        ("tap,C1,99\n", "accepted: \"12\", \"13\", \"14\""),
        ("lamp,Steps,x\n", "accepted: path, fixture, tap"),
        ("tap,C1,\n", "`to` is empty"),
        ("", "no change in it"),
    ];
    for (rows, words) in cases {
        let said = rebuild(&desk, "courtyard", "out/plan.json", rows, "built");
        said.ended_with(2);
        assert!(said.err.contains(words), "no `{words}` in\n{}", said.err);
        assert_eq!(desk.names("."), before, "after {rows}");
    }
    let rows = "path,steps/bench,3.40\n";
    let there = rebuild(&desk, "courtyard", "out/plan.json", rows, "out");
    there.ended_with(2);
    assert!(there.err.contains("it is there already"), "{}", there.err);
    fs::create_dir(desk.path("other")).expect("made");
    let apart = rebuild(&desk, "courtyard", "out/plan.json", rows, "other/built");
    apart.ended_with(2);
    assert!(apart.err.contains("catalogue"), "{}", apart.err);
    assert!(desk.names("other").is_empty());
}

#[test]
fn an_edited_history_is_not_dropped() {
    let desk = desk();
    fs::write(desk.path("courtyard/changes.csv"), "notes\nmine\n").expect("written");
    let rows = "path,steps/bench,3.40\n";
    let said = rebuild(&desk, "courtyard", "out/plan.json", rows, "built");
    said.ended_with(2);
    assert!(
        said.err.contains("not a history of changes"),
        "{}",
        said.err
    );
    assert!(desk.names("built").is_empty());
}
