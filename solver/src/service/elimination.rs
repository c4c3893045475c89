//! Symmetric elimination of a sparse nodal matrix, fewest neighbours first.
//!
//! Nodes are eliminated in the order of minimum degree (Markowitz 1957, for symmetric
//! matrices Tinney and Walker, Proc. IEEE 55(11), 1967; both from memory): on a tree no
//! entry is ever filled in, and the few loops that faults close cost a few entries.

use num_complex::Complex64;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The order of elimination and where its numbers live, for one set of edges.
#[derive(Clone, Debug, Default)]
pub(super) struct Elimination {
    /// Node eliminated at each step.
    order: Vec<u32>,
    /// Step of each node.
    step: Vec<u32>,
    /// First slot of each step; one more at the end.
    start: Vec<u32>,
    /// Neighbour of each slot, all eliminated later.
    neighbour: Vec<u32>,
    /// Slot that each pair of a step's neighbours updates, step by step.
    updates: Vec<u32>,
}

impl Elimination {
    /// Orders the elimination of `nodes` nodes joined by `edges`; edges may repeat, none joins a node to itself.
    pub(super) fn of(nodes: usize, edges: &[(u32, u32)]) -> Self {
        let mut near: Vec<Vec<u32>> = vec![Vec::new(); nodes];
        for &(a, b) in edges {
            join(&mut near, a, b);
        }
        let mut queue: BinaryHeap<Reverse<(usize, u32)>> = (0..nodes as u32)
            .map(|node| Reverse((near[node as usize].len(), node)))
            .collect();
        let mut made = Self {
            order: Vec::with_capacity(nodes),
            step: vec![u32::MAX; nodes],
            start: vec![0],
            neighbour: Vec::with_capacity(2 * nodes),
            updates: Vec::new(),
        };
        while let Some(Reverse((degree, node))) = queue.pop() {
            let stale = degree != near[node as usize].len();
            if stale || made.step[node as usize] != u32::MAX {
                continue;
            }
            made.step[node as usize] = made.order.len() as u32;
            made.order.push(node);
            let left = std::mem::take(&mut near[node as usize]);
            for (position, &a) in left.iter().enumerate() {
                near[a as usize].retain(|&other| other != node);
                for &b in &left[position + 1..] {
                    join(&mut near, a, b);
                }
            }
            for &a in &left {
                queue.push(Reverse((near[a as usize].len(), a)));
            }
            made.neighbour.extend(left);
            made.start.push(made.neighbour.len() as u32);
        }
        made.find_updates();
        made
    }

    fn find_updates(&mut self) {
        for step in 0..self.order.len() {
            let slots = self.slots(step);
            for p in slots.clone() {
                for q in p + 1..slots.end {
                    let slot = self.slot(self.neighbour[p], self.neighbour[q]);
                    self.updates.push(slot);
                }
            }
        }
    }

    fn slots(&self, step: usize) -> std::ops::Range<usize> {
        self.start[step] as usize..self.start[step + 1] as usize
    }

    /// Slot of the entry that joins two nodes.
    pub(super) fn slot(&self, a: u32, b: u32) -> u32 {
        let (first, other) = if self.step[a as usize] < self.step[b as usize] {
            (a, b)
        } else {
            (b, a)
        };
        let slots = self.slots(self.step[first as usize] as usize);
        let position = self.neighbour[slots.clone()]
            .iter()
            .position(|&node| node == other)
            .expect("every edge and every filled entry was given a slot");
        (slots.start + position) as u32
    }

    /// How many slots there are.
    pub(super) fn slot_count(&self) -> usize {
        self.neighbour.len()
    }

    /// Solves `A x = b`; `diagonal` and `right` by node, `off` by slot. The solution is left in `right`.
    pub(super) fn solve(
        &self,
        diagonal: &mut [Complex64],
        off: &mut [Complex64],
        right: &mut [Complex64],
    ) {
        let mut update = self.updates.iter();
        for step in 0..self.order.len() {
            let node = self.order[step] as usize;
            let slots = self.slots(step);
            let inverse = diagonal[node].inv();
            for p in slots.clone() {
                let share = off[p] * inverse;
                let near = self.neighbour[p] as usize;
                diagonal[near] -= share * off[p];
                right[near] -= share * right[node];
                for q in p + 1..slots.end {
                    let slot = *update.next().expect("one update for each pair") as usize;
                    off[slot] -= share * off[q];
                }
            }
            diagonal[node] = inverse;
        }
        for step in (0..self.order.len()).rev() {
            let node = self.order[step] as usize;
            let mut sum = right[node];
            for p in self.slots(step) {
                sum -= off[p] * right[self.neighbour[p] as usize];
            }
            right[node] = sum * diagonal[node];
        }
    }
}

fn join(near: &mut [Vec<u32>], a: u32, b: u32) {
    if !near[a as usize].contains(&b) {
        near[a as usize].push(b);
        near[b as usize].push(a);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A ladder with a loop: what comes out, put back in, gives the right side again.
    #[test]
    fn the_solution_satisfies_the_equations() {
        let edges = [(0, 1), (1, 2), (2, 3), (3, 0), (2, 4), (4, 5), (5, 1)];
        let made = Elimination::of(6, &edges);
        let mut diagonal = vec![Complex64::new(0.01, 0.0); 6];
        let mut off = vec![Complex64::ZERO; made.slot_count()];
        for (index, &(a, b)) in edges.iter().enumerate() {
            let admittance = Complex64::new(1.0 + index as f64, -0.1 * index as f64);
            diagonal[a as usize] += admittance;
            diagonal[b as usize] += admittance;
            off[made.slot(a, b) as usize] -= admittance;
        }
        let right: Vec<Complex64> = (0..6).map(|n| Complex64::new(n as f64, 1.0)).collect();
        let (kept_diagonal, kept_off) = (diagonal.clone(), off.clone());
        let mut found = right.clone();
        made.solve(&mut diagonal, &mut off, &mut found);
        let mut back: Vec<Complex64> = (0..6).map(|n| kept_diagonal[n] * found[n]).collect();
        for &(a, b) in &edges {
            let entry = kept_off[made.slot(a, b) as usize];
            back[a as usize] += entry * found[b as usize];
            back[b as usize] += entry * found[a as usize];
        }
        for (found, wanted) in back.iter().zip(&right) {
            assert!((found - wanted).norm() < 1e-12, "{found} {wanted}");
        }
    }

    #[test]
    fn a_tree_is_never_filled_in() {
        let edges: Vec<(u32, u32)> = (1..40).map(|node| ((node - 1) / 3, node)).collect();
        assert_eq!(Elimination::of(40, &edges).slot_count(), edges.len());
    }
}
