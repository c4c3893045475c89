//! `job.toml` as JSON Schema, from the declarations that the reader obeys.
//!
//! Editors use it to complete keys and to mark slips while typing. It is stricter than the
//! reader in one point, on purpose: a key that nobody reads is refused here and only noted
//! there. What no single value can show (tags, sums, files) is for the reader alone.

use super::column::{Column, Home, Table};
use super::raw::{SCHEMA, TABLES};
use super::value::Kind;
use serde_json::{Map, Value, json};

/// JSON Schema (draft 2020-12) of `job.toml`; ends with a line end, the same text each time.
#[must_use]
pub fn settings_json_schema() -> String {
    let mut root = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "job.toml",
    });
    for (table, shapes, kinds) in TABLES.iter().filter(|(table, ..)| table.home.is_settings()) {
        let section = section(table, shapes, kinds);
        let place = parent_of(&mut root, table.name);
        match table.home {
            Home::Entries => {
                *place = json!({ "type": "array", "description": table.what, "items": section });
            }
            _ => merge(place, section),
        }
    }
    root["properties"]["schema"]["const"] = json!(SCHEMA);
    require_sections(&mut root);
    let mut text = serde_json::to_string_pretty(&root).expect("a schema is plain JSON");
    text.push('\n');
    text
}

/// The schema of a section inside that of the whole, made where it is not there yet.
fn parent_of<'a>(root: &'a mut Value, name: &str) -> &'a mut Value {
    let steps = name.split('.').filter(|step| !step.is_empty());
    steps.fold(root, |place, step| &mut place["properties"][step])
}

/// Sections that must be there, among the keys of the top.
fn require_sections(root: &mut Value) {
    let sections = TABLES
        .iter()
        .map(|(table, ..)| table)
        .filter(|table| table.home == Home::Settings && table.required && !table.name.is_empty());
    if let Some(required) = root["required"].as_array_mut() {
        required.extend(sections.map(|table| json!(table.name)));
    }
}

fn merge(place: &mut Value, section: Value) {
    let (Value::Object(section), false) = (section, place.is_array()) else {
        return;
    };
    if place.is_null() {
        *place = Value::Object(Map::new());
    }
    for (key, value) in section {
        place[key] = value;
    }
}

/// One section: its keys, in each unit in which they may be written.
fn section(table: &Table, shapes: &[&str], kinds: &[Kind]) -> Value {
    let mut keys = Map::new();
    let mut required = Vec::new();
    let mut one_of_two = Vec::new();
    for ((column, shape), kind) in table.columns.iter().zip(shapes).zip(kinds) {
        let names: Vec<String> = column.headings().map(|(_, name)| name).collect();
        for name in &names {
            keys.insert(name.clone(), key(column, shape, *kind));
        }
        match names.as_slice() {
            [only] if column.required => required.push(json!(only)),
            [_, _] => one_of_two.push(choice(&names, column.required)),
            _ => {}
        }
    }
    let mut section = json!({
        "type": "object",
        "description": table.what,
        "additionalProperties": false,
        "properties": keys,
        "required": required,
    });
    if !one_of_two.is_empty() {
        section["allOf"] = Value::Array(one_of_two);
    }
    section
}

/// A key that may be written in either unit, never in both.
fn choice(names: &[String], required: bool) -> Value {
    if required {
        let each = names.iter().map(|name| json!({ "required": [name] }));
        json!({ "oneOf": each.collect::<Vec<_>>() })
    } else {
        json!({ "not": { "required": names } })
    }
}

fn key(column: &Column, shape: &str, kind: Kind) -> Value {
    let mut key = match kind {
        Kind::Number => json!({ "type": "number" }),
        Kind::Text => json!({ "type": "string" }),
        Kind::YesNo => json!({ "type": "boolean" }),
        Kind::List => json!({ "type": "array", "items": { "type": "string" } }),
        Kind::Size => json!({ "type": ["number", "string"] }),
    };
    if kind == Kind::Number {
        let (low, excluded, high) = column.range.ends();
        key[if excluded {
            "exclusiveMinimum"
        } else {
            "minimum"
        }] = json!(low);
        key["maximum"] = json!(high);
    }
    let ending = if column.required {
        format!(" ({shape}, required)")
    } else {
        format!(" ({shape}, default: {})", column.default)
    };
    key["description"] = json!(format!("{}{ending}", column.what));
    key
}
