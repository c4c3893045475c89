//! The schedules of the specimen plan, worked by hand; voltages are those of
//! the electrical model, which has its own tests.

use super::*;
use crate::bill::specimen;
use crate::bill::{CableCutting, LineKind, Unit};
use crate::cut::{CutEffort, cut, cut_jobs};
use crate::electrical::cases::figures;
use crate::job::Job;
use crate::plan::Plan;
use crate::units::{Cost, GridSteps, Money, Volts};
use proptest::prelude::*;
use rust_decimal::{Decimal, dec};

fn standing() -> Standing {
    Standing {
        status: Status::Bounded,
        bound: Some(Cost::new(900.0)),
        gap: Some(0.0017),
        remarks: Vec::new(),
    }
}

fn dossier_of(job: &Job, plan: &Plan) -> Dossier {
    let findings = Findings::of(job, plan, Vec::new(), None, standing());
    Dossier::of(job, plan, &findings.expect("the specimen works"))
}

fn dossier() -> Dossier {
    dossier_of(&specimen::job(), &specimen::plan())
}

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

#[test]
fn the_price_is_parted_without_a_cent_lost_and_the_buy_list_is_the_bill_s_material() {
    let dossier = dossier();
    let (bill, offer) = (&dossier.bill, &dossier.offer);
    let sections: Money = offer.sections.iter().map(|share| share.price).sum();
    let parts: Money = offer.parts.iter().map(|share| share.price).sum();
    assert_eq!((sections, parts), (bill.price, bill.price));
    assert!(offer.parts.iter().all(|share| share.price > Money::ZERO));
    let sundries: Money = bill
        .lines
        .iter()
        .filter(|line| line.kind == LineKind::Sundries)
        .map(|line| line.extension)
        .sum();
    assert_eq!(dossier.buying.cost + sundries, bill.material);
}

#[test]
fn trenches_name_the_circuits_in_them_and_where_the_limit_is_passed() {
    let trenches = dossier().trenches;
    assert_eq!(trenches.length, dec!(87.75));
    let lawn = &trenches.segments[1];
    assert_eq!((lawn.pieces, lawn.leads, lawn.beyond_limit), (2, 0, true));
    assert_eq!(lawn.circuits, ["C1", "C2"]);
    let drive = &trenches.segments[2];
    assert_eq!((drive.pieces, drive.leads), (0, 1));
    // Set-up 120.00 and 12.25 x 6.50 = 79.625 -> 79.62.
    assert_eq!(drive.money, Money::new(dec!(199.62)));
    let surfaces: Vec<&str> = trenches
        .surfaces
        .iter()
        .map(|row| row.surface.as_str())
        .collect();
    assert_eq!(surfaces, ["bed", "lawn", "drive", "sleeve"]);
    assert_eq!(trenches.surfaces[1].cable, dec!(51));
    // Opening 0.76, beyond the limit 0.26, laying 0.26 h.
    assert_eq!(trenches.surfaces[1].hours, dec!(1.28));
}

#[test]
fn quantities_leave_out_what_stands_already() {
    let quantities = dossier().quantities;
    let cables: Vec<(&str, u32, Decimal)> = quantities
        .cables
        .iter()
        .map(|row| (row.gauge.as_str(), row.pieces, row.length))
        .collect();
    assert_eq!(
        cables,
        [("12 AWG", 1, dec!(46.5)), ("14 AWG", 2, dec!(67.5))]
    );
    let count = |rows: &[CountRow]| -> Vec<(String, u32)> {
        rows.iter()
            .map(|row| (row.tag.clone(), row.count))
            .collect()
    };
    let by_section: u32 = quantities.sections.iter().map(|row| row.count).sum();
    let standing: Vec<u32> = quantities
        .sections
        .iter()
        .filter(|row| row.existing)
        .map(|row| row.count)
        .collect();
    assert_eq!((by_section, standing), (4, vec![1]));
    assert_eq!(count(&quantities.fixtures), [("path".to_owned(), 3)]);
    assert_eq!(count(&quantities.transformers), [("T150".to_owned(), 1)]);
    assert_eq!(count(&quantities.joints), [("gel".to_owned(), 2)]);
    assert_eq!(count(&quantities.hubs), [("H5".to_owned(), 1)]);
}

fn about(dossier: &Dossier, code: &str) -> Vec<String> {
    let found = dossier.cautions.iter().find(|caution| caution.code == code);
    found
        .map(|caution| caution.about.clone())
        .unwrap_or_default()
}

#[test]
fn cautions_follow_from_the_figures() {
    let dossier = dossier();
    let general = dossier
        .cautions
        .iter()
        .filter(|caution| caution.about.is_empty());
    assert_eq!(general.count(), 7);
    assert_eq!(about(&dossier, "bored"), ["drive"]);
    assert_eq!(about(&dossier, "existing_load"), ["OLD"]);
    assert_eq!(about(&dossier, "assumed_power_factor"), ["path"]);
    assert_eq!(about(&dossier, "no_tap_above"), ["C1"]);
    assert!(about(&dossier, "near_water").is_empty());
    assert!(about(&dossier, "close_to_limit").is_empty());
    assert!(about(&dossier, "high_tap").is_empty());
    let far: Vec<String> = dossier
        .circuits
        .iter()
        .filter(|row| row.may_not_trip)
        .map(|row| row.label.clone())
        .collect();
    assert_eq!(about(&dossier, "far_short"), far);
}

#[test]
fn names_of_water_and_a_small_ampacity_are_called_out() {
    let mut job = specimen::job();
    job.nodes[2].tag = "Pond edge".to_owned();
    let amps = dossier().circuits[0].amps;
    job.cables[0].ampacity = amps * 1.05;
    let dossier = dossier_of(&job, &specimen::plan());
    assert_eq!(about(&dossier, "near_water"), ["Pond edge"]);
    assert_eq!(about(&dossier, "close_to_limit"), ["C1"]);
}

#[test]
fn a_tap_above_15_volts_that_the_job_allows_is_called_out() {
    let mut job = specimen::job();
    job.rules.highest_tap = Volts::new(16.0);
    job.transformers[0].secondaries[0].taps[0].volts = Volts::new(15.5);
    for model in &mut job.models {
        let window = crate::job::Window::new(Volts::new(9.0), Volts::new(17.0));
        model.window = window.expect("lawful");
    }
    assert_eq!(
        about(&dossier_of(&job, &specimen::plan()), "high_tap"),
        ["C1", "C2"]
    );
}

#[test]
fn papers_go_by_transformer_whatever_the_order_of_the_plan() {
    let mut plan = specimen::plan();
    plan.circuits.reverse();
    let dossier = dossier_of(&specimen::job(), &plan);
    let labels: Vec<&str> = dossier
        .circuits
        .iter()
        .map(|row| row.label.as_str())
        .collect();
    assert_eq!(labels, ["C2", "C1"]);
    assert_eq!(dossier.circuits[0].fixtures, 3);
    let lengths = |dossier: &Dossier| -> Vec<Decimal> {
        dossier.pieces.iter().map(|row| row.length).collect()
    };
    assert_eq!(lengths(&dossier), lengths(&self::dossier()));
    assert_eq!(dossier.drawing, self::dossier().drawing);
}

#[test]
fn the_drawing_shows_what_is_opened_and_by_which_circuits() {
    let mut job = specimen::job();
    job.nodes[4].at = None;
    let drawing = dossier_of(&job, &specimen::plan()).drawing;
    assert!(drawing.segments.iter().all(|segment| segment.opened));
    assert_eq!(drawing.segments[1].circuits, [0, 1]);
    assert_eq!(drawing.segments[3].circuits, [1]);
    assert_eq!(drawing.hubs, [1]);
    assert_eq!(drawing.sites[0].transformers, ["T1"]);
    let (east, _) = drawing.nodes[1].at.expect("placed");
    assert!((east - 40.0).abs() < 1e-9);
    assert_eq!(drawing.nodes[4].at, None);
}

/// Spools of 100 ft at 70.00 (12 AWG) and at 45.00 (14 AWG), a remnant of 40 ft
/// of 14 AWG on hand. 12 AWG: one spool for the 46.5 ft, 53.5 ft left. 14 AWG:
/// 28.0 + 39.5 = 67.5 ft need one spool; the remnant alone is too short for both.
#[test]
fn the_cutting_plan_names_the_pieces_of_the_papers_and_prices_the_bill() {
    let (mut job, plan) = (specimen::job(), specimen::plan());
    let spool = |price| crate::job::Spool {
        length: GridSteps(1000),
        price: Money::new(price),
    };
    job.cables[0].spools = vec![spool(dec!(70))];
    job.cables[1].spools = vec![spool(dec!(45))];
    job.cables[1].stock = vec![crate::job::Remnant {
        length: GridSteps(400),
        count: 1,
    }];
    let cuttings = cut_jobs(&job, &plan, GridSteps(100))
        .into_iter()
        .map(|(cable, problem)| CableCutting {
            cable,
            plan: cut(&problem, &CutEffort::default()).expect("everything fits"),
            problem,
        })
        .collect();
    let findings = Findings::of(&job, &plan, cuttings, None, standing());
    let dossier = Dossier::of(&job, &plan, &findings.expect("the specimen works"));

    let length_of = |id: &str| {
        let piece = dossier.pieces.iter().find(|row| row.id == id);
        piece.expect("every name is a piece").length
    };
    let mut cut_off: Vec<&str> = Vec::new();
    for spool in &dossier.cutting.spools {
        let mut used = Decimal::ZERO;
        for cut in &spool.cuts {
            let pieces: Decimal = cut.pieces.iter().map(|id| length_of(id)).sum();
            assert_eq!(pieces, cut.length);
            assert_eq!(cut.marks.len() + 1, cut.pieces.len());
            used += cut.length;
            cut_off.extend(cut.pieces.iter().map(String::as_str));
        }
        assert_eq!(used + spool.left, spool.length);
        assert_eq!(spool.keep, spool.left >= dec!(10));
    }
    cut_off.sort_unstable();
    assert_eq!(cut_off, ["C1-P1", "C1-P2", "C2-P1"]);
    assert_eq!(dossier.cutting.spools[0].left, dec!(53.5));

    let cable = dossier
        .bill
        .lines
        .iter()
        .filter(|line| line.kind == LineKind::Cable);
    let paid: Money = cable.map(|line| line.extension).sum();
    let stated: Money = dossier.cutting.totals.iter().map(|row| row.cost).sum();
    assert_eq!(
        (paid, stated),
        (Money::new(dec!(115)), Money::new(dec!(115)))
    );
}

#[test]
fn the_tables_carry_units_and_as_many_cells_in_every_row() {
    let dossier = dossier();
    let tables = [
        dossier.bill_csv(),
        dossier.circuits_csv(),
        dossier.fixtures_csv(),
        dossier.pieces_csv(),
    ];
    for table in &tables {
        let mut reader = csv::Reader::from_reader(table.as_bytes());
        let width = reader.headers().expect("a header").len();
        let rows: Vec<csv::StringRecord> = reader
            .records()
            .collect::<Result<_, _>>()
            .expect("even rows");
        assert!(!rows.is_empty() && rows.iter().all(|row| row.len() == width));
    }
    assert!(tables[1].starts_with("circuit,transformer,secondary,tap,tap_V,"));
    assert!(tables[1].contains(",home_run_ft,cable_ft,"));
    assert!(tables[3].contains(
        "C1-P2,C1,no,C1-J1,C1-J2,14 AWG direct burial,14 AWG,28.0,25.50,1.50,0.00,1.00,0.00,"
    ));
    assert!(tables[0].contains(
        "line,General,material,Cable 14 AWG (14 AWG direct burial),67.5,ft,0.415,28.01,USD\n"
    ));
    assert!(tables[0].ends_with("total,,,Price with tax,,,,2374.68,USD\n"));
}

/// In metres the grid is 1 cm: C1-P1 is 46.5 ft = 14.1732 m, cut at 14.18 m.
#[test]
fn a_metric_job_is_shown_in_metres() {
    let mut job = specimen::job();
    job.units = crate::units::UnitSystem::Metric;
    let dossier = dossier_of(&job, &specimen::plan());
    assert_eq!(dossier.header.length_unit, "m");
    assert_eq!(dossier.pieces[0].length, dec!(14.18));
    assert_eq!(dossier.bill.lines[8].quantity.unit, Unit::Metres);
    assert!(dossier.pieces_csv().contains(",length_m,route_m,"));
    assert!(dossier.circuits_csv().contains(",home_run_m,cable_m,"));
}

#[test]
fn a_tag_that_a_spreadsheet_would_run_is_neutralised_in_every_table() {
    let mut job = specimen::job();
    job.fixtures[0].tag = "=HYPERLINK(1)".to_owned();
    job.nodes[0].tag = "@G".to_owned();
    job.models[0].tag = "+path".to_owned();
    job.fixtures[1].section = Some("-Back".to_owned());
    let dossier = dossier_of(&job, &specimen::plan());
    for table in [
        dossier.bill_csv(),
        dossier.fixtures_csv(),
        dossier.pieces_csv(),
    ] {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(table.as_bytes());
        for record in reader.records() {
            for cell in &record.expect("even rows") {
                let runs = cell.starts_with(['=', '+', '-', '@', '\t']);
                assert!(!runs || cell.parse::<f64>().is_ok(), "{cell}");
            }
        }
    }
    assert!(dossier.fixtures_csv().contains("'=HYPERLINK(1)"));
    assert!(dossier.pieces_csv().contains("'@G > F1"));
}

#[test]
fn the_dossier_is_serialised_whole() {
    let value = serde_json::to_value(dossier()).expect("plain figures");
    assert_eq!(value["header"]["length_unit"], "ft");
    assert_eq!(value["bill"]["lines"][0]["class"], "material");
    assert_eq!(value["bill"]["total"], "2374.68");
    assert_eq!(value["pieces"][0]["length"], "46.5");
}

proptest! {
    #[test]
    fn segments_add_up_to_their_surface_and_surfaces_to_the_bill(
        lengths in prop::array::uniform4(0.0_f64..90.0),
        hours in prop::array::uniform4(0.0_f64..0.2),
        per_unit in prop::array::uniform4((0_i64..99_999).prop_map(|rate| Decimal::new(rate, 4))),
        same_surface in prop::bool::ANY,
    ) {
        let mut job = specimen::job();
        for (index, length) in lengths.into_iter().enumerate() {
            job.segments[index].length = job.units.to_metres(length);
            job.surfaces[index].open.hours_per_unit = hours[index];
            job.surfaces[index].open.money_per_unit = Money::new(per_unit[index]);
            if same_surface {
                job.segments[index].surface = crate::ids::SurfaceId(1);
            }
        }
        let dossier = dossier_of(&job, &specimen::plan());
        for surface in &dossier.trenches.surfaces {
            let rows = || {
                let rows = dossier.trenches.segments.iter();
                rows.filter(|row| row.surface == surface.surface)
            };
            prop_assert_eq!(rows().map(|row| row.hours).sum::<Decimal>(), surface.hours);
            prop_assert_eq!(rows().map(|row| row.money).sum::<Money>(), surface.money);
            prop_assert_eq!(rows().map(|row| row.length).sum::<Decimal>(), surface.length);
        }
        let ground = || dossier.bill.lines.iter()
            .filter(|line| matches!(line.kind, LineKind::Trench | LineKind::CableWork));
        let worked: Decimal = ground()
            .filter(|line| line.quantity.unit == Unit::Hours)
            .map(|line| line.quantity.amount)
            .sum();
        let paid: Money = ground()
            .filter(|line| line.quantity.unit != Unit::Hours)
            .map(|line| line.extension)
            .sum();
        let surfaces = &dossier.trenches.surfaces;
        prop_assert_eq!(surfaces.iter().map(|row| row.hours).sum::<Decimal>(), worked);
        prop_assert_eq!(surfaces.iter().map(|row| row.money).sum::<Money>(), paid);
    }
}
