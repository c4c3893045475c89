//! Times on, devices and settings over a year.

use duskwright_solver::calendar::year::is_in;
use duskwright_solver::calendar::{Settings, Year};
use duskwright_solver::job::lighting::{Control, Edge, Period, Place, Rule, Times};

fn place(latitude_deg: f64, longitude_deg: f64, zone: &str) -> Place {
    Place {
        latitude_deg,
        longitude_deg,
        time_zone: zone.parse().expect("a zone of the database"),
    }
}

fn denver() -> Year {
    Year::of(&place(39.74, -105.18, "America/Denver"), 2026).expect("a year")
}

fn times(from: Edge, to: Edge) -> Times {
    Times {
        first: Period { from, to },
        second: None,
    }
}

const EVENING: (Edge, Edge) = (Edge::At(18 * 60), Edge::At(22 * 60));

#[test]
fn fixed_times_are_four_hours_on_each_of_365_days() {
    let rule = Rule {
        times: times(EVENING.0, EVENING.1),
        control: Some(Control::Clock),
    };
    let settings = Settings::of(&denver(), &rule);
    assert_eq!(settings.wanted_hours, 1460.0);
    let outcome = settings.outcome.expect("a clock");
    assert_eq!((outcome.hours, outcome.astray_hours), (1460.0, 0.0));
}

/// In Denver the clocks of 2026 go forward on 8 March and back on 1 November.
#[test]
fn daylight_saving_comes_from_the_time_zone_database() {
    let settings = Settings::of(
        &denver(),
        &Rule {
            times: Times::ALL_NIGHT,
            control: Some(Control::Sensor),
        },
    );
    assert_eq!(settings.months[2].clock_change, Some((8, 60)));
    assert_eq!(settings.months[10].clock_change, Some((1, -60)));
    // Nights of civil darkness at 40 degrees are rather less than half the year.
    assert!(
        (3800.0..4200.0).contains(&settings.wanted_hours),
        "{}",
        settings.wanted_hours
    );
    assert_eq!(settings.outcome.expect("a sensor").astray_hours, 0.0);
}

#[test]
fn a_pair_never_comes_on_while_the_clock_s_window_lies_in_daylight() {
    let rule = Rule {
        times: times(Edge::At(18 * 60), Edge::At(20 * 60)),
        control: Some(Control::SensorAndClock),
    };
    let year = denver();
    let outcome = Settings::of(&year, &rule).outcome.expect("a pair");
    // On the longest day dusk is after 21:00, on the shortest before 17:30.
    assert!(
        outcome.days_never_on.contains(&171),
        "{:?}",
        outcome.days_never_on
    );
    assert!(!outcome.days_never_on.contains(&354));
    assert!(outcome.hours < 730.0);
}

#[test]
fn a_motor_clock_behind_the_sensor_falls_behind_by_the_length_of_the_day() {
    let rule = Rule {
        times: times(Edge::Dusk, Edge::At(23 * 60)),
        control: Some(Control::SensorAndClock),
    };
    let settings = Settings::of(&denver(), &rule);
    let right = settings.outcome.expect("a pair");
    assert!(right.astray_hours < 1.0, "{}", right.astray_hours);
    let wrong = settings.sensor_ahead.expect("a pair");
    // 1 January: civil twilight to civil twilight, about ten and a half hours.
    assert!(
        (10.0..11.0).contains(&wrong.behind_after_a_day_hours),
        "{wrong:?}"
    );
    assert!(wrong.outcome.astray_hours > 500.0, "{wrong:?}");
}

/// At 69.65 N the sun does not set in June, and in December only twilight parts the nights.
#[test]
fn polar_day_has_no_dusk_and_polar_night_still_has_twilight() {
    let tromso = Year::of(&place(69.65, 18.96, "Europe/Oslo"), 2026).expect("a year");
    let settings = Settings::of(
        &tromso,
        &Rule {
            times: Times::ALL_NIGHT,
            control: Some(Control::AstronomicClock),
        },
    );
    assert_eq!(settings.months[5].dusk, None);
    assert_eq!(settings.months[5].wanted_hours, 0.0);
    assert!(settings.months[11].dusk.is_some());
    let svalbard = Year::of(&place(78.22, 15.65, "Arctic/Longyearbyen"), 2026).expect("a year");
    let december = svalbard.days_of(12);
    let all_dark = (0..svalbard.minutes())
        .filter(|&minute| december.contains(&svalbard.day[minute]))
        .all(|minute| svalbard.dark[minute]);
    assert!(all_dark);
}

#[test]
fn a_period_past_midnight_belongs_to_the_evening_it_began() {
    let late = Period {
        from: Edge::Dusk,
        to: Edge::At(60),
    };
    assert!(is_in(late, true, 23 * 60) && is_in(late, true, 30));
    assert!(!is_in(late, true, 90) && !is_in(late, false, 20 * 60));
    let early = Period {
        from: Edge::At(5 * 60),
        to: Edge::Dawn,
    };
    assert!(
        is_in(early, true, 6 * 60) && !is_in(early, true, 4 * 60) && !is_in(early, true, 20 * 60)
    );
}
