//! Decisions made beforehand, and plans that are kept.

use duskwright_solver::decision;
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::optimise::{Effort, Settings, Silent};
use duskwright_solver::plan::{Changes, Plan};
use duskwright_solver::run::{Decisions, Guidance, Keep};
use duskwright_solver::solve::{self, Outcome};
use duskwright_tests::build::{money, row};

const SETTINGS: Settings = Settings {
    effort: Effort::Quick,
    layout: Layout::Mixed,
    seed: 1,
};

fn planned(job: &Job, guidance: &Guidance) -> (Plan, f64) {
    match solve::plan_guided(job, &SETTINGS, guidance, &Silent) {
        Outcome::Feasible(solution) => (solution.plan, solution.cost.total().value()),
        other => panic!("no plan: {other:?}"),
    }
}

fn decided(job: &Job, rows: &str) -> Decisions {
    let text = format!("decision,subject,object\n{rows}");
    decision::read(job, None, &text).expect("lawful decisions")
}

fn under(job: &Job, rows: &str) -> Guidance {
    Guidance {
        decisions: decided(job, rows),
        keep: None,
    }
}

fn faults(job: &Job, rows: &str) -> Vec<String> {
    let text = format!("decision,subject,object\n{rows}");
    let faults = decision::read(job, None, &text).expect_err("refused");
    faults.iter().map(ToString::to_string).collect()
}

/// A second place for transformers at the far end of the row.
fn two_sites() -> Job {
    let mut job = row();
    let mut shed = job.sites[0].clone();
    shed.tag = "shed".to_owned();
    shed.node = duskwright_tests::build::C;
    job.sites.push(shed);
    job
}

#[test]
fn fixtures_decided_apart_hang_on_two_circuits_and_that_costs() {
    let job = row();
    let (free, cost) = planned(&job, &Guidance::default());
    assert_eq!(free.circuits.len(), 1);
    let guidance = under(&job, "other_circuit,F1,F2\n");
    let (plan, dearer) = planned(&job, &guidance);
    assert_eq!(plan.circuits.len(), 2);
    assert!(guidance.decisions.hold(&plan) && !guidance.decisions.hold(&free));
    assert!(dearer > cost);
}

#[test]
fn fixtures_decided_together_share_a_circuit() {
    let mut job = row();
    // Alone each would have a home run of its own: circuits of two at most, F1 and F2 decided.
    job.rules.most_fixtures_per_circuit = Some(2);
    let guidance = under(&job, "same_circuit,F1,F3\n");
    let (plan, _) = planned(&job, &guidance);
    assert!(guidance.decisions.hold(&plan));
    let mates = plan
        .circuits
        .iter()
        .find(|circuit| circuit.leads.len() == 2);
    let mut fixtures: Vec<usize> = mates
        .expect("a pair")
        .leads
        .iter()
        .map(|lead| lead.fixture.index())
        .collect();
    fixtures.sort_unstable();
    assert_eq!(fixtures, [0, 2]);
}

#[test]
fn a_fixture_is_fed_from_the_site_decided_on_and_a_transformer_stands_where_decided() {
    let job = two_sites();
    let guidance = under(&job, "site,F1,shed\n");
    let (plan, _) = planned(&job, &guidance);
    assert!(guidance.decisions.hold(&plan));
    let guidance = under(&job, "transformer,100VA,garage\ntransformer,100VA,shed\n");
    let (plan, _) = planned(&job, &guidance);
    assert!(guidance.decisions.hold(&plan));
    assert_eq!(plan.transformers.len(), 2);
}

#[test]
fn contradictions_are_told_before_any_search() {
    let mut job = two_sites();
    job.rules.most_fixtures_per_circuit = Some(2);
    for (rows, words) in [
        ("same_circuit,F1,F2\nother_circuit,F2,F1\n", "both to share"),
        ("same_circuit,F1,F2\nsame_circuit,F2,F3\n", "at most 2"),
        ("site,F1,shed\nsite,F1,garage\n", "`shed` and from `garage`"),
        (
            "same_circuit,F1,F2\nsite,F1,shed\nsite,F2,garage\n",
            "several sites",
        ),
        (
            "transformer,100VA,shed\ntransformer,100VA,shed\ntransformer,100VA,shed\n",
            "it takes 2",
        ),
    ] {
        let told = faults(&job, rows).join("\n");
        assert!(told.contains(words), "{rows}: {told}");
    }
}

#[test]
fn unknown_names_come_with_line_and_what_is_known() {
    let told = faults(
        &row(),
        "site,F1,garrage\nsite,F9,garage\nfrobnicate,F1,F2\ncircuit,F1,C1\n",
    );
    assert_eq!(told.len(), 4, "{told:?}");
    assert!(
        told[0].contains("line 2") && told[0].contains("did you mean `garage`"),
        "{told:?}"
    );
    assert!(told[1].contains("F1, F2, F3"), "{told:?}");
    assert!(told[2].contains("accepted:"), "{told:?}");
    assert!(told[3].contains("plan that is kept"), "{told:?}");
}

#[test]
fn a_small_price_change_does_not_reshuffle_a_plan_that_is_kept_and_a_large_one_does() {
    let job = row();
    let (sent, _) = planned(&job, &Guidance::default());
    let keep = |job: &Job, share: f64| {
        let cost = duskwright_solver::tariff::Tariff::new(job).plan_cost(job, &sent);
        Guidance {
            keep: Some(Keep::new(
                job,
                sent.clone(),
                true,
                share * cost.total().value(),
            )),
            ..Guidance::default()
        }
    };
    // The row is dug through the bed at 3 a metre; now the lawn beside it is cheaper, by a little.
    let mut little = job.clone();
    little.surfaces[1].open.money_per_unit = money("2.9");
    let (plan, _) = planned(&little, &keep(&little, 0.05));
    let changes = Changes::between(&little, &sent, &plan);
    assert_eq!(changes.kept(), sent.circuits.len(), "{changes:?}");
    // 1 money saved of some 350: without preference the lawn is taken.
    let (plan, _) = planned(&little, &Guidance::default());
    assert!(Changes::between(&little, &sent, &plan).kept() < plan.circuits.len());
    let mut much = job;
    much.surfaces[1].open.money_per_unit = money("0.1");
    much.surfaces[0].open.money_per_unit = money("9");
    let (plan, _) = planned(&much, &keep(&much, 0.01));
    assert!(Changes::between(&much, &sent, &plan).kept() < plan.circuits.len());
}
