//! First prices by dual ascent: cuts around each fixture are raised until the
//! cheapest arc across them is paid for.
//!
//! R. T. Wong, "A dual ascent approach for Steiner tree problems on a directed
//! graph", Mathematical Programming 28 (1984) 271-287, used twice: for the
//! trenches, and for the cables with the joints where they end. Any outcome is
//! a valid set of prices; a good one saves hundreds of steps.

use super::prices::Prices;
use super::relaxation::Relaxation;

/// What is left of every charge.
struct Left {
    /// By sharing group, then by arc.
    arcs: Vec<Vec<f64>>,
    /// By sharing group, then by node.
    joints: Vec<Vec<f64>>,
    sites: Vec<f64>,
}

/// Which multipliers an ascent raises.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Layer {
    Trench,
    Cable,
}

/// Prices at which every charge is just paid.
pub(crate) fn dual_ascent(relaxation: &Relaxation) -> Prices {
    let mut prices = Prices::zero(relaxation);
    let arcs = 2 * relaxation.graph.edges.len();
    let groups = relaxation.zones.max(1);
    let mut left = Left {
        arcs: vec![
            (0..arcs)
                .map(|arc| relaxation.graph.edges[arc / 2].trench)
                .collect(),
        ],
        joints: Vec::new(),
        sites: relaxation.sources.charge.clone(),
    };
    climb(relaxation, Layer::Trench, &mut left, &mut prices);
    left.arcs = vec![
        (0..arcs)
            .map(|arc| relaxation.cable_charge(arc / 2))
            .collect();
        groups
    ];
    left.joints = vec![
        relaxation
            .joint_costs
            .iter()
            .map(|costs| costs.first().copied().unwrap_or(0.0))
            .collect();
        groups
    ];
    climb(relaxation, Layer::Cable, &mut left, &mut prices);
    prices
}

/// Groups whose charge a fixture draws on: its own zone, or every zone when it has none.
fn groups_of(relaxation: &Relaxation, f: usize, groups: usize) -> std::ops::Range<usize> {
    match relaxation.loads[f].zone {
        Some(zone) if groups > 1 => zone..zone + 1,
        _ => 0..groups,
    }
}

/// The smallest cut first, until every fixture is joined to a site by paid arcs.
fn climb(relaxation: &Relaxation, layer: Layer, left: &mut Left, prices: &mut Prices) {
    let mut waiting: Vec<(usize, usize)> = (0..relaxation.loads.len()).map(|f| (0, f)).collect();
    let mut inside = vec![false; relaxation.graph.outgoing.len()];
    while !waiting.is_empty() {
        waiting.sort_unstable();
        let mut still = Vec::with_capacity(waiting.len());
        let half = waiting.len().div_ceil(4);
        let rest = waiting.split_off(half);
        for (_, f) in waiting {
            if let Some(size) = raise(relaxation, layer, f, left, prices, &mut inside) {
                still.push((size, f));
            }
        }
        still.extend(rest);
        waiting = still;
    }
}

/// Raises one cut of one fixture; `None` when a paid path already reaches it
/// (or nothing at all can), else the size of the cut.
fn raise(
    relaxation: &Relaxation,
    layer: Layer,
    f: usize,
    left: &mut Left,
    prices: &mut Prices,
    inside: &mut [bool],
) -> Option<usize> {
    let load = &relaxation.loads[f];
    let groups = groups_of(relaxation, f, left.arcs.len());
    let remaining = |rows: &[Vec<f64>], at: usize| {
        groups
            .clone()
            .map(|g| rows[g][at])
            .fold(f64::INFINITY, f64::min)
    };
    inside.fill(false);
    let mut stack = Vec::new();
    let mut closed_landings = Vec::new();
    match layer {
        Layer::Trench => stack.push(load.node),
        Layer::Cable => {
            for (slot, &node) in load.landings.iter().enumerate() {
                if remaining(&left.joints, node) > 0.0 {
                    closed_landings.push((slot, node));
                } else {
                    stack.push(node);
                }
            }
        }
    }
    stack.iter().for_each(|&node| inside[node] = true);
    let (mut members, mut crossing) = (Vec::new(), Vec::new());
    while let Some(node) = stack.pop() {
        members.push(node);
        for &(out, next) in &relaxation.graph.outgoing[node] {
            let arc = out ^ 1;
            if inside[next] {
                continue;
            }
            if remaining(&left.arcs, arc) > 0.0 {
                crossing.push((arc, next));
            } else {
                inside[next] = true;
                stack.push(next);
            }
        }
    }
    crossing.retain(|(_, next)| !inside[*next]);
    closed_landings.retain(|(_, node)| !inside[*node]);
    let entries: Vec<usize> = (0..relaxation.entry.len())
        .filter(|&s| inside[relaxation.entry[s]])
        .filter(|&s| layer == Layer::Trench || load.fed_from[s])
        .collect();
    let lowest = crossing
        .iter()
        .map(|(arc, _)| remaining(&left.arcs, *arc))
        .chain(
            closed_landings
                .iter()
                .map(|(_, node)| remaining(&left.joints, *node)),
        )
        .chain(entries.iter().map(|&s| left.sites[s]))
        .fold(f64::INFINITY, f64::min);
    if !lowest.is_finite() || lowest <= 0.0 {
        return None;
    }
    let (row, blocks) = (&mut prices.rows[f], prices.blocks);
    let (arc_block, site_block) = match layer {
        Layer::Trench => (blocks.trench_arc, blocks.trench_site),
        Layer::Cable => (blocks.cable_arc, blocks.cable_site),
    };
    let pay = |rows: &mut [Vec<f64>], at: usize| {
        for group in groups.clone() {
            let rest = rows[group][at] - lowest;
            rows[group][at] = if rest <= 1e-12 * lowest { 0.0 } else { rest };
        }
    };
    for (arc, _) in &crossing {
        row[arc_block + arc] += lowest;
        pay(&mut left.arcs, *arc);
    }
    for &(slot, node) in &closed_landings {
        row[blocks.landing + slot] += lowest;
        pay(&mut left.joints, node);
    }
    for &s in &entries {
        row[site_block + s] += lowest;
        left.sites[s] = (left.sites[s] - lowest).max(0.0);
    }
    Some(members.len())
}
