//! Test room: one plan that obeys and one that breaks each rule of the wiring
//! model, figures worked by hand.

mod cutting;
mod cutting_check;
mod decisions;
mod direct_cost;
mod electrical_figures;
mod electrical_margins;
mod electrical_rules;
mod hardware_rules;
mod lighting;
mod objectives;
mod order;
mod plan_file;
mod reach;
mod service;
mod site_rules;
mod wiring_rules;

use duskwright_solver::check::{Rule, Verdict, Violation, verify};
use duskwright_solver::job::Job;
use duskwright_solver::plan::Plan;

/// The verdict on a plan that must keep every rule.
fn obeys(job: &Job, plan: &Plan) -> Verdict {
    let verdict = verify(job, plan);
    assert!(verdict.is_lawful(), "{}", listed(&verdict));
    verdict
}

/// The findings on a plan that must break exactly these rules, in this order of codes.
fn breaks(job: &Job, plan: &Plan, rules: &[Rule]) -> Vec<Violation> {
    let verdict = verify(job, plan);
    let mut found: Vec<Rule> = verdict.violations.iter().map(|one| one.rule).collect();
    found.sort_unstable();
    found.dedup();
    assert_eq!(found, rules, "{}", listed(&verdict));
    verdict.violations
}

fn listed(verdict: &Verdict) -> String {
    let lines: Vec<String> = verdict.violations.iter().map(ToString::to_string).collect();
    lines.join("\n")
}

/// Two figures equal but for the rounding of binary numbers.
fn assert_near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() < 1e-9,
        "found {found}, expected {expected}"
    );
}
