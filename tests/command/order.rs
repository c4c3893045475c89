//! `duskwright order`.

use crate::desk::{Desk, planned};
use std::fs;
use std::io::Read;
use std::process::Command;

const PAPERS: [&str; 7] = [
    "cut-sheet.pdf",
    "cuts.csv",
    "labels.pdf",
    "order.csv",
    "order.pdf",
    "order.xlsx",
    "stock.csv",
];

/// The courtyard and its twin of another name, both planned.
fn desk() -> Desk {
    let (first, said) = planned();
    said.ended_with(0);
    let desk = Desk::with_courtyard();
    desk.copy_folder("courtyard", "twin");
    desk.edit("twin/job.toml", "Mill courtyard", "Twin courtyard");
    for job in ["courtyard", "twin"] {
        fs::create_dir_all(desk.path(&format!("plans/{job}"))).expect("made");
        fs::copy(
            first.path("out/plan.json"),
            desk.path(&format!("plans/{job}/plan.json")),
        )
        .expect("copied");
    }
    desk.edit("plans/twin/plan.json", "Mill courtyard", "Twin courtyard");
    desk
}

const ORDER: [&str; 9] = [
    "order",
    "courtyard",
    "twin",
    "--plans",
    "plans",
    "--out",
    "order",
    "--date",
    "2026-03-28",
];

#[test]
fn two_planned_jobs_leave_one_order() {
    let desk = desk();
    let said = desk.run(&ORDER);
    said.ended_with(0);
    assert_eq!(desk.names("order"), PAPERS);
    for words in [
        "Order for 2 jobs: Mill courtyard, Twin courtyard",
        "against cutting the jobs one after another",
        "proven least",
        "order.xlsx",
    ] {
        assert!(said.out.contains(words), "no `{words}` in\n{}", said.out);
    }
    // The twin's plan was made for other files; it still holds.
    assert!(
        said.err.contains("have changed since the plan was made"),
        "{}",
        said.err
    );
    for paper in ["order.pdf", "cut-sheet.pdf", "labels.pdf"] {
        let bytes = fs::read(desk.path(&format!("order/{paper}"))).expect("there");
        assert!(bytes.starts_with(b"%PDF-"), "{paper}");
    }
}

#[test]
fn the_same_order_gives_the_same_bytes() {
    let desk = desk();
    desk.run(&ORDER).ended_with(0);
    let first: Vec<Vec<u8>> = PAPERS
        .iter()
        .map(|name| fs::read(desk.path(&format!("order/{name}"))).expect("there"))
        .collect();
    desk.run(&ORDER).ended_with(0);
    for (name, first) in PAPERS.iter().zip(first) {
        let again = fs::read(desk.path(&format!("order/{name}"))).expect("there");
        assert!(again == first, "{name} differs");
    }
}

#[test]
fn json_adds_up() {
    let desk = desk();
    let words: Vec<&str> = ORDER
        .iter()
        .copied()
        .chain(["--json", "--fixtures"])
        .collect();
    let said = desk.run(&words);
    said.ended_with(0);
    let order: serde_json::Value = serde_json::from_str(&said.out).expect("one JSON value");
    let amount = |value: &serde_json::Value| -> rust_decimal::Decimal {
        value.as_str().expect("text").parse().expect("a decimal")
    };
    let lines = order["lines"].as_array().expect("lines");
    let sum: rust_decimal::Decimal = lines.iter().map(|line| amount(&line["extension"])).sum();
    assert_eq!(sum, amount(&order["total"]));
    let fixtures = lines.iter().filter(|line| line["goods"] == "fixture");
    let fixtures: rust_decimal::Decimal = fixtures.map(|line| amount(&line["quantity"])).sum();
    assert_eq!(fixtures, 24.into());
    assert!(amount(&order["saving"]) >= 0.into());
    for cable in order["cables"].as_array().expect("cables") {
        let of = |key: &str| amount(&cable[key]);
        assert_eq!(
            of("needed") + of("waste") + of("kept"),
            of("bought") + of("drawn"),
            "{cable}"
        );
    }
    // Every piece of the cut sheet is cut once and has a label.
    let mut cut: Vec<&str> = order["spools"]
        .as_array()
        .expect("spools")
        .iter()
        .flat_map(|spool| spool["cuts"].as_array().expect("cuts"))
        .flat_map(|cut| cut["pieces"].as_array().expect("pieces"))
        .map(|id| id.as_str().expect("text"))
        .collect();
    let labels = order["labels"].as_array().expect("labels");
    let mut labelled: Vec<&str> = labels
        .iter()
        .map(|label| label["id"].as_str().expect("text"))
        .collect();
    cut.sort_unstable();
    labelled.sort_unstable();
    assert_eq!(cut, labelled);
}

#[test]
fn the_workbook_has_formulas_and_runs_no_text() {
    let desk = desk();
    let tag = desk
        .text("catalogue-metric/joints.csv")
        .lines()
        .nth(1)
        .and_then(|line| line.split(',').next())
        .expect("a joint kind")
        .to_owned();
    // Plans name joints by tag: rename it in both.
    desk.replace_all("catalogue-metric/joints.csv", &tag, "@SUM(1)");
    for job in ["courtyard", "twin"] {
        desk.replace_all(&format!("plans/{job}/plan.json"), &tag, "@SUM(1)");
    }
    desk.run(&ORDER).ended_with(0);
    let csv = desk.text("order/order.csv");
    assert!(!csv.contains(",@SUM(1)"), "{csv}");
    let part = |name: &str| {
        let file = fs::File::open(desk.path("order/order.xlsx")).expect("there");
        let mut archive = zip::ZipArchive::new(file).expect("a zip archive");
        let mut text = String::new();
        let mut part = archive.by_name(name).expect("a part");
        part.read_to_string(&mut text).expect("text");
        text
    };
    let sheet = part("xl/worksheets/sheet1.xml");
    let total = csv
        .lines()
        .find(|line| line.starts_with("total,"))
        .expect("a total")
        .split(',')
        .nth(8)
        .expect("its amount");
    assert!(sheet.contains("<f>SUM(H2:H"), "{sheet}");
    assert!(sheet.contains("<f>ROUND(E2*G2,2)</f>"), "{sheet}");
    assert!(
        sheet.contains(&format!("<v>{total}</v>")),
        "{total} is not in\n{sheet}"
    );
    // Text cells are text; the neutralised one is marked so that editing it runs nothing either.
    assert!(csv.contains(",'@SUM(1),"), "{csv}");
    assert!(part("xl/sharedStrings.xml").contains("<t>@SUM(1)</t>"));
    assert!(part("xl/styles.xml").contains("quotePrefix=\"1\""));
    assert!(!sheet.contains("@SUM(1)"), "{sheet}");
}

#[test]
fn an_order_needs_a_plan_for_each_job() {
    let desk = desk();
    let said = desk.run(&[
        "order",
        "courtyard",
        "twin",
        "--plan",
        "plans/twin/plan.json",
        "--out",
        "order",
    ]);
    said.ended_with(2);
    assert!(said.err.contains("2 jobs and 1 plan"), "{}", said.err);
    fs::remove_file(desk.path("plans/twin/plan.json")).expect("removed");
    let said = desk.run(&ORDER);
    said.ended_with(1);
    assert!(said.err.contains("plans/twin/plan.json"), "{}", said.err);
    assert!(desk.names("order").is_empty());
}

#[test]
fn jobs_of_one_name_are_refused() {
    let desk = desk();
    for file in ["twin/job.toml", "plans/twin/plan.json"] {
        desk.edit(file, "Twin courtyard", "Mill courtyard");
    }
    let said = desk.run(&ORDER);
    said.ended_with(2);
    assert!(
        said.err.contains("both named \"Mill courtyard\""),
        "{}",
        said.err
    );
}

#[test]
fn a_plan_that_breaks_a_rule_is_not_ordered_for() {
    let desk = desk();
    desk.edit(
        "twin/job.toml",
        "most_fixtures_per_circuit = 10",
        "most_fixtures_per_circuit = 1",
    );
    let said = desk.run(&ORDER);
    said.ended_with(5);
    assert!(said.err.contains("Nothing was ordered"), "{}", said.err);
    assert!(desk.names("order").is_empty());
}

#[test]
fn a_piece_longer_than_every_spool_is_named() {
    let desk = desk();
    fs::write(
        desk.path("catalogue-metric/spools.csv"),
        "cable,length_m,price\n2x1.5,1,1\n2x2.5,1,1\n2x4,1,1\n2x6,1,1\n2x10,1,1\n",
    )
    .expect("written");
    fs::remove_file(desk.path("catalogue-metric/stock.csv")).expect("removed");
    let said = desk.run(&ORDER);
    said.ended_with(2);
    for words in [
        "longer than every spool and remnant",
        "longest spool 1.00 m",
        "a spool of at least",
        "1:C1-P",
    ] {
        assert!(said.err.contains(words), "no `{words}` in\n{}", said.err);
    }
    assert!(desk.names("order").is_empty());
}

/// Lines of a table but those that say how it was made.
fn figures(table: &str) -> Vec<&str> {
    let lines = table.lines();
    lines.filter(|line| !line.starts_with("made,")).collect()
}

#[test]
fn what_is_left_is_the_stock_of_the_next_order() {
    let desk = desk();
    desk.run(&ORDER).ended_with(0);
    let left = desk.text("order/stock.csv");
    let bare = figures(&left).join("\n") + "\n";
    assert_eq!(left.lines().count(), figures(&bare).len() + 3, "{left}");
    let next = |stock: &str| {
        fs::write(desk.path("catalogue-metric/stock.csv"), stock).expect("written");
        desk.run(&ORDER).ended_with(0);
        let after = desk.text("order/stock.csv");
        let lines: Vec<String> = figures(&after).into_iter().map(str::to_owned).collect();
        lines
    };
    let after = next(&left);
    // As earlier versions wrote it, without rows on how it was made.
    assert_eq!(next(&bare), after);
    // Nothing on hand: rows on how it was made, and no other.
    let heading = bare.lines().next().expect("a heading");
    let made: Vec<&str> = (left.lines())
        .filter(|line| line.starts_with("made,"))
        .collect();
    let alone = next(&format!("{heading}\n{}\n", made.join("\n")));
    assert_eq!(alone, [heading, "2x1.5,12.00,1"]);
    assert!(after.len() > alone.len(), "{after:?}");
    assert!(after.contains(&"2x1.5,12.00,2".to_owned()), "{after:?}");
}

#[test]
fn negative_stock_is_refused_with_its_row() {
    let desk = desk();
    desk.edit(
        "catalogue-metric/stock.csv",
        "2x2.5,14.50,1",
        "2x2.5,14.50,-1",
    );
    let said = desk.run(&ORDER);
    said.ended_with(2);
    assert!(
        said.err.contains("stock.csv:2") && said.err.contains("-1"),
        "{}",
        said.err
    );
}

#[test]
fn a_negative_price_is_refused_and_a_price_of_zero_is_said() {
    let desk = desk();
    desk.replace_all("catalogue-metric/spools.csv", "82.00", "-82.00");
    let said = desk.run(&ORDER);
    said.ended_with(2);
    assert!(
        said.err.contains("spools.csv:3") && said.err.contains("-82.00"),
        "{}",
        said.err
    );
    fs::write(
        desk.path("catalogue-metric/spools.csv"),
        "cable,length_m,price\n2x1.5,100,0\n2x2.5,100,0\n2x4,100,0\n2x6,100,0\n2x10,100,0\n",
    )
    .expect("written");
    let said = desk.run(&ORDER);
    said.ended_with(0);
    assert!(said.out.contains("has a price of zero"), "{}", said.out);
}

#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_leaves_the_earlier_order_whole() {
    let desk = desk();
    desk.run(&ORDER).ended_with(0);
    let before = desk.text("order/order.csv");
    // No file may grow beyond 4 KiB: writing fails as on a full disk.
    let limited = Command::new("bash")
        .args(["-c", "trap '' XFSZ; ulimit -f 4; exec \"$0\" \"$@\""])
        .arg(env!("CARGO_BIN_EXE_duskwright"))
        .args(ORDER)
        .current_dir(desk.path(""))
        .output()
        .expect("bash runs");
    let err = String::from_utf8_lossy(&limited.stderr).into_owned();
    assert_eq!(limited.status.code(), Some(1), "{err}");
    assert!(err.contains("cannot write"), "{err}");
    assert_eq!(desk.names("order"), PAPERS);
    assert_eq!(desk.text("order/order.csv"), before);
    let beside = desk.names("");
    assert!(
        beside.iter().all(|name| !name.starts_with(".duskwright")),
        "{beside:?}"
    );
}
