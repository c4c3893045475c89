//! The table of `solver/docs/rules-of-thumb.md`: computed by the engine, held against the
//! closed forms, and against the page as it stands.
//!
//! Set `DUSKWRIGHT_WRITE_DOCS` to write the page anew.

#![expect(
    clippy::approx_constant,
    reason = "stranded AWG 14 has 3.14 ohm per 1000 ft"
)]

use super::closed_forms::{at_mid_sections, dawson};
use duskwright_solver::electrical::conductor::resistance_at;
use duskwright_solver::electrical::{Feeder, Sweep};
use duskwright_solver::job::Conductor;
use duskwright_solver::units::{Celsius, OhmsPerMetre, PerCelsius, UnitSystem};
use duskwright_tests::feeders::{ladder, unity_load};
use std::fmt::Write as _;

/// Stranded copper, ohm/kFT at 75 °C: NEC Chapter 9 Table 8; coefficient by its note 2.
const GAUGES: [(u32, f64); 5] = [(16, 4.99), (14, 3.14), (12, 1.98), (10, 1.24), (8, 0.778)];
const TAPS_V: [f64; 4] = [12.0, 13.0, 14.0, 15.0];
const FEET: [u32; 7] = [25, 50, 75, 100, 150, 200, 300];
/// Windows from 9 V with 0.5 V kept, and from 10.8 V with nothing kept.
const FLOORS_V: [f64; 2] = [9.5, 10.8];
/// Conductor temperature of the low case.
const CONDUCTOR: Celsius = Celsius::new(30.0);
/// 80 % of a 25 A breaker: the most that one circuit carries continuously.
const MOST_A: f64 = 20.0;
/// Lumps that stand for an even spread: the error is below a hundredth of a watt.
const EVEN: usize = 200;

#[derive(Clone, Copy)]
enum Spread {
    Even,
    AtTheEnd,
}

impl Spread {
    fn feeder(self, loop_ohm: f64, watts: f64) -> Feeder {
        match self {
            Self::Even => at_mid_sections(EVEN, loop_ohm, watts),
            Self::AtTheEnd => ladder(1, loop_ohm, unity_load(watts, 12.0, 0.0)),
        }
    }
    /// Most watts in closed form before the end falls to `floor_v`, or the source gives 20 A.
    fn closed_form_w(self, tap_v: f64, floor_v: f64, loop_ohm: f64) -> f64 {
        match self {
            Self::Even => {
                // Floors above 43 % of the tap lie on the operating branch.
                let s = (tap_v / floor_v).ln().sqrt();
                let by_floor = |s: f64| 2.0 * (tap_v * dawson(s)).powi(2) / loop_ohm;
                // I0 = S sqrt(2 P / R) = 2 S V0 D(S) / R rises with S up to the fold.
                let amps = |s: f64| 2.0 * s * tap_v * dawson(s) / loop_ohm;
                if amps(s) <= MOST_A {
                    return by_floor(s);
                }
                let (mut low, mut high) = (0.0, s);
                for _ in 0..60 {
                    let middle = f64::midpoint(low, high);
                    if amps(middle) <= MOST_A {
                        low = middle;
                    } else {
                        high = middle;
                    }
                }
                by_floor(low)
            }
            Self::AtTheEnd => {
                let amps = ((tap_v - floor_v) / loop_ohm).min(MOST_A);
                amps * (tap_v - loop_ohm * amps)
            }
        }
    }
}

/// Loop resistance of a run, ohm.
fn loop_ohm(ohm_per_kft: f64, feet: u32) -> f64 {
    let conductor = Conductor {
        resistance: OhmsPerMetre::new(ohm_per_kft / UnitSystem::Us.to_metres(1000.0).value()),
        at: Celsius::new(75.0),
        coefficient: PerCelsius::new(0.003_23),
        reactance: OhmsPerMetre::ZERO,
    };
    let length = UnitSystem::Us.to_metres(f64::from(feet));
    2.0 * (resistance_at(&conductor, CONDUCTOR) * length).value()
}

/// Most watts that the engine finds to hold, to a thousandth.
fn most_w(spread: Spread, tap_v: f64, floor_v: f64, loop_ohm: f64) -> f64 {
    let mut sweep = Sweep::new();
    let mut holds = |watts: f64| {
        let feeder = spread.feeder(loop_ohm, watts);
        let mut floors = vec![0.0; feeder.bus_count()];
        floors[feeder.bus_count() - 1] = floor_v;
        let solved = sweep.solve_arithmetic_above(&feeder, tap_v, &floors);
        solved.is_ok() && sweep.source_amps() <= MOST_A
    };
    let (mut low, mut high) = (0.0, MOST_A * tap_v);
    while high - low > 1e-3 {
        let middle = f64::midpoint(low, high);
        if holds(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

fn table(page: &mut String, spread: Spread, floor_v: f64) {
    let heads = FEET.map(|feet| format!(" {feet} ft |")).concat();
    let rules = "---:|".repeat(FEET.len() + 2);
    let _infallible = write!(page, "| tap | AWG |{heads}\n|{rules}\n");
    for tap_v in TAPS_V {
        for (gauge, ohm_per_kft) in GAUGES {
            let _infallible = write!(page, "| {tap_v} V | {gauge} |");
            for feet in FEET {
                let loop_ohm = loop_ohm(ohm_per_kft, feet);
                let found = most_w(spread, tap_v, floor_v, loop_ohm);
                let exact = spread.closed_form_w(tap_v, floor_v, loop_ohm);
                let tolerance = 0.002 + 1e-4 * exact;
                assert!(
                    (found - exact).abs() <= tolerance,
                    "{found} W, closed form {exact} W"
                );
                let _infallible = write!(page, " {:.0} |", (found + 1e-3).floor());
            }
            page.push('\n');
        }
    }
}

fn page() -> String {
    let mut page = include_str!("rules_of_thumb_preface.md").to_owned();
    for floor_v in FLOORS_V {
        let _infallible = write!(
            page,
            "\n## Spread evenly, the last fixture at {floor_v} V or more\n\n"
        );
        table(&mut page, Spread::Even, floor_v);
    }
    for floor_v in FLOORS_V {
        let _infallible = write!(page, "\n## All at the far end, at {floor_v} V or more\n\n");
        table(&mut page, Spread::AtTheEnd, floor_v);
    }
    page
}

#[test]
fn the_page_of_rules_of_thumb_is_what_the_engine_computes() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../solver/docs/rules-of-thumb.md"
    );
    let page = page();
    if std::env::var_os("DUSKWRIGHT_WRITE_DOCS").is_some() {
        std::fs::write(path, &page).expect("the docs folder can be written");
    }
    let standing = std::fs::read_to_string(path).unwrap_or_default();
    assert_eq!(
        standing, page,
        "set DUSKWRIGHT_WRITE_DOCS to write the page anew"
    );
}
