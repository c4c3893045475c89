//! Many mistakes at once, and no echoes.

use crate::refusal;
use duskwright_solver::job::{self, Code};
use duskwright_tests::{altered, small_job};

fn codes(text: &job::JobText) -> Vec<&'static str> {
    match job::read(text) {
        Ok(_) => Vec::new(),
        Err(faults) => faults
            .faults
            .iter()
            .map(|fault| fault.code.as_str())
            .collect(),
    }
}

#[test]
fn mistakes_of_several_files_are_reported_together_in_the_order_of_the_files() {
    let job = altered(small_job(), "job.toml", "68.00", "-1");
    let job = altered(job, "fixtures.csv", "F2,n2,path-3w", "F2,n9,path-3v");
    let job = altered(job, "paths.csv", "n1,n2,15,bed", "n1,n2,-15,beds");
    let job = altered(
        job,
        "../catalogue/transformers.csv",
        "magnetic",
        "electronic",
    );
    insta::assert_snapshot!(refusal(&job));
}

#[test]
fn a_missing_catalogue_table_does_not_make_its_tags_unknown() {
    let job = small_job().without("../catalogue/fixture_models.csv");
    insta::assert_snapshot!(refusal(&job));
}

#[test]
fn a_row_with_a_bad_tag_does_not_make_references_to_it_unknown() {
    let job = altered(
        small_job(),
        "../catalogue/surfaces.csv",
        "bed,0.02",
        "b|d,0.02",
    );
    assert_eq!(codes(&job), ["J039"]);
}

#[test]
fn a_ragged_row_does_not_make_what_it_defined_unknown() {
    let job = altered(
        small_job(),
        "../catalogue/cables.csv",
        "lead-18,18,,10,20,no,no,yes",
        "lead-18,18,,10",
    );
    assert_eq!(codes(&job), ["J008"]);
}

#[test]
fn a_missing_column_is_said_once_and_not_for_every_row() {
    let job = altered(
        small_job(),
        "fixtures.csv",
        "tag,node,model",
        "tag,node,kind",
    );
    insta::assert_snapshot!(refusal(&job));
}

#[test]
fn a_bad_path_does_not_make_fixtures_unreachable() {
    let job = altered(
        small_job(),
        "paths.csv",
        "garage,n1,20,lawn",
        "garage,n1,x,lawn",
    );
    assert_eq!(codes(&job), ["J031"]);
}

#[test]
fn broken_toml_does_not_make_its_keys_missing() {
    let job = altered(
        small_job(),
        "job.toml",
        "labour_per_hour = 68.00",
        "labour_per_hour",
    );
    assert_eq!(codes(&job), ["J009"]);
}

#[test]
fn unknown_units_stop_before_every_length_is_doubted() {
    let job = altered(
        small_job(),
        "job.toml",
        "units = \"us\"",
        "units = \"imperial\"",
    );
    insta::assert_snapshot!(refusal(&job));
}

#[test]
fn a_flood_of_one_mistake_is_counted_not_printed() {
    let rows: String = (0..150).map(|n| format!("X{n},n1,n2-{n},,,\n")).collect();
    let job = altered(
        small_job(),
        "fixtures.csv",
        "existing\n",
        &format!("existing\n{rows}"),
    );
    let faults = job::read(&job).expect_err("150 unknown models");
    assert_eq!(faults.faults.len(), 100);
    assert_eq!(faults.left_out, 50);
    assert!(
        faults
            .faults
            .iter()
            .all(|fault| fault.code == Code::UnknownTag)
    );
    assert!(
        faults
            .to_string()
            .ends_with("150 mistakes; nothing was planned (50 more of the same kinds not shown)")
    );
}

#[test]
fn a_text_of_nothing_but_mistakes_is_read_once() {
    // Two lines are sound; were the text walked through for each mistake, this took minutes.
    let text = format!("schema = 1\nname = \"A\"\n{}", "x\n".repeat(100_000));
    let faults = job::read(&small_job().with("job.toml", text)).expect_err("no settings");
    let lines: Vec<Option<u32>> = faults.faults.iter().map(|fault| fault.line).collect();
    assert_eq!(lines[..2], [Some(3), Some(4)], "{faults}");
    assert!(faults.left_out > 99_000, "{} left out", faults.left_out);
}

#[test]
fn of_thousands_of_strange_headings_a_hundred_are_named() {
    let strange: String = (0..20_000).map(|number| format!(",col{number}")).collect();
    let blanks = ",".repeat(20_000);
    let table = format!("tag,switched{strange}\nfront,transformer{blanks}\n");
    let (_, notices) = job::read(&small_job().with("zones.csv", table)).expect("read");
    assert_eq!(notices.len(), 100);
}
