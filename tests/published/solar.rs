//! Sun events against the worked example of I. Reda, A. Andreas, "Solar Position Algorithm
//! for Solar Radiation Applications", NREL/TP-560-34302 (2008), and against a table made
//! by root-finding on that algorithm (`solar.csv` of the reference folder).

use duskwright_solver::calendar::year::{CIVIL_DEG, crossings};
use duskwright_tests::reference::reference_text;

const HORIZON_DEG: f64 = -0.8333;
const SECONDS: f64 = 86_400.0;

/// Julian date of a calendar date and time (Gregorian; H. F. Fliegel, T. C. Van Flandern, 1968).
fn julian(year: i64, month: i64, day: i64, seconds: f64) -> f64 {
    let a = (month - 14) / 12;
    let number = (1461 * (year + 4800 + a)) / 4 + (367 * (month - 2 - 12 * a)) / 12
        - (3 * ((year + 4900 + a) / 100)) / 4
        + day
        - 32_075;
    number as f64 - 0.5 + seconds / SECONDS
}

/// `2026-06-21T19:02:36Z`.
fn instant(text: &str) -> f64 {
    let part = |range: std::ops::Range<usize>| text[range].parse::<i64>().expect("digits");
    let seconds = 3600 * part(11..13) + 60 * part(14..16) + part(17..19);
    julian(part(0..4), part(5..7), part(8..10), seconds as f64)
}

fn nearest(events: &[f64], to: f64) -> Option<f64> {
    let mut events: Vec<f64> = events
        .iter()
        .copied()
        .filter(|event| (event - to).abs() < 0.5)
        .collect();
    events.sort_by(|a, b| (a - to).abs().total_cmp(&(b - to).abs()));
    events.first().copied()
}

/// Sunrise 06:12:43 and, for the local 17 October, sunset 17:18:51 and civil dusk 17:46:04
/// at UTC-7: the 17:20:19 printed in the report belongs to the day before, because its
/// method works on the universal day.
#[test]
fn the_worked_example_of_the_solar_position_algorithm() {
    let at = |hour: f64, day: i64| julian(2003, 10, day, hour * 3600.0);
    let (latitude, longitude) = (39.742_476, -105.178_6);
    let span = (at(7.0, 16), at(7.0, 18));
    let (_, rises, sets) = crossings(latitude, longitude, span, HORIZON_DEG).expect("a place");
    let (_, _, dusks) = crossings(latitude, longitude, span, CIVIL_DEG).expect("a place");
    let near = |events: &[f64], expected: f64, what: &str| {
        let off = events
            .iter()
            .map(|event| (event - expected).abs())
            .fold(1.0, f64::min)
            * SECONDS;
        assert!(off < 3.0, "{what} is off by {off:.1} s");
    };
    near(
        &rises,
        at(13.0, 17) + (12.0 * 60.0 + 43.0) / SECONDS,
        "sunrise 13:12:43",
    );
    near(
        &sets,
        at(0.0, 18) + (18.0 * 60.0 + 51.0) / SECONDS,
        "sunset",
    );
    near(
        &sets,
        at(0.0, 17) + (20.0 * 60.0 + 18.0) / SECONDS,
        "sunset of the day before",
    );
    near(
        &dusks,
        at(0.0, 18) + (46.0 * 60.0 + 4.0) / SECONDS,
        "civil dusk",
    );
}

#[test]
fn the_table_of_sun_events_from_the_equator_to_the_polar_night() {
    let Some(text) = reference_text("solar.csv") else {
        return;
    };
    let mut compared = 0;
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |index: usize| cells[index].parse::<f64>().expect("a number");
        let (latitude, longitude, transit) = (number(1), number(2), instant(cells[4]));
        // Two methods of computing differ by half a minute, by more near the poles.
        let tolerance = if latitude.abs() > 65.0 { 120.0 } else { 60.0 };
        for (elevation, rise, set) in [
            (HORIZON_DEG, cells[5], cells[6]),
            (CIVIL_DEG, cells[7], cells[8]),
        ] {
            let span = (transit - 0.5, transit + 0.5);
            let (_, rises, sets) =
                crossings(latitude, longitude, span, elevation).expect("a place");
            for (found, expected) in [
                (nearest(&rises, transit), rise),
                (nearest(&sets, transit), set),
            ] {
                compared += 1;
                match (found, expected) {
                    (None, "none") => {}
                    (Some(found), expected) if expected != "none" => {
                        let off = (found - instant(expected)).abs() * SECONDS;
                        assert!(
                            off < tolerance,
                            "{}: {expected} is off by {off:.0} s",
                            cells[0]
                        );
                    }
                    (found, expected) => panic!("{}: {found:?} against {expected}", cells[0]),
                }
            }
        }
    }
    assert_eq!(compared, 32);
}
