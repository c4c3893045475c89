//! Plan files: any plan comes back as written, any bytes are refused in
//! words, and two separate sums agree on the cost of any plan.

use crate::any_plan::any_plan;
use duskwright_solver::check::{Rule, verify};
use duskwright_solver::job::{Job, Layout};
use duskwright_solver::plan::json::{PlanHeader, from_json, to_json};
use duskwright_solver::tariff::Tariff;
use duskwright_solver::units::Metres;
use duskwright_tests::build::row;
use proptest::prelude::*;

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
        objective: Some("installed".to_owned()),
        status: "feasible \"so far\"\n".to_owned(),
        lower_bound_cost: bound,
    }
}

proptest! {
    #[test]
    fn any_plan_comes_back_as_written(
        job in any_job(),
        plan in any_plan(3),
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
        plan in any_plan(3),
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
    fn the_tariff_and_the_checker_agree_on_the_cost_of_any_plan(job in any_job(), plan in any_plan(3)) {
        let by_tariff = Tariff::new(&job).plan_cost(&job, &plan).total().value();
        let verdict = verify(&job, &plan);
        let unknown = verdict.violations.iter().any(|one| one.rule == Rule::Reference);
        prop_assert!(!unknown);
        let by_checker = verdict.figures.total().value();
        prop_assert!((by_tariff - by_checker).abs() <= 1e-9 * by_tariff.max(1.0));
    }
}
