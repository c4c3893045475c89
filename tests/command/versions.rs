//! Plans of other versions of the file: an old one is read, a newer one refused for that.

use crate::desk::Desk;
use std::fs;
use std::path::Path;

/// A job and its plan as the first version of the file had them, kept as they were.
fn desk() -> Desk {
    let desk = Desk::with_courtyard();
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/command/fixtures/schema-1");
    desk.lay(&kept, "job");
    desk.lay(&kept.join("catalogue"), "job/catalogue");
    desk
}

#[test]
fn a_plan_of_the_first_version_is_read_and_still_holds() {
    let desk = desk();
    let said = desk.run(&["verify", "job", "job/plan.json"]);
    said.ended_with(0);
    assert!(desk.text("job/plan.json").contains("\"schema\": 1,"));
}

#[test]
fn a_plan_of_a_newer_version_is_refused_for_its_version() {
    let desk = desk();
    let plan = desk.text("job/plan.json");
    let newer = plan.replacen(
        "\"schema\": 1,",
        "\"schema\": 2,\n  \"weather\": \"rain\",",
        1,
    );
    fs::write(desk.path("newer.json"), newer).expect("written");
    let said = desk.run(&["verify", "job", "newer.json"]);
    said.ended_with(2);
    for words in [
        "newer.json",
        "P102",
        "version 2",
        "accepted: 1",
        "version that wrote the plan",
    ] {
        assert!(said.err.contains(words), "no `{words}` in\n{}", said.err);
    }
}
