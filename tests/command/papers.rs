//! The papers of a planned sample, read back by an outside reader and held against
//! the files beside them.

use crate::desk::{Desk, PLAN_COURTYARD, planned};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::process::Command;
use std::sync::OnceLock;

/// A desk on which the courtyard was planned once with every paper and drawing.
pub fn papered() -> &'static Desk {
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

/// The last figure of the first printed line that begins with `name` below `heading`.
#[track_caller]
fn printed(text: &str, heading: &str, name: &str) -> Decimal {
    let (_, below) = text
        .split_once(heading)
        .unwrap_or_else(|| panic!("no `{heading}`"));
    let line = below
        .lines()
        .find(|line| line.trim_start().starts_with(name))
        .unwrap_or_else(|| panic!("no `{name}` below `{heading}`"));
    figure(line).unwrap_or_else(|| panic!("no figure in `{line}`"))
}

/// The figure that ends a line; a minus stands before it, or before its currency.
fn figure(line: &str) -> Option<Decimal> {
    let mut words = line.split_whitespace().rev();
    let last = words.next()?;
    let digits = last
        .chars()
        .filter(|one| one.is_ascii_digit() || *one == '.');
    let amount: Decimal = digits.collect::<String>().parse().ok()?;
    let minus = |word: &str| word.starts_with(['-', '\u{2212}']);
    let negative = minus(last) || words.next().is_some_and(minus);
    Some(if negative { -amount } else { amount })
}

/// Nothing is lost between the plan file, the bill and the page: each part of the direct
/// cost is printed as plan.json states it, and what is printed adds up.
#[test]
fn printed_sums_agree_with_the_plan_file() {
    let (desk, said) = planned();
    said.ended_with(0);
    let Some(text) = text_of(desk, "out/report.pdf") else {
        return;
    };
    let plan: serde_json::Value =
        serde_json::from_str(&desk.text("out/plan.json")).expect("a plan");
    let results = &plan["results"];
    let parts = [
        ("trench", "Ground opened"),
        ("cable work", "Cable laid"),
        ("cable", "Cable  "),
        ("joints", "Splices"),
        ("hubs", "Hubs"),
        ("transformers", "Transformers"),
        ("sites", "Sites used"),
        ("further circuits", "Further mains circuits"),
        ("losses", "Present value"),
    ];
    const HEADING: &str = "Direct cost: what the search kept small";
    let half_a_cent = 0.005 + 1e-9;
    let mut sum = Decimal::ZERO;
    let stated = results["cost"].as_array().expect("parts of the cost");
    for part in stated {
        let kind = part["kind"].as_str().expect("a kind");
        let (_, name) = parts
            .iter()
            .find(|(word, _)| *word == kind)
            .unwrap_or_else(|| panic!("unknown part `{kind}`"));
        let shown = printed(&text, HEADING, name);
        let cost = part["cost"].as_f64().expect("a cost");
        let apart = shown.to_f64().expect("a number") - cost;
        assert!(apart.abs() <= half_a_cent, "{kind}: {shown} and {cost}");
        sum += shown;
    }
    assert!(stated.len() >= 4, "{stated:?}");
    let shown = printed(&text, HEADING, "Direct cost");
    if sum != shown {
        let rounding = printed(&text, HEADING, "Rounding");
        assert_eq!(sum + rounding, shown);
        assert!(rounding.abs() <= Decimal::new(5 * (stated.len() as i64 + 1), 3));
    }
    let direct = results["direct_cost"].as_f64().expect("the direct cost");
    let apart = shown.to_f64().expect("a number") - direct;
    assert!(apart.abs() <= half_a_cent, "{shown} and {direct}");
}

#[test]
fn printed_lines_add_up_to_the_printed_price() {
    let (desk, said) = planned();
    said.ended_with(0);
    let Some(text) = text_of(desk, "out/report.pdf") else {
        return;
    };
    let price = |name: &str| printed(&text, "\nPrice\n", name);
    let bill = desk.text("out/bill.csv");
    let mut rows = csv::Reader::from_reader(bill.as_bytes());
    let rows = rows.records().map(|row| row.expect("even rows"));
    let printed_amounts = rows.filter(|row| &row[0] == "line").map(|row| {
        let amount = grouped(&row[7]);
        let line = text
            .lines()
            .find(|line| line.contains(&row[3]) && line.trim_end().ends_with(&amount));
        let line = line.unwrap_or_else(|| panic!("no line `{}` with {amount}", &row[3]));
        figure(line).expect("an amount")
    });
    let cost: Decimal = printed_amounts.sum();
    assert_eq!(cost, price("Cost"));
    let by_class = price("Material") + price("Labour") + price("Subcontract");
    assert_eq!(by_class, cost);
    let before_tax = cost + price("Overhead") + price("Markup");
    assert_eq!(before_tax, price("Price before tax"));
    let tax: Decimal = text
        .lines()
        .filter(|line| line.trim_start().starts_with("Tax on "))
        .filter_map(figure)
        .sum();
    assert_eq!(before_tax + tax, price("Total"));
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
