//! What holds for the graph of any plan.

use crate::site_plans::{made_up, rates};

#[test]
fn a_large_estate_has_few_segments() {
    let start = std::time::Instant::now();
    let plan = made_up(400, 200, 7);
    let graph = duskwright_survey::derive(&plan, &rates()).expect("every fixture is reached");
    println!(
        "{} nodes {} segments {:?}",
        graph.nodes.len(),
        graph.segments.len(),
        start.elapsed()
    );
    let corners: usize = plan
        .areas
        .iter()
        .map(|area| area.outline.exterior().0.len() - 1)
        .sum();
    assert!(graph.segments.len() <= 12 * plan.fixtures.len() + corners);
}
