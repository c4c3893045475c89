//! `duskwright readings`, `diagnose` and `timers`.

use crate::desk::{Desk, planned};
use std::fs;

const READINGS: [&str; 9] = [
    "readings",
    "courtyard",
    "out/plan.json",
    "--out",
    "tests",
    "--draws",
    "60",
    "--date",
    "2026-03-28",
];

/// A desk with the courtyard planned.
fn desk() -> Desk {
    let (made, said) = planned();
    said.ended_with(0);
    let desk = Desk::with_courtyard();
    fs::create_dir(desk.path("out")).expect("made");
    fs::copy(made.path("out/plan.json"), desk.path("out/plan.json")).expect("copied");
    desk
}

/// The expected readings, altered, as a crew would hand them in.
fn filled(desk: &Desk, alter: impl Fn(&str, f64) -> f64) {
    let text = desk.text("tests/readings.csv");
    let mut out = String::new();
    for line in text.lines() {
        let cells: Vec<&str> = line.split(',').collect();
        out.push_str(line);
        if let Ok(expected) = cells[7].parse::<f64>()
            && cells[1] == "all on"
        {
            out.push_str(&format!("{:.2}", alter(cells[4], expected)));
        }
        out.push('\n');
    }
    fs::write(desk.path("filled.csv"), out).expect("written");
}

#[test]
fn the_sheet_is_written_with_blanks_and_a_filled_one_is_diagnosed() {
    let desk = desk();
    desk.run(&READINGS).ended_with(0);
    assert_eq!(desk.names("tests"), ["readings.csv", "readings.pdf"]);
    assert!(
        fs::read(desk.path("tests/readings.pdf"))
            .expect("there")
            .starts_with(b"%PDF-")
    );
    assert!(
        desk.text("tests/readings.csv")
            .lines()
            .skip(1)
            .all(|line| line.ends_with(','))
    );
    let words = ["diagnose", "courtyard", "out/plan.json", "filled.csv"];
    filled(&desk, |_, expected| expected);
    let sound = desk.run(&words);
    sound.ended_with(0);
    assert!(sound.out.contains("sound"), "{}", sound.out);
    filled(&desk, |place, expected| {
        if place.starts_with("fixture") || place.contains("home run") {
            0.0
        } else {
            expected
        }
    });
    let fault = desk.run(&words);
    fault.ended_with(8);
    for words in [
        "First: Switch the transformer off",
        "licensed electrician",
        "next: read",
    ] {
        assert!(fault.out.contains(words), "no `{words}` in\n{}", fault.out);
    }
}

#[test]
fn a_sheet_that_does_not_say_how_it_was_made_is_diagnosed_alike() {
    let desk = desk();
    desk.run(&READINGS).ended_with(0);
    filled(&desk, |_, expected| 0.9 * expected);
    let words = ["diagnose", "courtyard", "out/plan.json", "filled.csv"];
    let said = desk.run(&words);
    let text = desk.text("filled.csv");
    let (made, readings): (Vec<&str>, Vec<&str>) =
        (text.lines()).partition(|line| line.starts_with("made,"));
    assert_eq!(made.len(), 3, "{made:?}");
    fs::write(desk.path("filled.csv"), readings.join("\n") + "\n").expect("written");
    let bare = desk.run(&words);
    bare.ended_with(said.code);
    assert_eq!(bare.out, said.out);
}

#[test]
fn a_table_of_readings_with_mistakes_is_refused_line_by_line() {
    let desk = desk();
    fs::write(
        desk.path("bad.csv"),
        "place,quantity,reading\nC1 home rum,volts,12\nC1 home run,watts,3\nC1 home run,volts,much\n",
    )
    .expect("written");
    let said = desk.run(&["diagnose", "courtyard", "out/plan.json", "bad.csv"]);
    said.ended_with(2);
    for words in [
        "bad.csv: S103: line 2, place: `C1 home rum`",
        "did you mean `C1 home run`?",
        "S104: line 3, quantity: `watts`",
        "accepted: volts, amps, amps common",
        "S105: line 4, reading: `much`",
    ] {
        assert!(said.err.contains(words), "no `{words}` in\n{}", said.err);
    }
}

#[test]
fn timers_tell_settings_hours_and_cost() {
    let desk = desk();
    let text = desk.text("courtyard/job.toml");
    let (head, rest) = text.split_once("[place]").expect("the sample has a place");
    let tail = &rest[rest.find("\n[").expect("a table follows") + 1..];
    fs::write(desk.path("courtyard/job.toml"), format!("{head}{tail}")).expect("written");
    let without = desk.run(&["timers", "courtyard", "--year", "2026"]);
    without.ended_with(0);
    assert!(without.out.contains("[place]"), "{}", without.out);
    let place = "[place]\nlatitude_deg = 48.85\nlongitude_deg = 2.35\ntime_zone = \"Europe/Paris\"\n\
                 energy_price_per_kwh = 0.25\ntimes = \"dusk to 23:00\"\ncontrol = \"sensor and clock\"\n\n[rates]";
    desk.edit("courtyard/job.toml", "[rates]", place);
    let said = desk.run(&["timers", "courtyard", "out/plan.json", "--year", "2026"]);
    said.ended_with(0);
    for words in [
        "dusk to 23:00",
        "kWh a year",
        "EUR",
        "clocks go forward 60 min on day 29",
        "mains side",
    ] {
        assert!(said.out.contains(words), "no `{words}` in\n{}", said.out);
    }
    desk.edit("courtyard/job.toml", "Europe/Paris", "Europe/Pariss");
    let refused = desk.run(&["timers", "courtyard", "--year", "2026"]);
    refused.ended_with(2);
    assert!(
        refused.err.contains("did you mean `Europe/Paris`?"),
        "{}",
        refused.err
    );
}

const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/errors.md");

/// The fenced blocks of one language in a section of the page.
fn blocks<'a>(section: &'a str, language: &str) -> Vec<&'a str> {
    let fence = format!("```{language}\n");
    let starts = section.split(fence.as_str()).skip(1);
    starts
        .map(|text| text.split("```").next().expect("its end"))
        .collect()
}

#[test]
fn every_code_of_a_table_of_readings_stands_on_the_page_with_its_message() {
    let page = fs::read_to_string(PAGE).expect("the page of codes is part of the project");
    let (_, part) = page
        .split_once("\n# Codes of a table of readings")
        .expect("its part");
    let (part, _) = part
        .split_once("\n# Codes of a site plan")
        .expect("the next part");
    let sections: Vec<&str> = part.split("\n### ").skip(1).collect();
    let codes: Vec<&str> = sections.iter().map(|section| &section[..4]).collect();
    assert_eq!(
        codes,
        ["S101", "S102", "S103", "S104", "S105", "S106", "S107"]
    );
    let desk = desk();
    let words = ["diagnose", "courtyard", "out/plan.json", "given.csv"];
    for section in sections {
        let tables = blocks(section, "csv");
        let (wrong, right) = match tables.as_slice() {
            [wrong, right] => (wrong.as_bytes().to_vec(), Some(*right)),
            _ => (
                b"place,quantity,reading\nC1 caf\xe9,volts,1\n".to_vec(),
                None,
            ),
        };
        fs::write(desk.path("given.csv"), wrong).expect("written");
        let said = desk.run(&words);
        said.ended_with(2);
        let message = blocks(section, "text")[0].trim_end();
        assert_eq!(said.err.trim_end(), format!("given.csv: {message}"));
        if let Some(right) = right {
            fs::write(desk.path("given.csv"), right).expect("written");
            let said = desk.run(&words);
            assert!(said.code == 0 || said.code == 8, "{}", said.err);
        }
    }
}

/// Semicolons and decimal commas, as spreadsheets of many countries write.
#[test]
fn a_table_with_decimal_commas_is_read_like_one_with_points() {
    let desk = desk();
    let words = [
        "diagnose",
        "courtyard",
        "out/plan.json",
        "given.csv",
        "--json",
    ];
    let points = "place,quantity,reading\nC1 home run,volts,9.5\n";
    fs::write(desk.path("given.csv"), points).expect("written");
    let plain = desk.run(&words);
    let commas = points.replace(',', ";").replace('.', ",");
    fs::write(desk.path("given.csv"), commas).expect("written");
    assert_eq!(desk.run(&words).out, plain.out);
}
