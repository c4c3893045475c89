//! The papers of a planned sample, read back by an outside reader and held against
//! the files beside them.

use crate::desk::{Desk, PLAN_COURTYARD, planned};
use std::process::Command;
use std::sync::OnceLock;

/// A desk on which the courtyard was planned once with every paper and drawing.
fn papered() -> &'static Desk {
    static PAPERED: OnceLock<Desk> = OnceLock::new();
    PAPERED.get_or_init(|| {
        let desk = Desk::with_courtyard();
        let more = ["--papers", "all", "--svg"];
        let words: Vec<&str> = PLAN_COURTYARD.iter().copied().chain(more).collect();
        desk.run(&words).ended_with(0);
        desk
    })
}

/// Text of a PDF in reading order; `None`, and a word about it, without the reader.
fn text_of(desk: &Desk, name: &str) -> Option<String> {
    let read = Command::new("pdftotext")
        .arg("-layout")
        .arg(desk.path(name))
        .arg("-")
        .output();
    match read {
        Ok(output) => {
            assert!(output.status.success(), "{name} cannot be read");
            Some(String::from_utf8_lossy(&output.stdout).replace('\u{a0}', " "))
        }
        Err(_) => {
            eprintln!("skipped: pdftotext is not installed");
            None
        }
    }
}

/// `1234.50` as printed: `1,234.50`.
fn grouped(amount: &str) -> String {
    let (whole, cents) = amount.split_once('.').expect("cents");
    let mut out = String::new();
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    format!("{out}.{cents}")
}

#[test]
fn the_report_shows_every_line_of_the_bill_and_its_totals() {
    let (desk, said) = planned();
    said.ended_with(0);
    let Some(text) = text_of(desk, "out/report.pdf") else {
        return;
    };
    let bill = desk.text("out/bill.csv");
    let mut rows = csv::Reader::from_reader(bill.as_bytes());
    let mut lines = 0;
    for row in rows.records() {
        let row = row.expect("even rows");
        if &row[0] == "made" {
            continue;
        }
        let (kind, description, extension) = (&row[0], &row[3], grouped(&row[7]));
        if kind == "line" {
            lines += 1;
            let found = text
                .lines()
                .any(|line| line.contains(description) && line.contains(&extension));
            assert!(found, "{description} {extension}");
        } else if description == "Price with tax" || description == "Price before tax" {
            assert!(text.contains(&extension), "{description} {extension}");
        }
    }
    assert!(lines > 20, "{lines}");
}

#[test]
fn the_bid_and_the_buy_list_agree_with_the_bill() {
    let desk = papered();
    let (Some(bid), Some(buy)) = (text_of(desk, "out/bid.pdf"), text_of(desk, "out/buy.pdf"))
    else {
        return;
    };
    let bill = desk.text("out/bill.csv");
    let mut rows = csv::Reader::from_reader(bill.as_bytes());
    for row in rows.records() {
        let row = row.expect("even rows");
        if &row[0] == "made" {
            continue;
        }
        let amount = grouped(&row[7]);
        match (&row[0], &row[3]) {
            ("total", "Price before tax" | "Price with tax") => {
                assert!(bid.contains(&amount), "{} {amount}", &row[3]);
            }
            ("total", "Overhead" | "Markup" | "Cost") => {
                assert!(!bid.contains(&amount), "{} {amount}", &row[3]);
            }
            ("line", article) if article.starts_with("Splice ") => {
                let line = buy.lines().find(|line| line.contains(article));
                assert!(line.is_some_and(|line| line.contains(&amount)), "{article}");
            }
            _ => {}
        }
    }
}

#[test]
fn the_bid_prices_the_named_alternatives_and_tells_what_a_year_of_light_costs() {
    let desk = Desk::with_courtyard();
    let options = r#"
[[alternative]]
name = "Dear digging"
difference = "As if the ground were rock."
digging_factor = 3

[[alternative]]
name = "Nothing to buy"
most_fixtures_per_circuit = 1
transformers = ["tr-100"]
"#;
    std::fs::write(desk.path("options.toml"), options).expect("written");
    let more = ["--papers", "bid", "--alternatives", "options.toml"];
    let words: Vec<&str> = PLAN_COURTYARD.iter().copied().chain(more).collect();
    let said = desk.run(&words);
    said.ended_with(0);
    let Some(bid) = text_of(&desk, "out/bid.pdf") else {
        return;
    };
    let line = |words: &str| {
        let found = bid.lines().find(|line| line.contains(words));
        found.unwrap_or_else(|| panic!("no `{words}` in {bid}"))
    };
    let price = |line: &str| -> f64 {
        let figure = line.split_whitespace().last().expect("a price");
        figure.replace(',', "").parse().expect("a number")
    };
    assert!(line("As if the ground were rock.").contains("Dear digging"));
    assert!(price(line("Dear digging")) > price(line("As offered")));
    // Whether or not so many circuits find lugs, the client or the contractor is told.
    let left_out = said
        .err
        .contains("leaves out the alternative `Nothing to buy`");
    assert!(left_out != bid.contains("Nothing to buy"), "{}", said.err);
    // All night at 48 degrees north, civil twilight to civil twilight: 3,866 hours in 2026.
    assert!(line("dusk to dawn").contains("3,8"), "{bid}");
}

#[test]
fn alternatives_without_a_bid_are_refused() {
    let desk = Desk::with_courtyard();
    let more = ["--papers", "buy", "--alternatives", "options.toml"];
    let words: Vec<&str> = PLAN_COURTYARD.iter().copied().chain(more).collect();
    let said = desk.run(&words);
    said.ended_with(2);
    assert!(said.err.contains("write --papers bid too"), "{}", said.err);
}

#[test]
fn the_crew_reads_the_voltages_of_the_plan() {
    let desk = papered();
    let Some(crew) = text_of(desk, "out/crew.pdf") else {
        return;
    };
    let plan: serde_json::Value =
        serde_json::from_str(&desk.text("out/plan.json")).expect("a plan");
    let fixtures = plan["results"]["fixtures"].as_array().expect("fixtures");
    for fixture in fixtures {
        let tag = fixture["fixture"].as_str().expect("a tag");
        let volts = fixture["volts_expected_v"].as_f64().expect("a voltage");
        let shown = format!("{volts:.2}");
        let found = crew
            .lines()
            .any(|line| line.contains(tag) && line.contains(&shown));
        assert!(found, "{tag} {shown}");
    }
}

#[test]
fn outside_checkers_find_no_fault_in_any_file() {
    let desk = papered();
    for name in desk.names("out") {
        let path = desk.path(&format!("out/{name}"));
        let (program, arguments): (&str, &[&str]) = if name.ends_with(".pdf") {
            ("qpdf", &["--check"])
        } else if name.ends_with(".svg") {
            ("xmllint", &["--noout"])
        } else {
            continue;
        };
        match Command::new(program).args(arguments).arg(&path).output() {
            Ok(output) => assert!(
                output.status.success(),
                "{name}: {}{}",
                String::from_utf8_lossy(&output.stdout),
                String::from_utf8_lossy(&output.stderr)
            ),
            Err(_) => eprintln!("skipped: {program} is not installed"),
        }
    }
}
