//! The plan as a file: what it carries, and how wrong files are refused.

use crate::obeys;
use duskwright_solver::check::{Rule, stated_figures, verify};
use duskwright_solver::ids::{ExistingId, SiteId, TransformerModelId};
use duskwright_solver::job::{Existing, Job, Layout};
use duskwright_solver::plan::json::{PlanFault, PlanHeader, PlanResults, from_json, to_json};
use duskwright_solver::plan::{Plan, TransformerSource};
use duskwright_solver::units::{Metres, VoltAmperes};
use duskwright_tests::build::*;

fn header() -> PlanHeader {
    PlanHeader {
        program_version: "0.0.0".to_owned(),
        input_hash: "sha256:00".to_owned(),
        effort: "standard".to_owned(),
        seed: 7,
        layout: Layout::Mixed,
        objective: Some("installed".to_owned()),
        status: "feasible".to_owned(),
        lower_bound_cost: Some(450.1),
    }
}

fn written(job: &Job, plan: &Plan) -> String {
    let results = verify(job, plan).figures.results(job);
    to_json(job, plan, &header(), &results)
}

/// Faults of the chain's file after replacing one text by another.
fn faults(from: &str, to: &str) -> Vec<PlanFault> {
    let text = written(&row(), &chain());
    assert!(text.contains(from), "{from} is not in\n{text}");
    let altered = text.replace(from, to);
    from_json(&row(), &altered).expect_err("a wrong file").0
}

#[test]
fn a_plan_comes_back_as_it_was_written() {
    let mut job = row();
    job.rates.slack.splice = Metres::new(1.0 / 3.0);
    job.existing.push(Existing {
        tag: "old".to_owned(),
        site: SiteId(0),
        model: TransformerModelId(0),
        present_load: vec![VoltAmperes::ZERO; 2],
        tap_lugs_used: vec![vec![0, 0], vec![0]],
        common_lugs_used: vec![vec![0], vec![0]],
        zone: None,
    });
    let mut standing = chain();
    standing.transformers[0].source = TransformerSource::Existing(ExistingId(0));
    let mut bought = two_circuits(0, 1);
    bought.further_circuits = vec![(SiteId(0), 1)];
    bought.circuits[1].joints[0].incoming.route.segments = vec![SA_LAWN, AB];
    let hub = hub_plan(&mut row());
    for plan in [chain(), standing, bought, hub] {
        let results = verify(&job, &plan).figures.results(&job);
        let text = to_json(&job, &plan, &header(), &results);
        let file = from_json(&job, &text).expect("a lawful file");
        assert_eq!(file.plan, plan);
        assert_eq!(file.header, header());
        assert_eq!(
            file.results, results,
            "every figure keeps its full precision"
        );
        assert_eq!(to_json(&job, &file.plan, &file.header, &file.results), text);
    }
}

#[test]
fn an_unknown_tag_is_named_with_its_place_and_the_known_ones() {
    let found = faults("\"cable\": \"4mm2\"", "\"cable\": \"5mm2\"");
    assert_eq!(found.len(), 3, "one for each piece");
    assert_eq!(
        found[0].to_string(),
        "P201: circuits[0].pieces[0].cable: cable `5mm2` is not in the job; known: `4mm2`, `2mm2`, `lead`; did you mean `2mm2`?"
    );
}

#[test]
fn all_faults_are_collected() {
    let text = written(&row(), &chain())
        .replace("\"node\": \"B\"", "\"node\": \"Q\"")
        .replace("\"tap\": \"12V\"", "\"tap\": \"11V\"")
        .replace(
            "\"fixture\": \"F3\",\n          \"joint\"",
            "\"fixture\": \"F9\",\n          \"joint\"",
        );
    let found = from_json(&row(), &text).expect_err("a wrong file").0;
    let codes: Vec<&str> = found.iter().map(PlanFault::code).collect();
    assert_eq!(codes, ["P201"; 3]);
    let text = found.iter().map(ToString::to_string).collect::<String>();
    assert!(
        text.contains("`11V`") && text.contains("`Q`") && text.contains("`F9`"),
        "{text}"
    );
}

#[test]
fn a_segment_is_found_by_its_ends_and_its_number_among_parallels() {
    let found = faults(
        "\"from\": \"S\",\n              \"to\": \"A\",\n              \"parallel\": 1",
        "\"from\": \"S\",\n              \"to\": \"A\",\n              \"parallel\": 3",
    );
    assert_eq!(
        found[0].to_string(),
        "P205: circuits[0].pieces[0].route[0]: the job has 2 segments from `S` to `A`, the plan asks for number 3"
    );
}

#[test]
fn a_stated_length_must_follow_from_the_job() {
    let found = faults("\"length_grid_steps\": 1000", "\"length_grid_steps\": 999");
    assert_eq!(
        found[0].to_string(),
        "P206: circuits[0].pieces[0].length_grid_steps: the plan states 999 steps of the length grid, the job gives 1000"
    );
}

#[test]
fn labels_are_known_and_used_once_and_each_joint_is_fed_once() {
    let twice = faults("\"label\": \"C1-J2\"", "\"label\": \"C1-J1\"");
    let codes: Vec<&str> = twice.iter().map(PlanFault::code).collect();
    assert!(
        codes.contains(&"P203") && codes.contains(&"P202"),
        "{codes:?}"
    );
    let fed = faults("\"to\": \"C1-J2\"", "\"to\": \"C1-J3\"");
    let codes: Vec<&str> = fed.iter().map(PlanFault::code).collect();
    assert_eq!(codes, ["P204", "P204"]);
}

#[test]
fn another_schema_another_job_and_no_plan_at_all_are_refused() {
    assert_eq!(faults("\"schema\": 1", "\"schema\": 99")[0].code(), "P102");
    assert_eq!(faults("row of three", "row of four")[0].code(), "P103");
    let unknown = faults("\"seed\": 7", "\"sed\": 7");
    let text = unknown[0].to_string();
    assert!(
        text.starts_with("P101: line ") && text.contains("`sed`"),
        "{text}"
    );
    for text in ["", "{}", "[]", "null", "{\"schema\": 1e999}", "\u{feff}{"] {
        assert_eq!(
            from_json(&row(), text).expect_err("no plan").0[0].code(),
            "P101"
        );
    }
}

#[test]
fn stated_figures_are_held_against_the_computed_ones() {
    let (job, plan) = (row(), chain());
    let figures = obeys(&job, &plan).figures;
    let stated = figures.results(&job);
    assert_eq!(stated_figures(&job, &plan, &stated, &figures), []);
    let alterations: [fn(&mut PlanResults); 7] = [
        |stated| stated.fixtures[2].volts_low_case_v = Some(11.4),
        |stated| stated.fixtures[2].volts_high_case_v = None,
        |stated| stated.circuits[0].pieces[1].current_low_case_a = Some(2.1),
        |stated| stated.transformers[0].permitted_va += 1.0,
        |stated| stated.cost[0].cost -= 0.01,
        |stated| stated.direct_cost += 0.01,
        |stated| stated.fixtures[0].fixture = "F2".to_owned(),
    ];
    for alter in alterations {
        let mut altered = stated.clone();
        alter(&mut altered);
        let found = stated_figures(&job, &plan, &altered, &figures);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].rule, Rule::StatedFigure);
    }
}
