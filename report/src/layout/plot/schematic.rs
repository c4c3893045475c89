//! Places for nodes without coordinates: tree levels first, then a layout whose
//! straight distances follow the measured lengths along the ground.
//!
//! Gansner, Koren, North, "Graph Drawing by Stress Majorization" (2004), the
//! node-by-node form: each node moves to the weighted mean of where every other
//! node wants it, weights `1/d²`. Deterministic: fixed start, order and rounds.

use crate::content::{Drawing, Mark};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Rounds of the stress layout.
const ROUNDS: usize = 120;
/// Beyond this many nodes the tree levels stand as they are: the stress layout
/// takes time and memory that grow with the square.
const MOST_NODES: usize = 1500;

/// Position of each shown node (any unit); `None` for nodes off the opened ground.
pub fn arrange(drawing: &Drawing) -> Vec<Option<(f64, f64)>> {
    let shown = shown(drawing);
    let nodes: Vec<usize> = (0..shown.len()).filter(|&at| shown[at]).collect();
    let mut found = vec![None; shown.len()];
    if nodes.is_empty() {
        return found;
    }
    let graph = Graph::new(drawing);
    let mut places = levels(drawing, &graph, &nodes);
    if nodes.len() > 2 && nodes.len() <= MOST_NODES {
        stress(&graph, &nodes, &mut places);
    }
    turn_level(&mut places);
    for (&node, place) in nodes.iter().zip(places) {
        found[node] = Some(place);
    }
    found
}

fn shown(drawing: &Drawing) -> Vec<bool> {
    let mut shown: Vec<bool> = drawing
        .spots
        .iter()
        .map(|spot| spot.mark != Mark::Bend)
        .collect();
    for trench in drawing
        .trenches
        .iter()
        .filter(|one| !one.circuits.is_empty())
    {
        shown[trench.a] = true;
        shown[trench.b] = true;
    }
    shown
}

/// All lines of the site with lengths that are never quite zero.
struct Graph {
    /// `(neighbour, length, opened)` of each node.
    neighbours: Vec<Vec<(usize, f64, bool)>>,
}

impl Graph {
    fn new(drawing: &Drawing) -> Self {
        let count = drawing.trenches.len().max(1) as f64;
        let total: f64 = drawing.trenches.iter().map(|one| one.length).sum();
        let floor = (0.25 * total / count).max(1e-3);
        let mut neighbours = vec![Vec::new(); drawing.spots.len()];
        for trench in &drawing.trenches {
            let length = trench.length.max(floor);
            let opened = !trench.circuits.is_empty();
            neighbours[trench.a].push((trench.b, length, opened));
            neighbours[trench.b].push((trench.a, length, opened));
        }
        Self { neighbours }
    }

    /// Shortest lengths from one node (Dijkstra 1959); infinite when unreachable.
    fn lengths_from(&self, start: usize) -> Vec<f64> {
        let mut lengths = vec![f64::INFINITY; self.neighbours.len()];
        let mut heap = BinaryHeap::new();
        lengths[start] = 0.0;
        // Lengths are finite and >= 0: their bit patterns sort as they do.
        heap.push(Reverse((0.0_f64.to_bits(), start)));
        while let Some(Reverse((bits, node))) = heap.pop() {
            let length = f64::from_bits(bits);
            if length > lengths[node] {
                continue;
            }
            for &(next, step, _) in &self.neighbours[node] {
                let candidate = length + step;
                if candidate < lengths[next] {
                    lengths[next] = candidate;
                    heap.push(Reverse((candidate.to_bits(), next)));
                }
            }
        }
        lengths
    }
}

/// Tree levels: depth downwards, leaves side by side; transformers are the roots.
fn levels(drawing: &Drawing, graph: &Graph, nodes: &[usize]) -> Vec<(f64, f64)> {
    let total = drawing.spots.len();
    let mut seen = vec![false; total];
    let mut column = 0.0;
    let mut places = vec![(0.0, 0.0); total];
    let is_root = |&&node: &&usize| drawing.spots[node].mark == Mark::Transformer;
    for &root in nodes.iter().filter(is_root).chain(nodes) {
        if !seen[root] {
            tree(graph, root, &mut seen, &mut places, &mut column);
            column += 1.0;
        }
    }
    nodes.iter().map(|&node| places[node]).collect()
}

/// Places one tree, depth first over opened ground, without recursion.
fn tree(
    graph: &Graph,
    root: usize,
    seen: &mut [bool],
    places: &mut [(f64, f64)],
    column: &mut f64,
) {
    let mut order = vec![(root, root)];
    let mut depth = vec![0.0; seen.len()];
    seen[root] = true;
    let mut next = 0;
    while next < order.len() {
        let (node, _) = order[next];
        next += 1;
        for &(child, _, opened) in &graph.neighbours[node] {
            if opened && !seen[child] {
                seen[child] = true;
                depth[child] = depth[node] + 1.0;
                order.push((child, node));
            }
        }
    }
    let mut children = vec![Vec::new(); seen.len()];
    for &(node, parent) in &order[1..] {
        children[parent].push(node);
    }
    // Leaves take columns in depth-first order; parents stand over their middle.
    let mut stack = vec![(root, false)];
    while let Some((node, done)) = stack.pop() {
        let below = &children[node];
        if below.is_empty() {
            places[node] = (*column, -depth[node]);
            *column += 1.0;
        } else if done {
            let sum: f64 = below.iter().map(|&child| places[child].0).sum();
            places[node] = (sum / below.len() as f64, -depth[node]);
        } else {
            stack.push((node, true));
            stack.extend(below.iter().rev().map(|&child| (child, false)));
        }
    }
}

fn stress(graph: &Graph, nodes: &[usize], places: &mut [(f64, f64)]) {
    let count = nodes.len();
    let mut wish = Vec::with_capacity(count * count);
    for &node in nodes {
        let lengths = graph.lengths_from(node);
        wish.extend(nodes.iter().map(|&other| lengths[other]));
    }
    let longest = wish
        .iter()
        .copied()
        .filter(|length| length.is_finite())
        .fold(1.0, f64::max);
    for length in &mut wish {
        if !length.is_finite() {
            *length = 1.2 * longest;
        }
    }
    // The levels are a unit grid: bring them to the size of the site.
    let width = places.iter().map(|place| place.0).fold(1.0, f64::max);
    let start = longest / width;
    for place in places.iter_mut() {
        *place = (place.0 * start, place.1 * start);
    }
    for _ in 0..ROUNDS {
        for i in 0..count {
            places[i] = pulled(i, &wish[i * count..(i + 1) * count], places);
        }
    }
}

/// Where all other nodes together want node `i`.
fn pulled(i: usize, wish: &[f64], places: &[(f64, f64)]) -> (f64, f64) {
    let (x, y) = places[i];
    let (mut sum_x, mut sum_y, mut weights) = (0.0, 0.0, 0.0);
    for (j, &(other_x, other_y)) in places.iter().enumerate() {
        let length = wish[j];
        if j == i || length <= 0.0 {
            continue;
        }
        let weight = 1.0 / (length * length);
        let (dx, dy) = (x - other_x, y - other_y);
        let apart = (dx * dx + dy * dy).sqrt();
        let stretch = if apart > 1e-9 { length / apart } else { 0.0 };
        sum_x += weight * (other_x + dx * stretch);
        sum_y += weight * (other_y + dy * stretch);
        weights += weight;
    }
    if weights > 0.0 {
        (sum_x / weights, sum_y / weights)
    } else {
        (x, y)
    }
}

/// Turns a tall drawing on its side: sheets are wider than high.
fn turn_level(places: &mut [(f64, f64)]) {
    let extent = |pick: fn(&(f64, f64)) -> f64| {
        let low = places.iter().map(pick).fold(f64::INFINITY, f64::min);
        let high = places.iter().map(pick).fold(f64::NEG_INFINITY, f64::max);
        high - low
    };
    if extent(|place| place.1) > extent(|place| place.0) {
        for place in places {
            *place = (-place.1, place.0);
        }
    }
}
