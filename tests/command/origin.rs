//! Version, hash of the input, effort and seed in what the commands write.

use crate::desk::{Desk, planned};
use std::fs;
use std::path::Path;

/// Whether a file says how it was made, and whether the input's hash is `hash` if that is known.
fn says(path: &Path, hash: Option<&str>, search: &str) {
    let bytes = fs::read(path).expect("a file");
    let held = |text: &str| {
        let plain = text.as_bytes();
        // Texts of a PDF's description may be written in UTF-16 or in its hexadecimal digits.
        let wide: Vec<u8> = plain.iter().flat_map(|&byte| [0, byte]).collect();
        let digits = |bytes: &[u8]| -> Vec<u8> {
            let digits: String = bytes.iter().map(|byte| format!("{byte:02X}")).collect();
            digits.into_bytes()
        };
        [plain.to_vec(), wide.clone(), digits(plain), digits(&wide)]
            .iter()
            .any(|form| bytes.windows(form.len()).any(|part| part == form))
    };
    let name = path.display();
    assert!(held(env!("CARGO_PKG_VERSION")), "{name}: no version");
    assert!(held(search), "{name}: not `{search}`");
    if let Some(hash) = hash {
        assert!(held(hash), "{name}: not the input's hash");
    }
}

fn hash_of(desk: &Desk) -> String {
    let plan: serde_json::Value = serde_json::from_str(&desk.text("out/plan.json")).expect("JSON");
    let hash = plan["header"]["input_hash"].as_str().expect("a hash");
    assert_eq!(hash.len(), 64);
    hash.to_owned()
}

#[test]
fn a_plan_and_its_papers() {
    let (desk, said) = planned();
    said.ended_with(0);
    let hash = hash_of(desk);
    for file in ["bill.csv", "report.pdf"] {
        says(
            &desk.path(&format!("out/{file}")),
            Some(&hash),
            "effort quick, seed 1",
        );
    }
    let plan = desk.path("out/plan.json");
    says(&plan, Some(&hash), "\"effort\": \"quick\"");
    says(&plan, Some(&hash), "\"seed\": 1");
}

#[test]
fn an_order() {
    let (first, said) = planned();
    said.ended_with(0);
    let desk = Desk::with_courtyard();
    desk.lay(&first.path("out"), "out");
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
    let made = list
        .lines()
        .find(|line| line.starts_with("made,input_sha256,"));
    let hash = made.expect("a row for the input").split(',').nth(2);
    let hash = hash.expect("a hash");
    assert_eq!(hash.len(), 64);
    for file in ["order.csv", "order.pdf", "cut-sheet.pdf", "labels.pdf"] {
        let path = desk.path(&format!("order/{file}"));
        says(&path, Some(hash), "effort quick, seed 1");
    }
}

#[test]
fn a_comparison() {
    let desk = Desk::with_courtyard();
    let words = [
        "compare",
        "courtyard",
        "--effort",
        "quick",
        "--seed",
        "3",
        "--csv",
        "compared.csv",
        "--pdf",
        "compared.pdf",
        "--date",
        "2026-03-28",
    ];
    desk.run(&words).ended_with(0);
    for file in ["compared.csv", "compared.pdf"] {
        says(&desk.path(file), None, "effort quick, seed 3");
    }
    let table = desk.text("compared.csv");
    assert!(table.contains("\ninput_sha256,,"), "{table}");
}

#[test]
fn a_portfolio() {
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
    let table = desk.text("week/portfolio.csv");
    assert!(table.contains("\nmade,input_sha256,"), "{table}");
    for file in ["portfolio.csv", "portfolio.pdf"] {
        says(
            &desk.path(&format!("week/{file}")),
            None,
            "effort quick, seed 1",
        );
    }
}
