//! Names of nodes, which stay when the survey is made again.
//!
//! Fixtures and sites are named by the plan. Every other node is named `n1`, `n2`, ... A node
//! that lies where one of the earlier survey lay keeps its name; a number is never given to
//! another place while anybody may still mean the first.

use crate::edges::distance;
use crate::graph::{Graph, NodeKind};
use crate::plan::SitePlan;
use geo::Coord;
use rstar::RTree;
use rstar::primitives::GeomWithData;
use std::collections::BTreeSet;

/// A node that moved by no more than this is the same, m.
const MOVED_M: f64 = 0.5;
/// What stands before the number of a node.
const LETTER: &str = "n";

/// What an earlier survey of the same plan left.
#[derive(Clone, Debug, Default)]
pub struct Earlier {
    /// Names and positions of its nodes, m, finite.
    pub nodes: Vec<(String, [f64; 2])>,
    /// Names that must not be given to anything new, because hand edits use them.
    pub reserved: BTreeSet<String>,
    /// Highest number given so far.
    pub numbered: usize,
}

/// Name of each node, and the highest number given so far.
pub(crate) fn tags(graph: &Graph, plan: &SitePlan, earlier: &Earlier) -> (Vec<String>, usize) {
    let mut tags: Vec<Option<String>> = graph
        .nodes
        .iter()
        .map(|node| match node.kind {
            NodeKind::Fixture(number) => Some(plan.fixtures[number].tag.clone()),
            NodeKind::Site(number) => Some(plan.sites[number].tag.clone()),
            NodeKind::Mouth(_) | NodeKind::Turn => None,
        })
        .collect();
    let mut taken: BTreeSet<String> = tags.iter().flatten().cloned().collect();
    for (node, old) in matched(graph, &tags, earlier) {
        let tag = &earlier.nodes[old].0;
        if taken.insert(tag.clone()) {
            tags[node] = Some(tag.clone());
        }
    }
    let known = earlier.nodes.iter().map(|(tag, _)| tag);
    taken.extend(known.chain(&earlier.reserved).cloned());
    let mut number = earlier.numbered;
    let named = tags.into_iter().map(|tag| {
        tag.unwrap_or_else(|| {
            loop {
                number += 1;
                let tag = format!("{LETTER}{number}");
                if !taken.contains(&tag) {
                    return tag;
                }
            }
        })
    });
    let named = named.collect();
    (named, number)
}

/// Nodes without a name with the earlier node at their place: the nearest pairs first, each
/// node once.
fn matched(graph: &Graph, tags: &[Option<String>], earlier: &Earlier) -> Vec<(usize, usize)> {
    let known = earlier.nodes.iter().enumerate();
    let tree = RTree::bulk_load(
        known
            .map(|(number, (_, at))| GeomWithData::new(*at, number))
            .collect(),
    );
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (number, node) in graph.nodes.iter().enumerate() {
        if tags[number].is_some() {
            continue;
        }
        let near = tree.locate_within_distance([node.at.x, node.at.y], MOVED_M * MOVED_M);
        pairs.extend(near.map(|old| {
            let [x, y] = earlier.nodes[old.data].1;
            (distance(node.at, Coord { x, y }), number, old.data)
        }));
    }
    pairs.sort_by(|one, two| {
        one.0
            .total_cmp(&two.0)
            .then((one.1, one.2).cmp(&(two.1, two.2)))
    });
    let (mut new, mut old) = (BTreeSet::new(), BTreeSet::new());
    pairs
        .into_iter()
        .filter(|&(_, node, before)| {
            let free = !new.contains(&node) && !old.contains(&before);
            if free {
                new.insert(node);
                old.insert(before);
            }
            free
        })
        .map(|(_, node, before)| (node, before))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::graph::Node;

    fn turns(at: &[(f64, f64)]) -> Graph {
        let node = |&(x, y): &(f64, f64)| Node {
            kind: NodeKind::Turn,
            at: Coord { x, y },
        };
        Graph {
            nodes: at.iter().map(node).collect(),
            segments: Vec::new(),
        }
    }

    #[test]
    fn a_node_keeps_its_name_and_a_new_one_gets_a_number_never_used() {
        let plan = SitePlan::default();
        let first = turns(&[(0.0, 0.0), (5.0, 0.0), (9.0, 0.0)]);
        let (tags_1, numbered) = tags(&first, &plan, &Earlier::default());
        assert_eq!(tags_1, ["n1", "n2", "n3"]);
        // The second moves a little, the third is gone, two are new; a hand edit means n4.
        let nodes = first.nodes.iter().map(|node| [node.at.x, node.at.y]);
        let earlier = Earlier {
            nodes: tags_1.iter().cloned().zip(nodes).collect(),
            reserved: BTreeSet::from(["n4".to_owned()]),
            numbered,
        };
        let second = turns(&[(7.0, 7.0), (5.0, 0.3), (0.0, 0.0), (1.0, 3.0)]);
        let (tags_2, numbered) = tags(&second, &plan, &earlier);
        assert_eq!(tags_2, ["n5", "n2", "n1", "n6"]);
        assert_eq!(numbered, 6);
    }
}
