//! Order of the papers, the drawing, the tables for spreadsheets.

use super::*;

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
