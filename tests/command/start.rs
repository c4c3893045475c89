//! The first hour: `new`, `schema`, `completions`, `manual`.

use crate::desk::{Desk, planned};
use jsonschema::validator_for;
use serde_json::Value;
use std::fs;
use std::path::Path;

/// What a schema finds wrong with a value.
fn mistakes(schema: &str, value: &Value) -> Vec<String> {
    let schema: Value = serde_json::from_str(schema).expect("a schema is JSON");
    let validator = validator_for(&schema).expect("a lawful schema");
    validator
        .iter_errors(value)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect()
}

fn settings(text: &str) -> Value {
    let table: toml::Table = toml::from_str(text).expect("TOML");
    serde_json::to_value(table).expect("JSON")
}

#[test]
fn a_starter_job_is_sound_and_plans_as_it_stands_in_either_units() {
    for units in ["metric", "us"] {
        let desk = Desk::with_courtyard();
        let said = desk.run(&["new", "elm court", "--units", units]);
        said.ended_with(0);
        let inspected = desk.run(&["inspect", "elm court"]);
        inspected.ended_with(0);
        assert!(inspected.err.is_empty(), "{}", inspected.err);
        let plan = ["plan", "elm court", "--out", "out", "--effort", "quick"];
        let said = desk.run(&plan);
        said.ended_with(0);
        assert!(said.out.contains("elm court: 6 fixtures"), "{}", said.out);
        assert!(desk.text("elm court/job.toml").contains("invented"));
    }
}

#[test]
fn a_starter_job_takes_an_empty_folder_and_no_other() {
    let desk = Desk::with_courtyard();
    fs::create_dir(desk.path("empty")).expect("made");
    desk.run(&["new", "empty", "--name", "Elm \"Court\" \\ 7"])
        .ended_with(0);
    let inspected = desk.run(&["inspect", "empty"]);
    inspected.ended_with(0);
    assert!(inspected.out.contains("Elm \"Court\" \\ 7: in order"));
    let before = desk.names("courtyard");
    let said = desk.run(&["new", "courtyard"]);
    said.ended_with(2);
    assert!(said.err.contains("it holds `"), "{}", said.err);
    assert_eq!(desk.names("courtyard"), before);
    let said = desk.run(&["new", "other", "--name", "two\nlines"]);
    said.ended_with(2);
    assert!(said.err.contains("accepted: 1 to 500"), "{}", said.err);
    assert!(!desk.path("other").exists());
}

#[test]
fn the_schema_of_a_job_passes_every_sample_and_finds_slips() {
    let desk = Desk::with_courtyard();
    let schema = desk.run(&["schema", "job"]);
    schema.ended_with(0);
    desk.run(&["new", "us-job", "--units", "us"]).ended_with(0);
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../samples");
    let mut texts = vec![
        desk.text("us-job/job.toml"),
        duskwright_full_settings().to_owned(),
    ];
    for sample in ["courtyard", "garden", "estate"] {
        texts.push(fs::read_to_string(samples.join(sample).join("job.toml")).expect("a sample"));
    }
    for text in &texts {
        assert_eq!(mistakes(&schema.out, &settings(text)), [""; 0], "{text}");
    }
    let right = &texts[0];
    for (old, new, named) in [
        ("labour_per_hour", "labor_per_hour", "labour_per_hour"),
        ("schema   = 1", "schema   = 2", "schema"),
        (
            "overhead_percent  = 12",
            "overhead_percent = \"12\"",
            "overhead_percent",
        ),
        (
            "loading_percent           = 80",
            "loading_percent = 180",
            "loading_percent",
        ),
        ("amount = 48.00", "amuont = 48.00", "amount"),
        (
            "slack_hub_ft         = 1",
            "slack_hub_ft = 1\nslack_hub_m = 1",
            "rates",
        ),
    ] {
        assert!(right.contains(old), "{old} is not in\n{right}");
        let found = mistakes(&schema.out, &settings(&right.replace(old, new))).join("\n");
        assert!(found.contains(named), "{old} -> {new}: {found}");
    }
}

/// A job.toml with every section in it.
fn duskwright_full_settings() -> &'static str {
    const PAGE: &str = include_str!("../../cli/docs/job-folder.md");
    let start = PAGE.find("```toml\n").expect("an example on the page") + 8;
    let length = PAGE[start..].find("```").expect("the end of the example");
    &PAGE[start..start + length]
}

#[test]
fn the_schema_of_a_plan_passes_what_is_written_and_finds_what_is_not() {
    let (desk, said) = planned();
    said.ended_with(0);
    let schema = desk.run(&["schema", "plan"]);
    schema.ended_with(0);
    let plan: Value = serde_json::from_str(&desk.text("out/plan.json")).expect("JSON");
    assert_eq!(mistakes(&schema.out, &plan), [""; 0]);
    let mut wrong = plan.clone();
    wrong["circuits"][0]["gauge"] = Value::from("2x4");
    wrong["header"]["seed"] = Value::from("one");
    let found = mistakes(&schema.out, &wrong).join("\n");
    assert!(
        found.contains("gauge") && found.contains("/header/seed"),
        "{found}"
    );
}

#[test]
fn shells_learn_every_command() {
    let desk = Desk::with_courtyard();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let said = desk.run(&["completions", shell]);
        said.ended_with(0);
        for word in ["plan", "diagnose", "allow-outside"] {
            assert!(said.out.contains(word), "{shell} does not know {word}");
        }
    }
}

#[test]
fn the_manual_has_a_page_for_every_command_with_its_example() {
    let desk = Desk::with_courtyard();
    desk.run(&["manual", "--out", "man"]).ended_with(0);
    let names = desk.names("man");
    assert!(names.contains(&"duskwright.1".to_owned()), "{names:?}");
    for name in names.iter().filter(|name| *name != "duskwright.1") {
        let command = name
            .trim_start_matches("duskwright-")
            .trim_end_matches(".1");
        let page = desk.text(&format!("man/{name}")).replace("\\-", "-");
        assert!(page.starts_with(".ie") || page.contains(".TH"), "{name}");
        assert!(
            page.contains(&format!("duskwright {command}")),
            "{name}\n{page}"
        );
    }
    // A second run replaces its own pages.
    desk.run(&["manual", "--out", "man"]).ended_with(0);
    assert_eq!(desk.names("man"), names);
}
