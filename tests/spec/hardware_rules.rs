//! Rules of things: splices, hubs, lugs, cable uses, gauges, counts.

use crate::{breaks, obeys};
use duskwright_solver::check::{Place, Rule};
use duskwright_solver::ids::{CircuitId, ExistingId, JointId, SiteId, TransformerModelId};
use duskwright_solver::job::{Existing, PortGroup};
use duskwright_solver::plan::TransformerSource;
use duskwright_solver::units::{Amperes, SquareMillimetres, VoltAmperes};
use duskwright_tests::build::*;

fn slots(sizes: &[f64]) -> Vec<SquareMillimetres> {
    sizes.iter().copied().map(SquareMillimetres::new).collect()
}

#[test]
fn a_splice_holds_its_wires() {
    let mut job = row();
    // At A and B two pieces of 4 mm² and a lead of 1 mm² meet.
    job.joints[0].holds[0].slots = slots(&[4.0, 4.0, 1.0]);
    obeys(&job, &chain());
    job.joints[0].holds[0].slots = slots(&[4.0, 2.0, 2.0]);
    let found = breaks(&job, &chain(), &[Rule::WireSet]);
    let places: Vec<Place> = found.iter().map(|one| one.place).collect();
    let at = |joint| Place::Joint(CircuitId(0), JointId(joint));
    assert_eq!(places, [at(0), at(1)]);
    // Any one wire set may serve.
    job.joints[0].holds.push(duskwright_solver::job::WireSet {
        slots: slots(&[6.0, 6.0, 6.0]),
    });
    obeys(&job, &chain());
    job.joints[0].holds = vec![duskwright_solver::job::WireSet {
        slots: slots(&[6.0, 6.0]),
    }];
    breaks(&job, &chain(), &[Rule::WireSet]);
}

#[test]
fn a_hubs_inlet_takes_its_incoming_piece() {
    let mut job = row();
    let plan = hub_plan(&mut job);
    job.hubs[0].inlet = up_to(4.0);
    obeys(&job, &plan);
    job.hubs[0].inlet = up_to(2.0);
    breaks(&job, &plan, &[Rule::HubInlet]);
}

#[test]
fn a_hub_has_a_port_for_each_outgoing_wire() {
    let mut job = row();
    let mut plan = hub_plan(&mut job);
    // A piece of 4 mm² and two leads of 1 mm²: the one large port must go to the piece.
    plan.circuits[0]
        .joints
        .push(joint(C, SPLICE, Some(0), &[BC]));
    plan.circuits[0].leads[2] = lead_run(2, 1, &[]);
    let group = |count, largest| PortGroup {
        count,
        takes: up_to(largest),
    };
    job.hubs[0].ports = vec![group(1, 4.0), group(3, 1.0)];
    obeys(&job, &plan);
    job.hubs[0].ports = vec![group(4, 1.0)];
    breaks(&job, &plan, &[Rule::HubPorts]);
    // A port may be too large for a wire as well as too small.
    job.hubs[0].ports = vec![PortGroup {
        count: 4,
        takes: duskwright_solver::job::SizeRange {
            smallest: SquareMillimetres::new(2.0),
            largest: SquareMillimetres::new(6.0),
        },
    }];
    breaks(&job, &plan, &[Rule::HubPorts]);
}

#[test]
fn a_hub_keeps_its_spare_ports_free() {
    let mut job = row();
    let plan = hub_plan(&mut job);
    // Three of four ports are in use.
    job.hubs[0].most_in_use = 3;
    job.rules.spare.ports = 1;
    obeys(&job, &plan);
    job.rules.spare.ports = 2;
    breaks(&job, &plan, &[Rule::HubInUse]);
    job.rules.spare.ports = 0;
    job.hubs[0].most_in_use = 2;
    breaks(&job, &plan, &[Rule::HubInUse]);
}

#[test]
fn a_tap_and_a_common_have_a_lug_for_each_home_run() {
    let mut job = row();
    let plan = two_circuits(0, 0);
    obeys(&job, &plan);
    job.transformers[0].secondaries[0].taps[0].lugs = 1;
    breaks(&job, &plan, &[Rule::TapLugs]);
    job.transformers[0].secondaries[0].taps[0].lugs = 2;
    job.transformers[0].secondaries[0].commons[0].lugs = 1;
    breaks(&job, &plan, &[Rule::CommonLugs]);
    // Another tap relieves the tap, not the common.
    let mut spread = plan.clone();
    spread.circuits[1].tap = 1;
    breaks(&job, &spread, &[Rule::CommonLugs]);
}

#[test]
fn lugs_in_use_on_a_standing_transformer_are_taken() {
    let mut job = row();
    job.existing.push(Existing {
        tag: "old".to_owned(),
        site: SiteId(0),
        model: TransformerModelId(0),
        present_load: vec![VoltAmperes::ZERO; 2],
        tap_lugs_used: vec![vec![1, 0], vec![0]],
        common_lugs_used: vec![vec![0], vec![0]],
        zone: None,
    });
    let mut plan = chain();
    plan.transformers[0].source = TransformerSource::Existing(ExistingId(0));
    obeys(&job, &plan);
    job.existing[0].tap_lugs_used[0][0] = 2;
    breaks(&job, &plan, &[Rule::TapLugs]);
}

#[test]
fn a_lug_takes_the_conductor_of_its_home_run() {
    let mut job = row();
    job.transformers[0].secondaries[0].taps[0].takes = up_to(4.0);
    obeys(&job, &chain());
    job.transformers[0].secondaries[0].taps[0].takes = up_to(2.0);
    breaks(&job, &chain(), &[Rule::LugSize]);
}

#[test]
fn a_transformer_keeps_its_spare_lug_places_free() {
    // Six places on three taps, one in use.
    let mut job = row();
    job.rules.spare.lugs = 5;
    obeys(&job, &chain());
    job.rules.spare.lugs = 6;
    breaks(&job, &chain(), &[Rule::SpareLugs]);
}

#[test]
fn a_cable_is_used_only_as_its_catalogue_entry_allows() {
    let mut job = row();
    job.cables[THICK.index()].allowed.lead = false;
    obeys(&job, &chain());
    job.cables[THICK.index()].allowed.home_run = false;
    assert_eq!(breaks(&job, &chain(), &[Rule::CableUse]).len(), 1);
    job.cables[THICK.index()].allowed.home_run = true;
    job.cables[THICK.index()].allowed.branch = false;
    assert_eq!(breaks(&job, &chain(), &[Rule::CableUse]).len(), 2);
    let mut job = row();
    job.cables[LEAD.index()].allowed.lead = false;
    assert_eq!(breaks(&job, &chain(), &[Rule::CableUse]).len(), 3);
}

#[test]
fn pieces_are_no_thinner_than_the_breaker_asks_for() {
    let mut job = row();
    let behind = |amps, size| (Amperes::new(amps), SquareMillimetres::new(size));
    job.rules.smallest_behind_breaker = vec![behind(10.0, 4.0), behind(15.0, 6.0)];
    obeys(&job, &chain());
    job.transformers[0].secondaries[0].breaker = Amperes::new(15.0);
    assert_eq!(breaks(&job, &chain(), &[Rule::SmallestGauge]).len(), 3);
}

#[test]
fn all_home_runs_share_one_gauge_when_the_rules_say_so() {
    let mut job = row();
    let mut plan = two_circuits(0, 0);
    job.rules.common_home_run = true;
    obeys(&job, &plan);
    // A thinner piece behind a joint is another matter.
    plan.circuits[1].joints[1].incoming.cable = THIN;
    obeys(&job, &plan);
    plan.circuits[1].joints[0].incoming.cable = THIN;
    breaks(&job, &plan, &[Rule::CommonHomeRun]);
    job.rules.common_home_run = false;
    obeys(&job, &plan);
}

#[test]
fn home_runs_use_the_cable_the_rules_name() {
    let mut job = row();
    job.rules.home_run_cable = Some(THICK);
    obeys(&job, &chain());
    job.rules.home_run_cable = Some(THIN);
    breaks(&job, &chain(), &[Rule::HomeRunCable]);
}

#[test]
fn a_circuit_and_a_hub_feed_no_more_fixtures_than_allowed() {
    let mut job = row();
    job.rules.most_fixtures_per_circuit = Some(3);
    obeys(&job, &chain());
    job.rules.most_fixtures_per_circuit = Some(2);
    breaks(&job, &chain(), &[Rule::FixturesPerCircuit]);
    let mut job = row();
    let plan = hub_plan(&mut job);
    job.rules.most_fixtures_per_hub = Some(3);
    obeys(&job, &plan);
    job.rules.most_fixtures_per_hub = Some(2);
    breaks(&job, &plan, &[Rule::FixturesPerHub]);
}
