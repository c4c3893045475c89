//! Fixtures that no plan can serve, with the figures of the proof worked by hand.
//!
//! In the small job fixture F3 is 20 + 15 + 12 = 47 ft from the only site. Its
//! lead of 3 ft less 1 ft and 0.5 ft of slack reaches no other node, so at least
//! 47 ft of the best cable, AWG 10, and 3 ft of AWG 18 are in circuit. At 30 °C, by
//! NEC Chapter 9 Table 8 (1.24 and 7.95 ohm per 1000 ft at 75 °C, coefficient
//! 0.00323) and with 5 % growth: `2 x 1.24 x 0.85465 x 0.047 x 1.05 = 0.1045990`
//! and `2 x 7.95 x 0.85465 x 0.003 x 1.05 = 0.0428052` ohm. The highest tap,
//! 14 V with 5 % regulation, stands at 14.7 V; at constant power 8 VA
//! `V = (14.7 + sqrt(14.7² - 4 x 0.1474042 x 8)) / 2 = 14.619337` V is left.

use duskwright_solver::job::{self, Job, JobText};
use duskwright_solver::optimise::bound::{Binds, Remedy, unservable};
use duskwright_tests::{JOB_TOML, altered, small_job};

const MODELS: &str = "../catalogue/fixture_models.csv";
const SPOT: &str = "spot-6w,8,6,12,0,9,15";

/// The small job with another window of the model of F3.
fn with_window(window: &str) -> Job {
    lawful(&text_with_window(window))
}

fn text_with_window(window: &str) -> JobText {
    let spot = format!("spot-6w,8,6,12,0,{window}");
    altered(small_job(), MODELS, SPOT, &spot)
}

fn lawful(text: &JobText) -> Job {
    job::read(text).expect("a lawful job").0
}

#[test]
fn a_job_that_can_be_served_has_no_fixture_out_of_reach() {
    assert!(unservable(&with_window("9,15")).is_empty());
    // 14.119 + 0.5 V of margin is 0.3 mV below what may be left.
    assert!(unservable(&with_window("14.119,18")).is_empty());
}

#[test]
fn a_window_above_every_tap_is_out_of_reach_and_the_tap_needed_is_told() {
    let found = unservable(&with_window("15,18"));
    let [f3] = found.as_slice() else {
        panic!("one fixture, not {found:?}");
    };
    let Binds::Taps { needed, highest } = f3.binds else {
        panic!("14.7 V is below 15.5 V: {f3:?}");
    };
    assert!((needed.value() - 15.5).abs() < 1e-12);
    assert!((highest.value() - 14.7).abs() < 1e-12);
    assert!((f3.best_volts.expect("it does not collapse").value() - 14.619_337).abs() < 1e-6);
    let tap = f3.remedies.iter().find_map(|remedy| match remedy {
        Remedy::HigherTap(volts) => Some(volts.value()),
        _ => None,
    });
    // (15.5 + 0.1474042 x 8 / 15.5) / 1.05
    assert!((tap.expect("a tap helps") - 14.834_361).abs() < 1e-5);
    let window = f3.remedies.iter().find_map(|remedy| match remedy {
        Remedy::WindowFrom(volts) => Some(volts.value()),
        _ => None,
    });
    assert!((window.expect("a window helps") - 14.119_337).abs() < 1e-6);
}

#[test]
fn a_window_that_only_the_way_puts_out_of_reach_names_the_way() {
    let found = unservable(&with_window("14.13,18"));
    let [f3] = found.as_slice() else {
        panic!("one fixture, not {found:?}");
    };
    let Binds::Distance { route, .. } = f3.binds else {
        panic!("the taps reach 14.7 V: {f3:?}");
    };
    assert!((route.value() - 47.0 * 0.3048).abs() < 1e-9);
    let nearer = f3.remedies.iter().find_map(|remedy| match remedy {
        Remedy::NearerSite(route) => Some(route.value() / 0.3048),
        _ => None,
    });
    // ((14.7 - 14.63) / (8 / 14.63) - 0.0428052) / (2 x 1.24e-3 x 0.85465 x 1.05)
    assert!(
        (nearer.expect("a site helps") - 38.287).abs() < 0.01,
        "{nearer:?}"
    );
}

#[test]
fn the_low_end_of_the_line_band_lowers_every_tap() {
    let settings = format!("{JOB_TOML}\n[line]\nlow_percent = 95\n");
    let served = small_job().with("job.toml", settings.clone());
    assert!(unservable(&lawful(&served)).is_empty());
    // 14.7 x 0.95 = 13.965 V of source; 13.880 V are left of it.
    let dark = text_with_window("14,18").with("job.toml", settings);
    let found = unservable(&lawful(&dark));
    assert_eq!(found.len(), 1);
    let Binds::Taps { highest, .. } = found[0].binds else {
        panic!("13.965 V is below 14.5 V: {:?}", found[0]);
    };
    assert!((highest.value() - 13.965).abs() < 1e-12);
    assert!(
        unservable(&with_window("14,18")).is_empty(),
        "a nominal line serves it"
    );
}
