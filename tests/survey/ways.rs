//! Cheapest ways through a derived graph.

use duskwright_survey::{Graph, NodeKind};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Cost from a node to every other, money; whole millionths, so that they can be ordered.
pub fn from(graph: &Graph, source: usize) -> Vec<f64> {
    let mut around = vec![Vec::new(); graph.nodes.len()];
    for segment in &graph.segments {
        let [a, b] = segment.ends;
        around[a].push((b, segment.cost));
        around[b].push((a, segment.cost));
    }
    let mut cost = vec![f64::INFINITY; graph.nodes.len()];
    let mut open = BinaryHeap::from([(Reverse(0_u64), source)]);
    cost[source] = 0.0;
    while let Some((Reverse(key), node)) = open.pop() {
        if key > (cost[node] * 1e6) as u64 {
            continue;
        }
        for &(to, step) in &around[node] {
            let there = cost[node] + step;
            if there < cost[to] {
                cost[to] = there;
                open.push((Reverse((there * 1e6) as u64), to));
            }
        }
    }
    cost
}

/// Nodes of the fixtures, in the order of the plan.
pub fn fixtures(graph: &Graph) -> Vec<usize> {
    let mut found: Vec<(usize, usize)> = graph
        .nodes
        .iter()
        .enumerate()
        .filter_map(|(node, item)| match item.kind {
            NodeKind::Fixture(fixture) => Some((fixture, node)),
            _ => None,
        })
        .collect();
    found.sort_unstable();
    found.into_iter().map(|(_, node)| node).collect()
}
