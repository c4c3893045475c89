//! Fixtures that no plan can serve are named with the rule that binds and what would help.

use crate::judge::{self, Verdict};
use crate::{jobs, tiny};
use duskwright_solver::ids::{CableId, NodeId};
use duskwright_solver::job::Job;
use duskwright_solver::optimise::bound::{Binds, Remedy, unservable};
use duskwright_solver::units::{Amperes, Metres, Volts};

/// One 24 VA fixture 100 m from a 12 V site, cable 5 ohm/km per conductor, window from 10.8 V.
fn far() -> Job {
    let mut job = jobs::job(2, &[(0, 1, 100.0)], 0, &[1]);
    job.models = vec![jobs::model(24.0)];
    job.models[0].window =
        duskwright_solver::job::Window::new(Volts::new(10.8), Volts::new(15.0)).expect("lawful");
    job.cables = vec![jobs::cable("a", 4.0, 0.005, 1.0)];
    job
}

#[test]
fn a_fixture_too_far_for_every_gauge_is_named_with_its_best_voltage() {
    let found = unservable(&far());
    // Loop 1 ohm, constant power: V = (12 + sqrt(144 - 4 * 1 * 24)) / 2.
    let by_hand = (12.0 + (144.0_f64 - 96.0).sqrt()) / 2.0;
    assert_eq!(found.len(), 1);
    let best = found[0].best_volts.expect("an operating point").value();
    assert!((best - by_hand).abs() < 1e-9, "{best} against {by_hand}");
    assert!(matches!(found[0].binds, Binds::Distance { route, .. } if route.value() == 100.0));
}

#[test]
fn each_remedy_just_reaches_the_window() {
    let job = far();
    let found = unservable(&job);
    for remedy in &found[0].remedies {
        // At 10.8 V the current is 24 / 10.8 A and 1.2 V may be lost.
        match remedy {
            Remedy::ThickerGauge(ohms) => {
                let by_hand = 1.2 / (24.0 / 10.8) / 100.0 / 2.0;
                assert!((ohms.value() - by_hand).abs() < 1e-7, "{ohms}");
            }
            Remedy::NearerSite(route) => assert!((route.value() - 54.0).abs() < 1e-3, "{route}"),
            Remedy::HigherTap(volts) => {
                assert!(
                    (volts.value() - (10.8 + 24.0 / 10.8)).abs() < 1e-5,
                    "{volts}"
                );
            }
            Remedy::WindowFrom(volts) => {
                let by_hand = (12.0 + (144.0_f64 - 96.0).sqrt()) / 2.0;
                assert!((volts.value() - by_hand).abs() < 1e-9, "{volts}");
            }
            other => panic!("not a matter of voltage: {other:?}"),
        }
    }
    assert_eq!(found[0].remedies.len(), 4);
    let mut thick = job.clone();
    let mut cable = jobs::cable("b", 10.0, 0.0026, 2.0);
    cable.allowed.home_run = false;
    cable.allowed.branch = false;
    thick.cables.push(cable);
    assert!(
        unservable(&thick)[0]
            .remedies
            .contains(&Remedy::AllowCable(CableId(1)))
    );
    thick.cables[1].allowed.home_run = true;
    assert!(unservable(&thick).is_empty());
}

#[test]
fn no_route_no_joint_no_lug_no_amperes_are_told_apart() {
    let mut island = far();
    island.segments.clear();
    assert_eq!(unservable(&island)[0].binds, Binds::NoRoute);

    let mut lawn = far();
    lawn.models[0].lead = Some(jobs::lead(1.0));
    lawn.nodes[1].joint_allowed = false;
    assert_eq!(unservable(&lawn)[0].binds, Binds::NoJointInReach);

    assert_eq!(
        unservable(&lawn)[0].remedies,
        [
            Remedy::JointAt(NodeId(1)),
            Remedy::LongerLead(Metres::new(100.0))
        ]
    );
    lawn.models[0].lead = Some(jobs::lead(100.0));
    assert_ne!(unservable(&lawn)[0].binds, Binds::NoJointInReach);

    let mut near = far();
    near.segments[0].length = Metres::new(10.0);
    assert!(unservable(&near).is_empty());
    let mut small_lugs = near.clone();
    for tap in &mut small_lugs.transformers[0].secondaries[0].taps {
        tap.takes.largest = duskwright_solver::units::SquareMillimetres::new(1.0);
    }
    assert_eq!(unservable(&small_lugs)[0].binds, Binds::Lug);
    assert_eq!(
        unservable(&small_lugs)[0].remedies,
        [Remedy::LugFor(CableId(0))]
    );

    let mut weak = near.clone();
    weak.cables[0].ampacity = Amperes::new(1.5);
    assert!(
        matches!(unservable(&weak)[0].binds, Binds::Ampacity { current } if (current.value() - 2.0).abs() < 1e-3)
    );

    let mut breaker = near.clone();
    breaker.transformers[0].secondaries[0].breaker = Amperes::new(2.0);
    assert!(matches!(
        unservable(&breaker)[0].binds,
        Binds::CircuitLimit { .. }
    ));

    let mut tiny_transformer = near;
    tiny_transformer.transformers[0].rated = duskwright_solver::units::VoltAmperes::new(20.0);
    tiny_transformer.rules.loading_limit = 0.8;
    assert!(matches!(
        unservable(&tiny_transformer)[0].binds,
        Binds::TransformerSize { .. }
    ));
    // 24 VA under a loading limit of 80 %.
    assert!(matches!(
        unservable(&tiny_transformer)[0].remedies[..],
        [Remedy::LargerTransformer(rated)] if (rated.value() - 30.0).abs() < 1e-9
    ));
}

#[test]
fn a_job_with_an_unservable_fixture_has_no_plan() {
    let mut seen = 0;
    for seed in 0..400 {
        let mut job = tiny::job(seed);
        if unservable(&job).is_empty() {
            continue;
        }
        seen += 1;
        // The others may well be served: alone the fixture decides.
        let named = unservable(&job)[0].fixture.index();
        job.fixtures = vec![job.fixtures[named].clone()];
        let verdict = judge::cheapest_below(&job, 1e4);
        assert!(
            !matches!(verdict, Verdict::Cheapest(_)),
            "seed {seed}: a plan exists"
        );
    }
    assert!(seen >= 10, "only {seen} jobs tried");
}
