//! Licences: ours is there, and those of all dependencies are on the list in `deny.toml`.

use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Whether a licence expression can be met by what is allowed: one branch of every choice.
fn met(expression: &str, allowed: &[&str]) -> bool {
    let flat = expression.replace('/', " OR ").replace(['(', ')'], " ");
    let branch = |part: &str| allowed.contains(&part.trim());
    // `A OR B AND C`, brackets dropped: every conjunct needs one branch on the list.
    flat.split(" AND ")
        .all(|conjunct| conjunct.split(" OR ").any(branch))
}

#[test]
fn every_dependency_has_a_licence_on_the_list() {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--offline", "--locked"])
        .current_dir(root())
        .output()
        .expect("cargo runs");
    if !output.status.success() {
        eprintln!("skipped: {}", String::from_utf8_lossy(&output.stderr));
        return;
    }
    let tree: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let list = std::fs::read_to_string(root().join("deny.toml")).expect("the list is there");
    let list: toml::Table = toml::from_str(&list).expect("TOML");
    let allowed = list["licenses"]["allow"].as_array().expect("a list");
    let allowed: Vec<&str> = allowed.iter().filter_map(toml::Value::as_str).collect();
    let packages = tree["packages"].as_array().expect("packages");
    assert!(packages.len() > 50, "only {} packages", packages.len());
    for package in packages {
        let name = package["name"].as_str().unwrap_or_default();
        let licence = package["license"].as_str();
        let licence = licence.unwrap_or_else(|| panic!("{name} names no licence"));
        assert!(
            met(licence, &allowed),
            "{name}: {licence} is not on the list in deny.toml"
        );
    }
}

#[test]
fn the_expression_is_read_as_it_is_meant() {
    let allowed = ["MIT", "Zlib", "Apache-2.0 WITH LLVM-exception"];
    for (expression, right) in [
        ("MIT OR GPL-3.0", true),
        ("GPL-3.0/MIT", true),
        ("GPL-3.0", false),
        ("(MIT OR GPL-3.0) AND Zlib", true),
        ("(MIT OR Zlib) AND GPL-3.0", false),
        ("Apache-2.0 WITH LLVM-exception OR GPL-3.0", true),
    ] {
        assert_eq!(met(expression, &allowed), right, "{expression}");
    }
}

#[test]
fn both_of_our_licences_are_there_whole() {
    for (file, words) in [
        ("LICENSE-MIT", "Permission is hereby granted"),
        ("LICENSE-APACHE", "TERMS AND CONDITIONS"),
    ] {
        let text = std::fs::read_to_string(root().join(file)).expect("there");
        assert!(text.contains(words), "{file}");
    }
}
