//! `duskwright inspect` and `duskwright schema`.

use crate::desk::Desk;

#[test]
fn a_sound_job_is_counted() {
    let desk = Desk::with_courtyard();
    let said = desk.run(&["inspect", "courtyard"]);
    said.ended_with(0);
    assert!(said.out.contains("12 fixtures"), "{}", said.out);
}

#[test]
fn every_mistake_is_reported_with_file_and_line() {
    let desk = Desk::with_courtyard();
    desk.edit("courtyard/fixtures.csv", "spot-wide", "spot-wyde");
    desk.edit("courtyard/paths.csv", "3.4", "-3.4");
    let said = desk.run(&["inspect", "courtyard"]);
    said.ended_with(2);
    for words in [
        "fixtures.csv:4",
        "`spot-wyde`",
        "spot-wide",
        "paths.csv:2",
        "-3.4",
    ] {
        assert!(said.err.contains(words), "no `{words}` in\n{}", said.err);
    }
}

#[test]
fn a_catalogue_at_an_absolute_path_is_refused() {
    let desk = Desk::with_courtyard();
    let absolute = desk.path("catalogue-metric").display().to_string();
    desk.edit("courtyard/job.toml", "../catalogue-metric", &absolute);
    let said = desk.run(&["inspect", "courtyard"]);
    said.ended_with(2);
    let words = "the catalogue folder is not a relative path";
    assert!(said.err.contains(words), "{}", said.err);
}

#[cfg(unix)]
#[test]
fn a_table_that_is_a_link_out_of_the_folder_is_read_only_when_allowed() {
    let desk = Desk::with_courtyard();
    let (table, elsewhere) = (desk.path("courtyard/sites.csv"), desk.path("sites.csv"));
    std::fs::rename(&table, &elsewhere).expect("moved");
    std::os::unix::fs::symlink(&elsewhere, &table).expect("linked");
    let said = desk.run(&["inspect", "courtyard"]);
    said.ended_with(2);
    assert!(said.err.contains("--allow-outside"), "{}", said.err);
    desk.run(&["inspect", "courtyard", "--allow-outside"])
        .ended_with(0);
}

#[test]
fn the_schema_names_every_table_and_its_required_columns() {
    let desk = Desk::with_courtyard();
    let said = desk.run(&["schema"]);
    said.ended_with(0);
    for words in [
        "job.toml",
        "paths.csv",
        "fixture_models.csv",
        "window_low_v",
        "labour_per_hour",
    ] {
        assert!(said.out.contains(words), "no `{words}` in\n{}", said.out);
    }
}
