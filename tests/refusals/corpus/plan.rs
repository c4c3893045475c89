//! `plan.json`: every key of a sound plan taken away, misspelt, or given another kind of
//! value; tags and labels that nothing has; shapes that are no plan.

use duskwright_solver::plan::json::from_json;
use duskwright_tests::build::{chain, plan_json, row};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// Longest message kept, characters: what a mistake leads to is told once.
const KEPT: usize = 400;

fn sound() -> String {
    plan_json(&row(), &chain(), None)
}

/// Pointers to every value; of a list only to the first entry.
fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
    match value {
        Value::Object(keys) => {
            for (key, inner) in keys {
                let here = format!("{at}/{key}");
                found.push(here.clone());
                pointers(inner, &here, found);
            }
        }
        Value::Array(entries) => {
            if let Some(first) = entries.first() {
                pointers(first, &format!("{at}/0"), found);
            }
        }
        _ => {}
    }
}

/// Every breakage of the plan: what was done, and the text.
fn cases() -> Vec<(String, String)> {
    let whole: Value = serde_json::from_str(&sound()).expect("a sound plan is JSON");
    let mut found = Vec::new();
    pointers(&whole, "", &mut found);
    let mut cases = Vec::new();
    for pointer in found {
        let (above, key) = pointer.rsplit_once('/').expect("a pointer has a slash");
        let altered = |alter: &dyn Fn(&mut Value)| {
            let mut plan = whole.clone();
            alter(plan.pointer_mut(above).expect("just found"));
            serde_json::to_string_pretty(&plan).expect("JSON")
        };
        cases.push((
            format!("{pointer} taken away"),
            altered(&|keys| {
                keys.as_object_mut().expect("an object").remove(key);
            }),
        ));
        let put = |value: Value| altered(&|keys: &mut Value| keys[key] = value.clone());
        let now = whole.pointer(&pointer).expect("just found");
        if now.is_string() {
            cases.push((format!("{pointer} of another name"), put(json!("qqq"))));
            cases.push((format!("{pointer} a number"), put(json!(7))));
        } else {
            cases.push((format!("{pointer} a word"), put(json!("qqq"))));
            cases.push((format!("{pointer} below zero"), put(json!(-7))));
        }
    }
    let text = sound();
    cases.extend([
        ("empty".to_owned(), String::new()),
        ("another kind of file".to_owned(), "%PDF-1.7\n".to_owned()),
        (
            "cut in the middle".to_owned(),
            text[..text.len() / 2].to_owned(),
        ),
        ("a list 5000 deep".to_owned(), "[".repeat(5000)),
        (
            "a newer version with keys of its own".to_owned(),
            text.replacen(
                "\"schema\": 1,",
                "\"schema\": 2,\n  \"weather\": \"rain\",",
                1,
            ),
        ),
        (
            "a version that is no number".to_owned(),
            text.replacen("\"schema\": 1", "\"schema\": \"1\"", 1),
        ),
        (
            "a key given twice".to_owned(),
            text.replacen("\"schema\": 1,", "\"schema\": 1,\n  \"schema\": 1,", 1),
        ),
    ]);
    cases
}

#[test]
fn every_broken_plan_is_refused_with_place_and_what_is_accepted() {
    let job = row();
    let (mut said, mut accepted, mut refused) = (String::new(), Vec::new(), 0);
    for (name, text) in cases() {
        match from_json(&job, &text) {
            Ok(_) => accepted.push(name),
            Err(faults) => {
                refused += 1;
                let message = faults.to_string();
                let placed = message.contains("line ")
                    || message.contains('[')
                    || message.contains("schema:")
                    || message.contains("job.name:");
                assert!(placed, "{name}: names no place\n{message}");
                let mut kept: String = message.chars().take(KEPT).collect();
                if kept.len() < message.len() {
                    kept.push('…');
                }
                write!(said, "## {name}\n{kept}\n\n").expect("writing to a string");
            }
        }
    }
    assert!(refused >= 100, "only {refused} broken plans were refused");
    let accepted = accepted.join("\n  ");
    insta::assert_snapshot!(
        "plan_file",
        format!("{said}## read without complaint\n  {accepted}\n")
    );
}
