//! Further mistakes, one each, beyond the examples on the page of codes.

use crate::refusal;
use duskwright_tests::{altered, full_job, small_job};

/// Declares a test: file, what stands there, what is written instead.
macro_rules! refused {
    ($($name:ident: $file:literal, $right:literal => $wrong:literal;)*) => {$(
        #[test]
        fn $name() {
            let job = altered(full_job(), $file, $right, $wrong);
            insta::assert_snapshot!(refusal(&job));
        }
    )*};
}

refused! {
    a_thousands_separator_is_no_number: "paths.csv", "garage,n1,20,lawn" => "garage,n1,\"1,200\",lawn";
    a_currency_sign_is_no_number: "sites.csv", "garage,25.00" => "garage,$25.00";
    a_date_is_no_number: "paths.csv", "garage,n1,20,lawn" => "garage,n1,2026-11-25,lawn";
    a_node_is_misspelt: "fixtures.csv", "F1,n1" => "F1,m1";
    a_zone_is_unknown: "fixtures.csv", "path-3w,front" => "path-3w,frnt";
    a_surface_is_unknown: "paths.csv", "n1,n2,15,bed" => "n1,n2,15,gravel";
    a_spool_of_unknown_cable: "../catalogue/spools.csv", "12-2,250" => "13-2,250";
    a_tap_of_unknown_transformer: "../catalogue/taps.csv", "T150,S1,12" => "T151,S1,12";
    a_tap_of_unknown_secondary: "../catalogue/taps.csv", "T150,S1,12" => "T150,S2,12";
    a_tap_given_twice: "../catalogue/taps.csv", "T150,S1,14,14" => "T150,S1,12,14";
    a_lead_of_cable_not_allowed: "../catalogue/fixture_models.csv", "lead-18,3,64" => "12-2,3,64";
    a_direct_current_supply: "../catalogue/transformers.csv", "magnetic" => "dc driver";
    two_units_for_one_length: "../catalogue/spools.csv", "cable,length_ft,price\n12-2,250,140\n12-2,500,265\n" => "cable,length_ft,length_m,price\n12-2,250,76.2,140\n";
    a_rate_in_the_units_of_the_other_system: "job.toml", "slack_transformer_ft" => "slack_transformer_m";
    a_list_of_numbers_for_layouts: "job.toml", "[\"chain\", \"hub\", \"mixed\"]" => "[1, 2]";
    an_unknown_layout: "job.toml", "\"chain\"" => "\"star\"";
    a_number_that_is_nan: "job.toml", "permit = 90.00" => "permit = nan";
    a_percentage_above_its_range: "job.toml", "loading_percent = 80" => "loading_percent = 130";
    money_with_too_many_decimals: "job.toml", "permit = 90.00" => "permit = 90.00000000001";
    a_standing_transformer_of_unknown_tap: "existing.csv", "40,12=1" => "40,16=1";
    a_standing_transformer_at_unknown_site: "existing.csv", "old,garage wall" => "old,garage";
    a_wire_set_with_no_size: "../catalogue/joints.csv", "2x10+2x18" => "2x10+";
    ports_without_a_range: "../catalogue/hubs.csv", "6 x 18 to 12" => "six";
    a_power_factor_of_zero: "job.toml", "loading_percent = 80" => "loading_percent = 80\ndefault_power_factor = 0";
    a_breaker_rule_without_size: "job.toml", "breaker_a = 25\nsize_awg = 14" => "breaker_a = 25";
    a_version_that_is_no_number: "job.toml", "schema = 1" => "schema = \"one\"";
    a_tag_too_long: "zones.csv", "front,transformer" => "fffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff,transformer";
}

#[test]
fn an_empty_folder() {
    insta::assert_snapshot!(refusal(&duskwright_solver::job::JobText::new()));
}

#[test]
fn utf_16_is_named() {
    let bytes: Vec<u8> = "\u{feff}tag,switched\n"
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    insta::assert_snapshot!(refusal(&small_job().with("zones.csv", bytes)));
}

#[test]
fn a_missing_table_names_its_columns() {
    insta::assert_snapshot!(refusal(&small_job().without("sites.csv")));
}

#[test]
fn a_section_written_as_a_value() {
    let job = altered(small_job(), "job.toml", "units", "line = 5\nunits");
    insta::assert_snapshot!(refusal(&job));
}

#[test]
fn a_value_written_as_a_section() {
    let job = altered(small_job(), "job.toml", "[rates]", "[bid.permit]\n[rates]");
    insta::assert_snapshot!(refusal(&job));
}
