//! Rules of form: trees, routes, joints, leads, layouts.

use crate::{assert_near, breaks, obeys};
use duskwright_solver::check::{Place, Rule, verify};
use duskwright_solver::ids::{CableId, FixtureId, JointId, NodeId, PlacedId, SegmentId, SiteId};
use duskwright_solver::job::Layouts;
use duskwright_solver::units::Metres;
use duskwright_tests::build::*;

#[test]
fn a_chain_of_three_lamps_keeps_every_rule() {
    obeys(&row(), &chain());
}

#[test]
fn every_part_of_a_plan_exists_in_the_job() {
    let alterations: [fn(&mut duskwright_solver::plan::Plan); 9] = [
        |plan| plan.transformers[0].site = SiteId(9),
        |plan| plan.further_circuits.push((SiteId(9), 1)),
        |plan| plan.circuits[0].transformer = PlacedId(9),
        |plan| plan.circuits[0].tap = 9,
        |plan| plan.circuits[0].joints[1].node = NodeId(9),
        |plan| plan.circuits[0].joints[1].incoming.cable = CableId(9),
        |plan| plan.circuits[0].joints[1].incoming.from = Some(JointId(9)),
        |plan| plan.circuits[0].leads[1].fixture = FixtureId(9),
        |plan| plan.circuits[0].leads[1].route.segments.push(SegmentId(9)),
    ];
    for alter in alterations {
        let mut plan = chain();
        alter(&mut plan);
        breaks(&row(), &plan, &[Rule::Reference]);
    }
}

#[test]
fn a_circuit_has_exactly_one_home_run() {
    let mut plan = chain();
    plan.circuits[0].joints[1] = joint(B, SPLICE, None, &[SA, AB]);
    breaks(&row(), &plan, &[Rule::HomeRun]);

    let mut plan = chain();
    plan.circuits.push(circuit(0, Vec::new(), Vec::new()));
    breaks(&row(), &plan, &[Rule::HomeRun]);
}

#[test]
fn a_circuit_is_a_tree() {
    let mut plan = chain();
    // B and C feed each other.
    plan.circuits[0].joints[1] = joint(B, SPLICE, Some(2), &[BC]);
    breaks(&row(), &plan, &[Rule::Tree]);
}

#[test]
fn a_circuit_has_one_joint_per_node() {
    let mut plan = chain();
    plan.circuits[0].joints.push(joint(A, SPLICE, Some(0), &[]));
    breaks(&row(), &plan, &[Rule::OneJointPerNode]);
    // Two circuits may each have one there.
    let mut plan = two_circuits(0, 0);
    plan.circuits[1].joints[0] = joint(A, SPLICE, None, &[SA]);
    plan.circuits[1].joints[1] = joint(C, SPLICE, Some(0), &[AB, BC]);
    plan.circuits[1].leads[0] = lead_run(1, 0, &[AB]);
    let mut job = row();
    job.models[0]
        .lead
        .as_mut()
        .expect("lamps have leads")
        .length = Metres::new(10.0);
    obeys(&job, &plan);
}

#[test]
fn a_route_joins_its_two_ends() {
    let mut plan = chain();
    // From A the segment B to C cannot be reached.
    plan.circuits[0].joints[1] = joint(B, SPLICE, Some(0), &[BC]);
    breaks(&row(), &plan, &[Rule::RouteEnds]);
    // From A one segment leads to B, not to C.
    let mut plan = chain();
    plan.circuits[0].joints[2] = joint(C, SPLICE, Some(0), &[AB]);
    breaks(&row(), &plan, &[Rule::RouteEnds]);
    // A walk may pass nodes and repeat segments.
    let mut plan = chain();
    plan.circuits[0].joints[1] = joint(B, SPLICE, Some(0), &[SA, SA_LAWN, AB, BC, BC]);
    obeys(&row(), &plan);
}

#[test]
fn joints_are_made_only_at_nodes_that_allow_them() {
    let mut job = row();
    job.nodes[S.index()].joint_allowed = false;
    obeys(&job, &chain());
    job.nodes[B.index()].joint_allowed = false;
    breaks(&job, &chain(), &[Rule::JointPlace]);
}

#[test]
fn splices_are_made_only_at_fixtures_when_the_rules_say_so() {
    let mut job = row();
    job.rules.joints_at_fixtures_and_hubs = true;
    obeys(&job, &chain());
    // Without its lamp the joint at A is a bare tee; a hub there is none.
    job.fixtures.remove(0);
    let mut plan = chain();
    plan.circuits[0].leads = vec![lead_run(0, 1, &[]), lead_run(1, 2, &[])];
    breaks(&job, &plan, &[Rule::BareTee]);
    plan.circuits[0].joints[0].hardware = HUB;
    obeys(&job, &plan);
}

#[test]
fn each_fixture_is_served_exactly_once() {
    let mut plan = chain();
    plan.circuits[0].leads.pop();
    let found = breaks(&row(), &plan, &[Rule::ServedOnce]);
    assert_eq!(found[0].place, Place::Fixture(FixtureId(2)));
    plan.circuits[0].leads = vec![
        lead_run(0, 0, &[]),
        lead_run(1, 1, &[]),
        lead_run(1, 1, &[]),
        lead_run(2, 2, &[]),
    ];
    breaks(&row(), &plan, &[Rule::ServedOnce]);
}

#[test]
fn a_lead_reaches_its_joint_with_slack_at_both_ends() {
    // 0.4 m at the lamp and 0.6 m at the splice use up the lead of 1 m.
    let mut job = row();
    job.rates.slack.fixture = Metres::new(0.4);
    job.rates.slack.splice = Metres::new(0.6);
    obeys(&job, &chain());
    job.rates.slack.splice = Metres::new(0.7);
    let found = breaks(&job, &chain(), &[Rule::LeadReach]);
    assert_near(found[0].excess.expect("a figure").by(), 0.1);
}

#[test]
fn a_lead_climbs_at_both_ends_of_its_route() {
    let mut job = row();
    let plan = hub_plan(&mut job);
    // From A: 10 m of route, 7 m of rise at A and 8 m at B are the 25 m of the lead. F2 stands at the hub itself.
    job.nodes[A.index()].rise = Metres::new(7.0);
    job.nodes[B.index()].rise = Metres::new(8.0);
    obeys(&job, &plan);
    job.nodes[A.index()].rise = Metres::new(7.5);
    let found = breaks(&job, &plan, &[Rule::LeadReach]);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].place, Place::Fixture(FixtureId(0)));
}

#[test]
fn a_fixture_without_a_lead_is_joined_at_its_own_node() {
    let mut job = row();
    job.models[0].lead = None;
    obeys(&job, &chain());
    let mut plan = chain();
    plan.circuits[0].leads[0] = lead_run(0, 1, &[AB]);
    breaks(&job, &plan, &[Rule::OwnTerminals]);
}

/// Only this layout allowed.
fn only(chain: bool, hub: bool) -> Layouts {
    Layouts {
        chain,
        hub,
        mixed: false,
    }
}

#[test]
fn a_chain_is_one_path_of_fixture_joints() {
    let mut job = row();
    job.rules.layouts = only(true, false);
    obeys(&job, &chain());
    // The home run may land between the ends of the path.
    let mut landing = chain();
    landing.circuits[0].joints = vec![
        joint(B, SPLICE, None, &[SA, AB]),
        joint(A, SPLICE, Some(0), &[AB]),
        joint(C, SPLICE, Some(0), &[BC]),
    ];
    landing.circuits[0].leads = vec![
        lead_run(0, 1, &[]),
        lead_run(1, 0, &[]),
        lead_run(2, 2, &[]),
    ];
    obeys(&job, &landing);
    // With a lamp at the site, A branches to B and to C behind the first joint.
    job.fixtures.push(fixture("F4", 0));
    let mut branching = chain();
    branching.circuits[0].joints = vec![
        joint(S, SPLICE, None, &[]),
        joint(A, SPLICE, Some(0), &[SA]),
        joint(B, SPLICE, Some(1), &[AB]),
        joint(C, SPLICE, Some(1), &[AB, BC]),
    ];
    branching.circuits[0].leads = (0..4)
        .map(|fixture| lead_run(fixture, (fixture + 1) % 4, &[]))
        .collect();
    breaks(&job, &branching, &[Rule::Layout]);
    job.rules.layouts.mixed = true;
    obeys(&job, &branching);
}

#[test]
fn a_joint_without_a_lamp_is_no_link_of_a_chain() {
    let mut job = row();
    job.rules.layouts = only(true, false);
    let mut plan = chain();
    plan.circuits[0].joints[0].incoming.route.segments.clear();
    plan.circuits[0].joints[0].node = S;
    plan.circuits[0].joints[1].incoming.route.segments = vec![SA, AB];
    plan.circuits[0].leads[0] = lead_run(0, 1, &[AB]);
    job.models[0]
        .lead
        .as_mut()
        .expect("lamps have leads")
        .length = Metres::new(10.0);
    breaks(&job, &plan, &[Rule::Layout]);
}

#[test]
fn a_hub_layout_feeds_each_fixture_from_a_hub() {
    let mut job = row();
    job.rules.layouts = only(false, true);
    let mut plan = hub_plan(&mut job);
    obeys(&job, &plan);
    // A piece from the hub to one more joint stands in for a lead.
    plan.circuits[0]
        .joints
        .push(joint(C, SPLICE, Some(0), &[BC]));
    plan.circuits[0].leads[2] = lead_run(2, 1, &[]);
    obeys(&job, &plan);
    breaks(&job, &chain(), &[Rule::Layout]);
}

#[test]
fn a_malformed_plan_is_a_finding_and_never_a_panic() {
    let mut plan = chain();
    plan.circuits[0].joints[0].incoming.from = Some(JointId(0));
    plan.circuits[0].joints[2].incoming.route.segments = vec![SA; 3];
    assert!(!verify(&row(), &plan).is_lawful());
    assert!(!verify(&row(), &duskwright_solver::plan::Plan::default()).is_lawful());
}
