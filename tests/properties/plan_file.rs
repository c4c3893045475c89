//! Plan files: any plan comes back as written, any bytes are refused in
//! words, and two separate sums agree on the cost of any plan.

use duskwright_solver::check::{Rule, verify};
use duskwright_solver::ids::{CableId, NodeId, SegmentId, SiteId};
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::plan::json::{PlanHeader, from_json, to_json};
use duskwright_solver::plan::{Circuit, JointHardware, Plan, Route};
use duskwright_solver::tariff::Tariff;
use duskwright_solver::units::Metres;
use duskwright_tests::build::{HUB, SPLICE, circuit, joint, lead_run, plan, row};
use proptest::prelude::*;

/// Routes of up to five segments, whether or not they meet: a file carries unlawful plans as well.
fn any_route() -> impl Strategy<Value = Vec<SegmentId>> {
    prop::collection::vec((0_u32..4).prop_map(SegmentId), 0..5)
}

fn any_hardware() -> impl Strategy<Value = JointHardware> {
    prop_oneof![Just(SPLICE), Just(HUB)]
}

prop_compose! {
    fn any_circuit()(
        secondary in 0_usize..2,
        joints in prop::collection::vec(
            (0_u32..4, any_hardware(), any::<prop::sample::Index>(), 0_u32..2, any_route()),
            1..6,
        ),
        leads in prop::collection::vec((0_u32..3, any::<prop::sample::Index>(), any_route()), 0..4),
    ) -> Circuit {
        let count = joints.len();
        let joints = joints
            .into_iter()
            .enumerate()
            .map(|(at, (node, hardware, from, cable, route))| {
                let from = (at > 0).then(|| u32::try_from(from.index(at)).expect("few joints"));
                let mut made = joint(NodeId(node), hardware, from, &route);
                made.incoming.cable = CableId(cable);
                made
            })
            .collect();
        let leads = leads
            .into_iter()
            .map(|(fixture, at, route)| {
                let at = u32::try_from(at.index(count)).expect("few joints");
                let mut run = lead_run(fixture, at, &[]);
                run.route = Route { segments: route };
                run
            })
            .collect();
        circuit(secondary, joints, leads)
    }
}

prop_compose! {
    fn any_plan()(
        circuits in prop::collection::vec(any_circuit(), 0..4),
        further in prop::option::of(0_u32..3),
    ) -> Plan {
        let mut made = plan(circuits);
        made.further_circuits = further.map(|count| (SiteId(0), count)).into_iter().collect();
        made
    }
}

prop_compose! {
    fn any_job()(
        slack in prop::collection::vec(0.0_f64..2.0, 4),
        rise in prop::collection::vec(0.0_f64..3.0, 4),
        length in prop::collection::vec(0.0_f64..60.0, 4),
        hours in 0.0_f64..0.2,
        limit in 1_u32..4,
    ) -> Job {
        let mut job = row();
        job.rates.slack.transformer = Metres::new(slack[0]);
        job.rates.slack.splice = Metres::new(slack[1]);
        job.rates.slack.hub = Metres::new(slack[2]);
        for (node, rise) in job.nodes.iter_mut().zip(rise) {
            node.rise = Metres::new(rise);
        }
        for (segment, length) in job.segments.iter_mut().zip(length) {
            segment.length = Metres::new(length);
            segment.limit.cables = Some(limit);
        }
        job.surfaces[0].per_cable.hours_per_unit = hours;
        job.surfaces[0].beyond_limit = Some(job.surfaces[1].open);
        job
    }
}

fn header(seed: u64, bound: Option<f64>) -> PlanHeader {
    PlanHeader {
        program_version: "0.0.0".to_owned(),
        input_hash: "none".to_owned(),
        effort: "quick".to_owned(),
        seed,
        layout: Layout::Chain,
        status: "feasible \"so far\"\n".to_owned(),
        lower_bound_cost: bound,
    }
}

proptest! {
    #[test]
    fn any_plan_comes_back_as_written(
        job in any_job(),
        plan in any_plan(),
        seed in any::<u64>(),
        bound in prop::option::of(0.0_f64..1e9),
    ) {
        let results = verify(&job, &plan).figures.results(&job);
        let header = header(seed, bound);
        let file = from_json(&job, &to_json(&job, &plan, &header, &results));
        let file = file.expect("what was written is read");
        prop_assert_eq!(file.plan, plan);
        prop_assert_eq!(file.header, header);
        prop_assert_eq!(file.results, results);
    }

    #[test]
    fn any_text_is_read_or_refused_without_a_panic(text in "\\PC{0,200}") {
        prop_assert!(from_json(&row(), &text).is_err());
    }

    /// Files cut, doubled or altered in one place: an answer, never a panic, and what is read verifies without one.
    #[test]
    fn a_damaged_file_is_read_or_refused_without_a_panic(
        plan in any_plan(),
        cut in any::<prop::sample::Index>(),
        put in "[\"{}\\[\\],:0-9a-zA-Z.-]{0,6}",
        take in 0_usize..8,
    ) {
        let job = row();
        let text = to_json(&job, &plan, &header(1, None), &Default::default());
        let at = cut.index(text.len());
        let end = usize::min(at + take, text.len());
        if text.is_char_boundary(at) && text.is_char_boundary(end) {
            let damaged = format!("{}{put}{}", &text[..at], &text[end..]);
            if let Ok(file) = from_json(&job, &damaged) {
                let _ = verify(&job, &file.plan);
            }
        }
    }

    #[test]
    fn the_tariff_and_the_checker_agree_on_the_cost_of_any_plan(job in any_job(), plan in any_plan()) {
        let by_tariff = Tariff::new(&job).plan_cost(&job, &plan).total().value();
        let verdict = verify(&job, &plan);
        let unknown = verdict.violations.iter().any(|one| one.rule == Rule::Reference);
        prop_assert!(!unknown);
        let by_checker = verdict.figures.total().value();
        prop_assert!((by_tariff - by_checker).abs() <= 1e-9 * by_tariff.max(1.0));
    }
}
