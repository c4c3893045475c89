//! Rows of pieces, leads, joints, circuits, fixtures, transformers.

use super::*;

/// C1-P1 = 40.0 + 3.0 + 1.5 + rise 2.0; C1-P2 = 25.5 + 1.5 + 1.0; C2-P1 = 10.0 +
/// 25.5 + 3.0 + 1.0.
#[test]
fn pieces_say_where_they_run_and_what_their_length_is_made_of() {
    let pieces = dossier().pieces;
    let shown: Vec<String> = pieces
        .iter()
        .map(|row| {
            let route = row.route.join(">");
            format!(
                "{} {} {} {} {} {route}",
                row.id, row.from, row.to, row.gauge, row.length
            )
        })
        .collect();
    assert_eq!(
        shown,
        [
            "C1-P1 T1 C1-J1 12 AWG 46.5 G>F1",
            "C1-P2 C1-J1 C1-J2 14 AWG 28.0 F1>F2",
            "C2-P1 T2 C2-J1 14 AWG 39.5 S>F2>F1",
        ]
    );
    let parts = &pieces[0].parts;
    assert_eq!(
        [
            parts.route,
            parts.near_slack,
            parts.near_rise,
            parts.far_slack,
            parts.far_rise
        ],
        [dec!(40), dec!(3), dec!(2), dec!(1.5), dec!(0)]
    );
    assert_eq!(pieces.iter().filter(|row| row.home_run).count(), 2);
}

/// F3: 12.25 along the bore + 0.5 at the fixture + 1.5 at the hub = 14.25 of 20.
#[test]
fn leads_say_how_much_of_them_is_needed() {
    let leads = dossier().leads;
    let f3 = leads
        .iter()
        .find(|row| row.fixture == "F3")
        .expect("F3 has a lead");
    assert_eq!(f3.joint, "C1-J1");
    assert_eq!(f3.route, ["F3", "F1"]);
    assert_eq!((f3.length, f3.reach), (Some(dec!(20)), dec!(14.25)));
}

#[test]
fn joints_count_what_meets_in_them() {
    let joints = dossier().joints;
    let hub = &joints[0];
    assert_eq!(
        (hub.id.as_str(), hub.hardware.as_str(), hub.hub),
        ("C1-J1", "H5", true)
    );
    assert_eq!(hub.incoming, "12 AWG");
    let outgoing: Vec<String> = hub
        .outgoing
        .iter()
        .map(|wires| format!("{} x {}", wires.count, wires.gauge))
        .collect();
    assert_eq!(outgoing, ["1 x 14 AWG", "2 x 16 AWG"]);
    assert_eq!(hub.fixtures, ["F1", "F3"]);
    assert_eq!(joints.len(), 3);
}

/// The last fixture of C1: F2 at 46.5 + 28.0 + 3.0 against F3 at 46.5 + 20.0.
/// F3 may bear 12.5 V at most, so C1 stays on 12 V; F4 bears 15 V, but tap 13
/// of the standing transformer has no lug left.
#[test]
fn circuits_say_where_they_land_and_how_far_they_may_move_up() {
    let circuits = dossier().circuits;
    let labels: Vec<&str> = circuits.iter().map(|row| row.label.as_str()).collect();
    assert_eq!(labels, ["C1", "C2"]);
    let c1 = &circuits[0];
    assert_eq!(
        (c1.home_run, c1.cable, c1.fixtures),
        (dec!(46.5), dec!(74.5), 3)
    );
    assert_eq!(
        (c1.gauge.as_str(), c1.tap.as_str(), c1.common.as_str()),
        ("12 AWG", "12", "C")
    );
    assert_eq!(c1.last_fixture, "F2");
    assert_eq!(c1.lowest_fixture, "F3");
    assert_eq!(c1.lowest_window_min, Volts::new(10.8));
    assert!(c1.taps_above.is_empty());
    assert_eq!(circuits[1].taps_above, ["14"]);
    // 25 A x 0.8 against an ampacity of 16 A.
    assert!((c1.limit.value() - 16.0).abs() < 1e-12);
    for row in &circuits {
        assert_eq!(row.may_not_trip, row.end_short.value() < 50.0);
    }
}

#[test]
fn fixtures_show_the_voltages_of_the_electrical_model() {
    let (job, plan) = (specimen::job(), specimen::plan());
    let cases = figures(&job, &plan).expect("the specimen works");
    let fixtures = dossier().fixtures;
    let tags: Vec<(&str, &str)> = fixtures
        .iter()
        .map(|row| (row.tag.as_str(), row.circuit.as_str()))
        .collect();
    assert_eq!(
        tags,
        [("F1", "C1"), ("F2", "C1"), ("F3", "C1"), ("F4", "C2")]
    );
    // Leads of the first circuit: F1, F3, F2.
    let c1 = &cases.circuits[0];
    assert_eq!(fixtures[2].expected, c1.expected.fixtures[1]);
    assert_eq!(fixtures[1].low, c1.low.fixtures[2]);
    let f3 = &fixtures[2];
    let margin = (f3.low.value() - 10.8).min(12.5 - f3.high.value());
    assert!((f3.margin.value() - margin).abs() < 1e-12);
    assert!(f3.existing);
}

/// Standing transformer: lugs 1 + 2 + 0 in use on its taps and 1 on its common,
/// one more each. Permitted 150 x 0.8.
#[test]
fn transformers_count_present_load_and_lugs() {
    let rows = dossier().transformers;
    assert_eq!(rows[0].existing, None);
    assert_eq!(
        (rows[0].label.as_str(), rows[0].site.as_str()),
        ("T1", "Garage")
    );
    let old = &rows[1];
    assert_eq!(old.existing.as_deref(), Some("OLD"));
    assert_eq!(old.circuits, ["C2"]);
    let secondary = &old.secondaries[0];
    assert_eq!((secondary.tap_lugs_used, secondary.tap_lugs), (4, 6));
    assert_eq!((secondary.common_lugs_used, secondary.common_lugs), (2, 4));
    assert!((old.permitted.value() - 120.0).abs() < 1e-9);
    assert!(old.load.value() > 25.0, "20 VA present and 5 VA of F4");
}

/// T2 is the standing transformer: C2 lands on one of its taps and on its common.
#[test]
fn lugs_say_who_lands_where_beside_what_is_there_already() {
    let rows = dossier().transformers;
    for row in &rows {
        for secondary in &row.secondaries {
            let used = |common: bool| -> u32 {
                let lugs = secondary.lugs.iter();
                let side = lugs.filter(|lug| (lug.pole == Pole::Common) == common);
                side.map(|lug| lug.present + u32::try_from(lug.circuits.len()).unwrap())
                    .sum()
            };
            assert_eq!(used(false), secondary.tap_lugs_used);
            assert_eq!(used(true), secondary.common_lugs_used);
        }
    }
    let landed: Vec<(&str, &str)> = rows[1].secondaries[0]
        .lugs
        .iter()
        .flat_map(|lug| {
            lug.circuits
                .iter()
                .map(|(circuit, gauge)| (circuit.as_str(), gauge.as_str()))
        })
        .collect();
    assert_eq!(landed, [("C2", "14 AWG"), ("C2", "14 AWG")]);
}

/// C1-J2 at 46.5 + 28.0; F3 hangs on C1-J1 by its 20 ft lead.
#[test]
fn joints_and_fixtures_say_how_far_along_the_cable_they_are() {
    let dossier = dossier();
    let along: Vec<(&str, &str, Decimal)> = dossier
        .joints
        .iter()
        .map(|row| (row.id.as_str(), row.from.as_str(), row.along))
        .collect();
    assert_eq!(
        along,
        [
            ("C1-J1", "T1", dec!(46.5)),
            ("C1-J2", "C1-J1", dec!(74.5)),
            ("C2-J1", "T2", dec!(39.5))
        ]
    );
    let f3 = &dossier.fixtures[2];
    assert_eq!((f3.joint.as_str(), f3.along), ("C1-J1", dec!(66.5)));
    for joint in &dossier.joints {
        assert!(joint.low < joint.expected && joint.expected <= joint.high);
    }
    assert!(dossier.circuits[0].expected_amps.value() > 0.0);
    assert_eq!(dossier.circuits[0].window_min, Volts::new(10.8));
}
