//! Direct cost worked by hand, by the tariff and by the checker.

use crate::{assert_near, obeys};
use duskwright_solver::check::{CostKind, verify};
use duskwright_solver::ids::{ExistingId, SiteId, TransformerModelId};
use duskwright_solver::job::{Existing, FurtherCircuit, Job, SurfaceWork};
use duskwright_solver::plan::{Plan, TransformerSource};
use duskwright_solver::tariff::{CostBreakdown, Tariff};
use duskwright_solver::units::{Metres, UnitSystem, VoltAmperes};
use duskwright_tests::build::*;

/// Cost by the tariff, after comparing it with the checker's, kind by kind.
fn cost(job: &Job, plan: &Plan) -> CostBreakdown {
    let cost = Tariff::new(job).plan_cost(job, plan);
    let figures = verify(job, plan).figures;
    for (kind, by_tariff) in [
        (CostKind::Trench, cost.trench),
        (CostKind::PerCable, cost.per_cable),
        (CostKind::Cable, cost.cable),
        (CostKind::Joints, cost.joints),
        (CostKind::Hubs, cost.hubs),
        (CostKind::Transformers, cost.transformers),
        (CostKind::Sites, cost.sites),
    ] {
        assert_near(figures.of_kind(kind).value(), by_tariff.value());
    }
    assert_near(figures.total().value(), cost.total().value());
    cost
}

#[test]
fn a_chain_costs_what_its_parts_cost() {
    let cost = cost(&row(), &chain());
    assert_near(cost.trench.value(), 90.0); // 30 m x 3
    assert_near(cost.per_cable.value(), 0.0);
    assert_near(cost.cable.value(), 66.0); // 30 m x 2 x 1.1
    assert_near(cost.joints.value(), 57.0); // 3 x (4 + 0.25 h x 60)
    assert_near(cost.hubs.value(), 0.0);
    assert_near(cost.transformers.value(), 210.0); // 150 + 1 h x 60
    assert_near(cost.sites.value(), 75.0);
    assert_near(cost.total().value(), 498.0);
}

#[test]
fn leads_open_segments_but_pay_no_per_cable_work_and_no_price() {
    let mut job = row();
    job.surfaces[0].per_cable = SurfaceWork {
        hours_per_unit: 0.01,
        money_per_unit: money("0.1"),
    };
    let plan = hub_plan(&mut job);
    obeys(&job, &plan);
    let cost = cost(&job, &plan);
    assert_near(cost.trench.value(), 90.0); // S-A, A-B and, for the lead of F3, B-C
    assert_near(cost.per_cable.value(), 14.0); // 20 m x (0.01 h x 60 + 0.1)
    assert_near(cost.cable.value(), 44.0); // 20 m x 2 x 1.1
    assert_near(cost.hubs.value(), 50.0); // 20 + 0.5 h x 60
}

#[test]
fn per_cable_work_counts_each_pass_on_the_route_only() {
    let mut job = row();
    job.surfaces[0].per_cable.money_per_unit = money("1");
    job.rates.slack.splice = Metres::new(0.5);
    let mut plan = chain();
    plan.circuits[0].joints[2].incoming.route.segments = vec![BC, BC, BC];
    let cost = cost(&job, &plan);
    assert_near(cost.per_cable.value(), 50.0); // 10 + 10 + 3 x 10 m, no slack
    assert_near(cost.cable.value(), (10.5 + 11.0 + 31.0) * 2.2);
    assert_near(cost.trench.value(), 90.0);
}

#[test]
fn a_segment_is_opened_once_and_widened_once() {
    let mut job = row();
    job.segments[0].limit.cables = Some(1);
    job.surfaces[0].open_fixed = money("7");
    job.surfaces[0].beyond_limit = Some(SurfaceWork {
        hours_per_unit: 0.05,
        money_per_unit: money("0.5"),
    });
    // Two cables in S-A: 30 m x 3 + 3 x 7 + 10 m x (0.05 h x 60 + 0.5).
    let crowded = cost(&job, &two_circuits(0, 0));
    assert_near(crowded.trench.value(), 146.0);
    assert_near(cost(&job, &chain()).trench.value(), 111.0);
    // The second way costs its own opening, 10 m x 5, and no widening.
    let mut plan = two_circuits(0, 0);
    plan.circuits[1].joints[0].incoming.route.segments = vec![SA_LAWN, AB];
    assert_near(cost(&job, &plan).trench.value(), 161.0);
}

#[test]
fn what_stands_already_is_free() {
    let mut job = row();
    job.existing.push(Existing {
        tag: "old".to_owned(),
        site: SiteId(0),
        model: TransformerModelId(0),
        present_load: vec![VoltAmperes::ZERO; 2],
        tap_lugs_used: vec![vec![0, 0], vec![0]],
        common_lugs_used: vec![vec![0], vec![0]],
        zone: None,
    });
    // A new one beside it pays for itself, not for the site.
    let beside = cost(&job, &chain());
    assert_near(beside.transformers.value(), 210.0);
    assert_near(beside.sites.value(), 0.0);
    let mut plan = chain();
    plan.transformers[0].source = TransformerSource::Existing(ExistingId(0));
    let used = cost(&job, &plan);
    assert_near(used.transformers.value() + used.sites.value(), 0.0);
}

#[test]
fn a_site_is_paid_once_and_each_further_circuit_once_more() {
    let mut job = row();
    job.sites[0].further = Some(FurtherCircuit {
        price: money("300"),
        mains: VoltAmperes::new(1000.0),
        outlets: 1,
        most: 2,
    });
    let mut plan = chain();
    plan.transformers.push(plan.transformers[0].clone());
    plan.further_circuits = vec![(SiteId(0), 2)];
    let cost = cost(&job, &plan);
    assert_near(cost.transformers.value(), 420.0);
    assert_near(cost.sites.value(), 675.0); // 75 + 2 x 300
}

#[test]
fn prices_in_feet_are_per_foot() {
    let mut job = row();
    job.units = UnitSystem::Us;
    for segment in &mut job.segments {
        segment.length = UnitSystem::Us.to_metres(33.0);
    }
    let cost = cost(&job, &chain());
    assert_near(cost.trench.value(), 297.0); // 99 ft x 3
    assert_near(cost.cable.value(), 217.8); // 99 ft x 2 x 1.1
}
