//! The same job as different spreadsheets save it.

use crate::accepted;
use duskwright_solver::job::JobText;
use duskwright_solver::units::Money;
use duskwright_tests::{altered, full_job, small_job};
use rust_decimal::Decimal;

/// Every table rewritten; `job.toml` stays.
fn rewritten(job: &JobText, rewrite: impl Fn(&str) -> String) -> JobText {
    job.iter()
        .filter(|(name, _)| name.ends_with(".csv"))
        .fold(job.clone(), |job, (name, bytes)| {
            let text = std::str::from_utf8(bytes).expect("the sample is text");
            job.with(name, rewrite(text))
        })
}

fn same(job: &JobText) {
    let (read, notes) = accepted(job);
    assert_eq!(notes, "");
    assert_eq!(read, accepted(&full_job()).0);
}

#[test]
fn a_byte_order_mark_and_windows_line_ends_make_no_difference() {
    same(&rewritten(&full_job(), |text| {
        format!("\u{feff}{}", text.replace('\n', "\r\n"))
    }));
}

#[test]
fn semicolons_with_decimal_commas_make_no_difference() {
    same(&rewritten(&full_job(), |text| {
        text.replace(',', ";").replace('.', ",")
    }));
}

#[test]
fn tabs_make_no_difference() {
    same(&rewritten(&full_job(), |text| text.replace(',', "\t")));
}

#[test]
fn quotes_spaces_blank_lines_and_trailing_separators_make_no_difference() {
    same(&rewritten(&full_job(), |text| {
        let quoted = |line: &str| {
            let cells: Vec<String> = line
                .split(',')
                .map(|cell| format!(" \"{cell}\" "))
                .collect();
            format!("{},,\n\n ,,\n", cells.join(","))
        };
        text.lines().map(quoted).collect()
    }));
}

#[test]
fn the_order_of_columns_and_the_case_of_headings_make_no_difference() {
    same(&rewritten(&full_job(), |text| {
        let turned = |line: &str| line.split(',').rev().collect::<Vec<_>>().join(",") + "\n";
        let mut lines = text.lines();
        let heading = turned(lines.next().expect("a heading")).to_uppercase();
        heading + &lines.map(turned).collect::<String>()
    }));
}

#[test]
fn an_extra_column_is_said_and_left_unread() {
    let job = small_job().with(
        "zones.csv",
        "tag,remarks,switched\nfront,\"call first\",transformer\n",
    );
    let (read, notes) = accepted(&job);
    assert_eq!(read, accepted(&small_job()).0);
    assert_eq!(
        notes,
        "note[J901]: `remarks` is not read\n  --> zones.csv:1:5   column remarks (B)"
    );
}

#[test]
fn a_catalogue_in_the_other_units_is_converted() {
    // 250 ft = 76.2 m; 0.61 a foot is 0.61 / 0.3048 = 2.00131... a metre; 3 ft = 0.9144 m.
    let job = altered(
        small_job(),
        "../catalogue/spools.csv",
        "cable,length_ft,price\n10-2,250,210\n12-2,250,140\n12-2,500,265\n",
        "cable,length_m,price\n10-2,76.2,210\n12-2,76.2,140\n12-2,152.4,265\n",
    );
    assert_eq!(accepted(&job).0, accepted(&small_job()).0);

    let per_metre = altered(
        small_job(),
        "../catalogue/cables.csv",
        "size_awg,price_per_ft",
        "size_awg,price_per_m",
    );
    // 0.92 a metre is 0.92 x 0.3048 = 0.280416 a foot, exactly.
    let price = accepted(&per_metre).0.cables[0].price;
    assert_eq!(
        price.map(|price| price.per_unit),
        Some(Money::new(Decimal::new(280_416, 6)))
    );
}

#[test]
fn what_is_left_out_takes_the_documented_default() {
    let (job, _) = accepted(&small_job());
    let rules = &job.rules;
    assert_eq!((rules.loading_limit, rules.mains_fraction), (0.8, 0.8));
    assert_eq!(
        (rules.margins.low.value(), rules.margins.high.value()),
        (0.5, 0.0)
    );
    assert_eq!(rules.length_growth, 1.05);
    let temperatures = rules.temperatures;
    assert_eq!(temperatures.low_case.value(), 30.0);
    assert_eq!(temperatures.high_case.value(), 5.0);
    assert_eq!(temperatures.expected.value(), 15.0);
    assert_eq!(rules.highest_tap.value(), 15.0);
    assert_eq!((rules.line.low, rules.line.high), (1.0, 1.0));
    assert_eq!(job.transformers[0].secondaries[0].continuous_fraction, 0.8);
}

#[test]
fn joints_are_allowed_at_fixtures_sites_and_beds_unless_said_otherwise() {
    // A spur n1 - corner over lawn and drive only: no joint at the corner.
    let job = altered(
        small_job(),
        "paths.csv",
        "n1,n3,30,drive,2\n",
        "n1,n3,30,drive,2\nn1,corner,9,lawn,\ncorner,n3,9,drive,\nn2,border,4,bed,\n",
    );
    let job = altered(job, "nodes.csv", "n3,35,12,,", "n3,35,12,,no");
    let (job, _) = accepted(&job);
    let allowed: Vec<(&str, bool)> = job
        .nodes
        .iter()
        .map(|node| (node.tag.as_str(), node.joint_allowed))
        .collect();
    assert_eq!(
        allowed,
        [
            ("garage", true),
            ("n2", true),
            ("n3", false),
            ("n1", true),
            ("corner", false),
            ("border", true)
        ]
    );
}

#[test]
fn a_blank_length_is_the_straight_line_between_coordinates() {
    // n2 (35, 0) to n3 (35, 12): 12 ft = 3.6576 m.
    let (job, _) = accepted(&small_job());
    assert!((job.segments[2].length.value() - 3.6576).abs() < 1e-12);
}

#[test]
fn published_resistances_are_taken_from_size_material_and_make_up() {
    // NEC Chapter 9 Table 8, stranded AWG 12: 1.98 ohm per 1000 ft at 75 °C.
    let (job, _) = accepted(&small_job());
    let conductor = job.cables[1].conductor;
    assert!((conductor.resistance.value() * 304.8 - 1.98).abs() < 1e-12);
    assert_eq!(conductor.at.value(), 75.0);
    assert_eq!(conductor.coefficient.value(), 0.00323);
    // IEC 60228, 2.5 mm² class 5: 7.98 ohm/km at 20 °C.
    let metric = small_job().with(
        "../catalogue/cables.csv",
        "tag,size_mm2,strand,price_per_m,ampacity_a\n10-2,4,,2,30\n12-2,2.5,class 5,1,25\nlead-18,1,,1,10\n",
    );
    let conductor = accepted(&metric).0.cables[1].conductor;
    assert!((conductor.resistance.value() * 1000.0 - 7.98).abs() < 1e-12);
    assert_eq!(conductor.at.value(), 20.0);
}
