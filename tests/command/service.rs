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
