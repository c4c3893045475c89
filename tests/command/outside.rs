//! What a file names may lie in its folder or beside it; further away needs a flag.

use crate::desk::{Desk, PLAN_COURTYARD, REBUILD_COURTYARD};
use std::fs;

#[test]
fn a_catalogue_two_folders_up_needs_the_flag() {
    let desk = Desk::with_courtyard();
    desk.copy_folder("courtyard", "jobs/court");
    desk.edit(
        "jobs/court/job.toml",
        "../catalogue-metric",
        "../../catalogue-metric",
    );
    let said = desk.run(&["inspect", "jobs/court"]);
    said.ended_with(2);
    for words in [
        "jobs/court/job.toml",
        "\"../../catalogue-metric\"",
        "accepted: ",
        "--allow-outside",
    ] {
        assert!(said.err.contains(words), "no `{words}` in\n{}", said.err);
    }
    desk.run(&["inspect", "jobs/court", "--allow-outside"])
        .ended_with(0);
}

#[test]
fn a_detour_back_to_a_neighbour_is_no_way_out() {
    let desk = Desk::with_courtyard();
    for (written, code) in [
        ("../courtyard/../catalogue-metric", 0),
        ("./../catalogue-metric/", 0),
        ("../../../../../../../etc", 2),
        ("..", 2),
    ] {
        let desk_job = format!("court-{}", written.len());
        desk.copy_folder("courtyard", &desk_job);
        desk.edit(
            &format!("{desk_job}/job.toml"),
            "../catalogue-metric",
            written,
        );
        desk.run(&["inspect", &desk_job]).ended_with(code);
    }
}

#[test]
fn a_list_of_jobs_does_not_lead_away_from_its_folder() {
    let desk = Desk::with_courtyard();
    fs::create_dir_all(desk.path("lists/week")).expect("made");
    fs::write(desk.path("lists/week/jobs.txt"), "../../courtyard\n").expect("written");
    let said = desk.run(&["batch", "lists/week/jobs.txt", "--out", "out"]);
    said.ended_with(2);
    for words in [
        "lists/week/jobs.txt",
        "courtyard",
        "accepted: ",
        "--allow-outside",
    ] {
        assert!(said.err.contains(words), "no `{words}` in\n{}", said.err);
    }
    assert!(!desk.path("out").exists());
}

#[test]
fn a_logo_lies_beside_the_file_that_names_it() {
    let desk = Desk::with_courtyard();
    fs::create_dir(desk.path("firm")).expect("made");
    fs::write(desk.path("logo.png"), "no picture").expect("written");
    fs::write(
        desk.path("firm/firm.toml"),
        "name = \"A\"\nlogo = \"../logo.png\"\n",
    )
    .expect("written");
    let words = [&PLAN_COURTYARD[..], &["--firm", "firm/firm.toml"]].concat();
    let said = desk.run(&words);
    said.ended_with(2);
    assert!(
        said.err.contains("../logo.png") && said.err.contains("--allow-outside"),
        "{}",
        said.err
    );
    assert!(!desk.path("out").exists());
}

#[cfg(unix)]
#[test]
fn the_history_of_a_rebuild_is_not_read_through_a_link() {
    let desk = Desk::with_courtyard();
    desk.run(&PLAN_COURTYARD).ended_with(0);
    fs::write(desk.path("secret.txt"), "a heading\na secret\n").expect("written");
    std::os::unix::fs::symlink(desk.path("secret.txt"), desk.path("courtyard/changes.csv"))
        .expect("linked");
    fs::write(
        desk.path("changes.csv"),
        "what,name,to\npath,well/trough,3.9\n",
    )
    .expect("written");
    let said = desk.run(&REBUILD_COURTYARD);
    said.ended_with(2);
    assert!(said.err.contains("changes.csv"), "{}", said.err);
    assert!(!desk.path("built").exists());
}
