//! Fixtures that no plan can serve, with the figures of the proof worked by hand.
//!
//! In the small job fixture F3 is 20 + 15 + 12 = 47 ft from the only site and has
//! a lead of 3 ft, so at least 44 ft of the best cable, AWG 10, and 3 ft of AWG 18
//! are in circuit. At 30 °C, by NEC Chapter 9 Table 8 (1.24 and 7.95 ohm per
//! 1000 ft at 75 °C, coefficient 0.00323) and with 5 % growth:
//! `2 x 1.24 x 0.85465 x 0.044 x 1.05 = 0.0979224` and
//! `2 x 7.95 x 0.85465 x 0.003 x 1.05 = 0.0428051` ohm. Its 8 VA lose
//! `2 x 0.1407275 x 8 = 2.2516404` V². The highest tap, 14 V with 5 % regulation,
//! stands at 14.7 V: `sqrt(14.7² - 2.2516404) = 14.623213` V are left.

use duskwright_solver::job::{self, Job};
use duskwright_solver::reach::{Obstacle, out_of_reach};
use duskwright_tests::{altered, small_job};

const MODELS: &str = "../catalogue/fixture_models.csv";
const SPOT: &str = "spot-6w,8,6,12,0,9,15";

/// The small job with another window of the model of F3.
fn with_window(window: &str) -> Job {
    let spot = format!("spot-6w,8,6,12,0,{window}");
    let text = altered(small_job(), MODELS, SPOT, &spot);
    job::read(&text).expect("a lawful job").0
}

#[test]
fn a_job_that_can_be_served_has_no_fixture_out_of_reach() {
    assert!(out_of_reach(&with_window("9,15")).is_empty());
    // 14.12 + 0.5 V of margin is 3 mV below what may be left.
    assert!(out_of_reach(&with_window("14.12,18")).is_empty());
}

#[test]
fn a_window_above_every_tap_is_out_of_reach_and_the_tap_needed_is_told() {
    let found = out_of_reach(&with_window("15,18"));
    let [f3] = found.as_slice() else {
        panic!("one fixture, not {found:?}");
    };
    assert_eq!(f3.obstacle, Obstacle::Taps);
    assert!((f3.needed.value() - 15.5).abs() < 1e-12);
    assert!((f3.best.expect("it does not collapse").value() - 14.623_213).abs() < 1e-6);
    // sqrt(15.5² + 2.2516404) / 1.05
    assert!((f3.tap_needed.value() - 14.830_918).abs() < 1e-6);
}

#[test]
fn a_window_that_only_the_way_puts_out_of_reach_names_the_way() {
    let found = out_of_reach(&with_window("14.13,18"));
    let [f3] = found.as_slice() else {
        panic!("one fixture, not {found:?}");
    };
    let Obstacle::Distance { shortest } = f3.obstacle else {
        panic!("the taps reach 14.63 V: {f3:?}");
    };
    assert!((shortest.value() - 47.0 * 0.3048).abs() < 1e-9);
}
