//! Rules of places: zones, sites, standing transformers, segments.

use crate::{assert_near, breaks, obeys};
use duskwright_solver::check::{Place, Rule};
use duskwright_solver::ids::{ExistingId, PlacedId, SegmentId, SiteId, TransformerModelId, ZoneId};
use duskwright_solver::job::{Existing, FurtherCircuit, Job, SurfaceWork, Switched, Zone};
use duskwright_solver::plan::{Plan, TransformerSource};
use duskwright_solver::units::{SquareMillimetres, VoltAmperes, Volts, Watts};
use duskwright_tests::build::*;

/// `F1` in zone `porch`, the others in zone `path`, switched so.
fn zoned(switched: Switched) -> Job {
    let mut job = row();
    for tag in ["porch", "path"] {
        job.zones.push(Zone {
            tag: tag.to_owned(),
            switched,
        });
    }
    job.fixtures[0].zone = Some(ZoneId(0));
    job.fixtures[1].zone = Some(ZoneId(1));
    job.fixtures[2].zone = Some(ZoneId(1));
    job
}

/// A transformer of the only model already standing in the garage, unloaded.
fn standing() -> Existing {
    Existing {
        tag: "old".to_owned(),
        site: SiteId(0),
        model: TransformerModelId(0),
        present_load: vec![VoltAmperes::ZERO; 2],
        tap_lugs_used: vec![vec![0, 0], vec![0]],
        common_lugs_used: vec![vec![0], vec![0]],
        zone: None,
    }
}

fn second_transformer(plan: &mut Plan) {
    let first = plan.transformers[0].clone();
    plan.transformers.push(first);
}

#[test]
fn zones_switched_at_secondaries_never_share_one() {
    let job = zoned(Switched::Secondary);
    obeys(&job, &two_circuits(0, 1));
    let found = breaks(&job, &two_circuits(0, 0), &[Rule::Zones]);
    assert_eq!(found[0].place, Place::Secondary(PlacedId(0), 0));
}

#[test]
fn a_zone_switched_at_the_transformer_shares_it_with_no_other() {
    let mut job = zoned(Switched::Secondary);
    job.zones[0].switched = Switched::Transformer;
    breaks(&job, &two_circuits(0, 1), &[Rule::Zones]);
    let mut plan = two_circuits(0, 0);
    second_transformer(&mut plan);
    plan.circuits[1].transformer = PlacedId(1);
    obeys(&job, &plan);
}

#[test]
fn fixtures_without_a_zone_may_go_anywhere() {
    let mut job = zoned(Switched::Transformer);
    job.fixtures[1].zone = None;
    job.fixtures[2].zone = None;
    obeys(&job, &two_circuits(0, 0));
}

#[test]
fn a_standing_transformer_keeps_its_zone() {
    let mut job = zoned(Switched::Secondary);
    job.existing.push(standing());
    let mut plan = two_circuits(0, 1);
    plan.transformers[0].source = TransformerSource::Existing(ExistingId(0));
    obeys(&job, &plan);
    job.existing[0].zone = Some(ZoneId(0));
    let found = breaks(&job, &plan, &[Rule::Zones]);
    assert_eq!(found[0].place, Place::Secondary(PlacedId(0), 1));
}

#[test]
fn a_standing_transformer_is_used_once_where_it_stands() {
    let mut job = row();
    job.existing.push(standing());
    let mut plan = chain();
    plan.transformers[0].source = TransformerSource::Existing(ExistingId(0));
    obeys(&job, &plan);
    second_transformer(&mut plan);
    breaks(&job, &plan, &[Rule::Standing]);
    plan.transformers.pop();
    let mut elsewhere = job.sites[0].clone();
    elsewhere.tag = "shed".to_owned();
    job.sites.push(elsewhere);
    job.existing[0].site = SiteId(1);
    breaks(&job, &plan, &[Rule::Standing]);
}

#[test]
fn a_site_has_an_outlet_and_a_place_for_each_transformer() {
    let mut job = row();
    let mut plan = chain();
    second_transformer(&mut plan);
    obeys(&job, &plan);
    job.sites[0].outlets = 1;
    breaks(&job, &plan, &[Rule::Outlets]);
    job.sites[0].outlets = 2;
    job.sites[0].places = 1;
    breaks(&job, &plan, &[Rule::Places]);
    // One that stands there already takes an outlet and a place too.
    let mut plan = chain();
    obeys(&job, &plan);
    job.existing.push(standing());
    breaks(&job, &plan, &[Rule::Places]);
    // In use itself, it asks for nothing more.
    plan.transformers[0].source = TransformerSource::Existing(ExistingId(0));
    obeys(&job, &plan);
}

fn further(outlets: u32, mains: f64) -> FurtherCircuit {
    FurtherCircuit {
        price: money("300"),
        mains: VoltAmperes::new(mains),
        outlets,
        most: 1,
    }
}

#[test]
fn further_mains_circuits_bring_outlets_and_power_as_offered() {
    let mut job = row();
    let mut plan = chain();
    second_transformer(&mut plan);
    job.sites[0].outlets = 1;
    job.sites[0].further = Some(further(1, 0.0));
    breaks(&job, &plan, &[Rule::Outlets]);
    plan.further_circuits = vec![(SiteId(0), 1)];
    obeys(&job, &plan);
    plan.further_circuits = vec![(SiteId(0), 2)];
    breaks(&job, &plan, &[Rule::FurtherCircuits]);
    job.sites[0].further = None;
    job.sites[0].outlets = 2;
    plan.further_circuits = vec![(SiteId(0), 1)];
    breaks(&job, &plan, &[Rule::FurtherCircuits]);
}

#[test]
fn a_site_stays_within_its_usable_mains_power() {
    // 36 VA at the terminals / 0.9 + 4 W of no-load loss = 44 VA = 80 % of 55 VA.
    let mut job = row();
    job.transformers[0].efficiency = 0.9;
    job.transformers[0].no_load_loss = Watts::new(4.0);
    job.sites[0].mains = VoltAmperes::new(55.0);
    let verdict = obeys(&job, &chain());
    let mains = verdict.figures.sites[0].mains.expect("an operating point");
    assert_near(mains.value(), 44.0);
    job.sites[0].mains = VoltAmperes::new(54.0);
    breaks(&job, &chain(), &[Rule::MainsPower]);
    // A further circuit of 1 VA makes up for it.
    job.sites[0].further = Some(further(0, 1.0));
    let mut plan = chain();
    plan.further_circuits = vec![(SiteId(0), 1)];
    obeys(&job, &plan);
}

#[test]
fn a_standing_transformer_draws_mains_power_used_or_not() {
    // It carries 18 VA: 18 / 0.9 + 4 = 24 VA beside the 44 VA of the new one; 80 % of 85 VA is 68 VA.
    let mut job = row();
    job.transformers[0].efficiency = 0.9;
    job.transformers[0].no_load_loss = Watts::new(4.0);
    job.sites[0].mains = VoltAmperes::new(85.0);
    let mut old = standing();
    old.present_load[0] = VoltAmperes::new(18.0);
    job.existing.push(old);
    obeys(&job, &chain());
    job.sites[0].mains = VoltAmperes::new(84.0);
    breaks(&job, &chain(), &[Rule::MainsPower]);
}

#[test]
fn a_segment_holds_no_more_than_its_hard_limit() {
    // The circuits of F1 and of F2 and F3 both leave through S to A: two cables of 40 mm² outside.
    let mut job = row();
    let plan = two_circuits(0, 0);
    job.segments[0].limit.cables = Some(2);
    job.segments[0].limit.fill = Some(SquareMillimetres::new(80.0));
    obeys(&job, &plan);
    job.segments[0].limit.cables = Some(1);
    let found = breaks(&job, &plan, &[Rule::SegmentLimit]);
    assert_eq!(found[0].place, Place::Segment(SegmentId(0)));
    job.segments[0].limit.cables = None;
    job.segments[0].limit.fill = Some(SquareMillimetres::new(79.0));
    breaks(&job, &plan, &[Rule::SegmentLimit]);
    // Where going beyond is for sale, it is a cost and no fault.
    job.surfaces[0].beyond_limit = Some(SurfaceWork {
        hours_per_unit: 0.0,
        money_per_unit: money("1"),
    });
    obeys(&job, &plan);
}

#[test]
fn a_cable_passing_twice_and_a_lead_count_in_a_segment() {
    let mut job = row();
    let plan = hub_plan(&mut job);
    // A to B holds the home run and the lead of F1.
    job.segments[1].limit.cables = Some(1);
    breaks(&job, &plan, &[Rule::SegmentLimit]);
    let mut job = row();
    job.segments[2].limit.cables = Some(2);
    let mut plan = chain();
    plan.circuits[0].joints[2].incoming.route.segments = vec![BC, BC, BC];
    breaks(&job, &plan, &[Rule::SegmentLimit]);
}

#[test]
fn taps_above_the_highest_allowed_are_not_used() {
    let mut job = row();
    let mut plan = chain();
    plan.circuits[0].tap = 1;
    obeys(&job, &plan);
    job.rules.highest_tap = Volts::new(13.0);
    breaks(&job, &plan, &[Rule::HighestTap]);
    obeys(&job, &chain());
}
