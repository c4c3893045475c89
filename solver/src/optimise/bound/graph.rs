//! The site graph with its charges.

use crate::job::Job;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// A segment of the site graph.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    pub a: usize,
    pub b: usize,
    pub metres: f64,
    /// Money for opening it, once.
    pub trench: f64,
    /// Money for work on each cable that passes.
    pub per_cable: f64,
}

/// Segments and, for every node, the arcs that leave it.
#[derive(Clone, Debug)]
pub(crate) struct Graph {
    pub edges: Vec<Edge>,
    /// `(arc, far node)` of every node; arc `2 e` runs from `a` to `b` of edge `e`, arc `2 e + 1` back.
    pub outgoing: Vec<Vec<(usize, usize)>>,
}

impl Graph {
    /// Reads the segments of a job.
    pub(crate) fn new(job: &Job) -> Self {
        let edges = edges(job);
        Self {
            outgoing: outgoing(job.nodes.len(), &edges),
            edges,
        }
    }

    /// The nodes where an arc begins and ends.
    pub(crate) fn ends(&self, arc: usize) -> (usize, usize) {
        let edge = &self.edges[arc / 2];
        match arc.is_multiple_of(2) {
            true => (edge.a, edge.b),
            false => (edge.b, edge.a),
        }
    }

    /// Shortest distances in metres from the nearest of `from`.
    pub(crate) fn nearest(&self, from: &[usize]) -> Vec<f64> {
        let mut distance = vec![f64::INFINITY; self.outgoing.len()];
        for &node in from {
            distance[node] = 0.0;
        }
        self.level(&mut distance, |edge| self.edges[edge].metres);
        distance
    }

    /// Lowers what each node has until along no edge it rises by more than `most` of the edge,
    /// which is `>= 0`: Dijkstra's method, from all nodes at once.
    pub(crate) fn level(&self, values: &mut [f64], most: impl Fn(usize) -> f64) {
        let finite = values
            .iter()
            .enumerate()
            .filter(|(_, cost)| cost.is_finite());
        let mut heap: BinaryHeap<Label> =
            finite.map(|(node, &cost)| Label { cost, node }).collect();
        while let Some(Label { cost, node }) = heap.pop() {
            if cost > values[node] {
                continue;
            }
            for &(arc, next) in &self.outgoing[node] {
                let through = cost + most(arc / 2);
                if through < values[next] {
                    values[next] = through;
                    heap.push(Label {
                        cost: through,
                        node: next,
                    });
                }
            }
        }
    }
}

fn edges(job: &Job) -> Vec<Edge> {
    let labour = job.rates.labour.cost().value();
    job.segments
        .iter()
        .map(|segment| {
            let surface = job.surface(segment.surface);
            let units = job.units.from_metres(segment.length);
            let per_unit = |work: crate::job::SurfaceWork| {
                work.hours_per_unit * labour + work.money_per_unit.cost().value()
            };
            Edge {
                a: segment.a.index(),
                b: segment.b.index(),
                metres: segment.length.value(),
                trench: (units * per_unit(surface.open) + surface.open_fixed.cost().value())
                    .max(0.0),
                per_cable: (units * per_unit(surface.per_cable)).max(0.0),
            }
        })
        .collect()
}

fn outgoing(nodes: usize, edges: &[Edge]) -> Vec<Vec<(usize, usize)>> {
    let mut outgoing = vec![Vec::new(); nodes];
    for (e, edge) in edges.iter().enumerate() {
        outgoing[edge.a].push((2 * e, edge.b));
        outgoing[edge.b].push((2 * e + 1, edge.a));
    }
    outgoing
}

/// A tentative distance in a heap whose top is the nearest node (ties: lowest node).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Label {
    pub cost: f64,
    pub node: usize,
}

impl PartialEq for Label {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Label {}
impl PartialOrd for Label {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Label {
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .cost
            .total_cmp(&self.cost)
            .then(other.node.cmp(&self.node))
    }
}
