//! `duskwright verify`.

use crate::desk::planned;
use std::fs;

#[test]
fn a_plan_of_its_own_holds() {
    let (desk, said) = planned();
    said.ended_with(0);
    let said = desk.run(&["verify", "courtyard", "out/plan.json"]);
    said.ended_with(0);
    assert!(said.out.contains("breaks no rule"), "{}", said.out);
}

#[test]
fn a_plan_for_another_job_or_no_plan_at_all_is_refused() {
    let (desk, said) = planned();
    said.ended_with(0);
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = folder.path().join("plan.json");
    for text in ["", "{}", "[1, 2", "{\"circuits\": 7}"] {
        fs::write(&file, text).expect("written");
        let said = desk.run(&["verify", "courtyard", &file.to_string_lossy()]);
        said.ended_with(2);
        assert!(said.err.contains("plan.json"), "{}", said.err);
    }
}
