//! What is said about fixtures that a search left over: figures worked by hand.

use crate::jobs;
use duskwright_solver::ids::{FixtureId, NodeId, SiteId, ZoneId};
use duskwright_solver::job::{Job, Layout, Switched, Window, Zone};
use duskwright_solver::optimise::bound::Remedy;
use duskwright_solver::optimise::leftover::{Balance, Leftover, Resource, State, Strain};
use duskwright_solver::optimise::{Effort, Settings, Silent};
use duskwright_solver::solve::{self, Outcome};
use duskwright_solver::units::{Metres, VoltAmperes, Volts};

const QUICK: Settings = Settings {
    effort: Effort::Quick,
    layout: Layout::Mixed,
    seed: 1,
};

/// Two 24 VA fixtures 10 m apart and from the 12 V site, 5 ohm/km per conductor,
/// window from 9 V, two places with a 100 VA transformer each, two lugs on it.
fn pair() -> Job {
    let mut job = jobs::job(3, &[(0, 1, 10.0), (1, 2, 10.0)], 0, &[1, 2]);
    job.models = vec![jobs::model(24.0)];
    job.cables = vec![jobs::cable("a", 4.0, 0.005, 1.0)];
    job.transformers = vec![jobs::transformer(100.0, 50.0)];
    job.transformers[0].secondaries = vec![jobs::secondary(12.0, 2)];
    job.sites[0].outlets = 2;
    job.sites[0].places = 3;
    job
}

fn all_of(job: &Job) -> Leftover {
    let ids: Vec<FixtureId> = job.fixture_ids().collect();
    Leftover::of(job, &ids)
}

fn balance(leftover: &Leftover, resource: Resource) -> Balance {
    let found = leftover
        .balances
        .iter()
        .find(|one| one.resource == resource);
    *found.expect("every resource is told")
}

#[test]
fn a_job_without_strain_names_nothing_but_its_figures() {
    let leftover = all_of(&pair());
    assert!(leftover.names_nothing(), "{leftover:?}");
    // Loop 0.1 ohm: V = (12 + sqrt(144 - 4 x 0.1 x 24)) / 2.
    let by_hand = (12.0 + (144.0_f64 - 9.6).sqrt()) / 2.0;
    let first = &leftover.fixtures[0];
    let best = first.best_volts.expect("an operating point").value();
    assert!((best - by_hand).abs() < 1e-9, "{best} against {by_hand}");
    assert!((first.needed.value() - 9.0).abs() < 1e-12);
    let load = balance(&leftover, Resource::TransformerLoad);
    assert!((load.needed - 48.0).abs() < 1e-9);
    assert!((load.offered - 200.0).abs() < 0.01, "{load:?}");
    assert_eq!(load.state(), State::Ample);
    let lugs = balance(&leftover, Resource::Lugs);
    // 4 A behind a limit of 20 A; two lugs at each of two places.
    assert_eq!((lugs.needed, lugs.offered), (1.0, 4.0));
    // 80 % of 1 MVA.
    assert!((balance(&leftover, Resource::Mains).offered - 8e5).abs() < 1e-6);
}

#[test]
fn too_little_va_asks_for_a_larger_model_or_an_outlet_more() {
    let mut job = pair();
    job.transformers[0].rated = VoltAmperes::new(25.0);
    job.rules.loading_limit = 0.8;
    let leftover = all_of(&job);
    let load = balance(&leftover, Resource::TransformerLoad);
    assert!((load.offered - 40.0).abs() < 0.01, "{load:?}");
    assert_eq!(load.state(), State::Short);
    // 48 VA / 0.8 of what is offered, over two places, under 80 % loading: 37.5 VA.
    let [
        Remedy::LargerTransformer(rated),
        position,
        Remedy::FurtherSite,
    ] = leftover.remedies[..]
    else {
        panic!("{:?}", leftover.remedies);
    };
    assert!((rated.value() - 37.5).abs() < 1e-9, "{rated}");
    let outlet_only = Remedy::FurtherPosition {
        site: SiteId(0),
        outlet: true,
        place: false,
    };
    assert_eq!(position, outlet_only);
}

#[test]
fn too_little_mains_is_told_with_what_lacks() {
    let mut job = pair();
    job.sites[0].mains = VoltAmperes::new(50.0);
    let leftover = all_of(&job);
    assert_eq!(balance(&leftover, Resource::Mains).state(), State::Short);
    // (48 / 0.8 - 40) / 0.8
    assert!(leftover.remedies.iter().any(|remedy| matches!(
        remedy,
        Remedy::MoreMains { site: SiteId(0), apparent } if (apparent.value() - 25.0).abs() < 1e-9
    )));
}

#[test]
fn zones_that_need_a_transformer_each_are_counted_against_the_places() {
    let mut job = pair();
    job.sites[0].outlets = 1;
    for (zone, tag) in ["front", "back"].into_iter().enumerate() {
        job.zones.push(Zone {
            tag: tag.into(),
            switched: Switched::Transformer,
        });
        job.fixtures[zone].zone = Some(ZoneId::new(zone));
    }
    let leftover = all_of(&job);
    let positions = balance(&leftover, Resource::Positions);
    assert_eq!((positions.needed, positions.offered), (2.0, 1.0));
    assert_eq!(positions.state(), State::Short);
    assert!(leftover.remedies.contains(&Remedy::FurtherSite));
    for zone in &mut job.zones {
        zone.switched = Switched::Secondary;
    }
    job.transformers[0]
        .secondaries
        .push(jobs::secondary(12.0, 2));
    let shared = all_of(&job);
    assert_eq!(balance(&shared, Resource::Positions).needed, 1.0);
}

#[test]
fn too_few_lugs_are_told() {
    let mut job = pair();
    job.rules.most_fixtures_per_circuit = Some(1);
    job.sites[0].outlets = 1;
    job.transformers[0].secondaries = vec![jobs::secondary(12.0, 1)];
    let leftover = all_of(&job);
    let lugs = balance(&leftover, Resource::Lugs);
    assert_eq!((lugs.needed, lugs.offered), (2.0, 1.0));
    // 2 / 0.8 - 1, rounded up.
    assert!(leftover.remedies.contains(&Remedy::MoreLugs(2)));
}

#[test]
fn a_far_fixture_is_strained_and_each_change_brings_it_to_a_third() {
    let mut job = pair();
    job.segments[1].length = Metres::new(60.0);
    let leftover = all_of(&job);
    let far = &leftover.fixtures[1];
    // Loop 0.7 ohm: 1.61 V of the 3 V that may be lost are lost to itself.
    let best = (12.0 + (144.0_f64 - 4.0 * 0.7 * 24.0).sqrt()) / 2.0;
    let [Strain::Voltage(share)] = far.strains[..] else {
        panic!("{far:?}");
    };
    // The window is judged 2e-6 V wide of its end.
    assert!((share - (12.0 - best) / 3.0).abs() < 1e-6, "{share}");
    // A third of 3 V at 24 / 9 A is 0.375 ohm, 37.5 m of cable.
    assert!(far.remedies.iter().any(|remedy| matches!(
        remedy,
        Remedy::NearerSite(route) if (route.value() - 37.5).abs() < 1e-3
    )));
    assert!(far.remedies.iter().any(|remedy| matches!(
        remedy,
        Remedy::HigherTap(volts) if (volts.value() - (9.0 + 3.0 * 0.7 * 24.0 / 9.0)).abs() < 1e-4
    )));
    let thicker = |remedy: &Remedy| matches!(remedy, Remedy::ThickerGauge(_));
    assert!(far.remedies.iter().any(thicker));
    assert!(leftover.fixtures[0].strains.is_empty());
}

#[test]
fn a_window_below_every_tap_and_a_node_without_joints_are_told() {
    let mut job = pair();
    job.models[0].window = Window::new(Volts::new(9.0), Volts::new(11.0)).expect("lawful");
    job.models[0].lead = Some(jobs::lead(12.0));
    job.nodes[2].joint_allowed = false;
    let leftover = all_of(&job);
    let second = &leftover.fixtures[1];
    let too_high = Strain::TapsTooHigh {
        lowest: Volts::new(12.0),
        bears: Volts::new(11.0),
    };
    assert_eq!(second.strains, [too_high, Strain::NoJointHere]);
    assert_eq!(
        second.remedies,
        [
            Remedy::LowerTap(Volts::new(11.0)),
            Remedy::WindowUpTo(Volts::new(12.0)),
            Remedy::JointAt(NodeId(2)),
        ]
    );
}

#[test]
fn a_fixture_proven_out_of_reach_keeps_its_proof() {
    let mut job = pair();
    job.segments.pop();
    let leftover = all_of(&job);
    assert_eq!(leftover.fixtures[1].strains, [Strain::Unservable]);
    assert_eq!(leftover.fixtures[1].remedies, [Remedy::Path]);
}

#[test]
fn planning_hands_the_explanation_over() {
    let mut job = pair();
    job.sites[0].outlets = 1;
    job.transformers[0].rated = VoltAmperes::new(30.0);
    let outcome = solve::plan(&job, &QUICK, &Silent);
    let Outcome::NotFound {
        unserved, leftover, ..
    } = outcome
    else {
        panic!("30 VA cannot feed 48 VA");
    };
    assert_eq!(leftover.fixtures.len(), unserved.len());
    assert!(!unserved.is_empty());
    assert_eq!(leftover, Leftover::of(&job, &unserved));
    // With what is asked for, it is served.
    job.transformers[0].rated = VoltAmperes::new(60.0);
    assert!(leftover.remedies.iter().any(|remedy| matches!(
        remedy,
        Remedy::LargerTransformer(rated) if (rated.value() - 60.0).abs() < 1e-9
    )));
    let outcome = solve::plan(&job, &QUICK, &Silent);
    assert!(matches!(outcome, Outcome::Feasible(_)));
}
