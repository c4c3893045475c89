//! The circuits that attain the least money, and what their fixtures use.

use super::{Set, Table, WIRES, members, splits, spread};

/// What one fixture uses.
#[derive(Clone, Debug, Default)]
pub(in super::super) struct Traced {
    pub site: usize,
    /// Segments that cables pass on the way to it.
    pub edges: Vec<usize>,
    pub drop: Drop,
}

/// What pieces drop on the way to a fixture.
#[derive(Clone, Copy, Debug, Default)]
pub(in super::super) struct Drop {
    /// What one more unit of its price of copper costs in them.
    pub copper_length: f64,
    /// Volts that they drop at least.
    pub volts: f64,
}

impl Table<'_> {
    /// What each fixture uses in circuits of least money; none where nothing can feed it.
    pub(in super::super) fn trace(&self) -> Vec<Traced> {
        let mut traced = vec![Traced::default(); self.relaxation.loads.len()];
        let mut left = self.served.len() - 1;
        while left != 0 {
            let whole = (left, 0);
            let found = std::iter::once(whole)
                .chain(splits(left))
                .find(|(part, rest)| self.circuit(*part) + self.served[*rest] <= self.served[left]);
            let Some((part, rest)) = found.filter(|_| self.served[left].is_finite()) else {
                break;
            };
            let sites = 0..self.rows[part].start.len();
            let site =
                sites.min_by(|&x, &y| self.entered(part, x).total_cmp(&self.entered(part, y)));
            if let Some(site) = site {
                members(part).for_each(|f| traced[f].site = site);
                self.start_of(part, site, &mut traced);
            }
            left = rest;
        }
        traced
    }

    /// Metres of pieces behind which a set hangs.
    fn charge(&self, set: Set, metres: f64, traced: &mut [Traced]) {
        let metre = self.metre(set);
        for f in members(set) {
            traced[f].drop.copper_length += metres * metre.slope;
            traced[f].drop.volts += metres * metre.volts;
        }
    }

    fn start_of(&self, set: Set, site: usize, traced: &mut [Traced]) {
        let node = self.relaxation.entry[site];
        let row = &self.rows[set];
        let metre = self.metre(set).money;
        let metres = self.makings.starting_metres[site];
        if row.run[node] + metres * metre <= row.start[site] {
            self.charge(set, metres, traced);
            return self.run_to(set, node, traced);
        }
        if let Some(at) = self.makings.at(node) {
            let (money, wires, _) = self.joint(&row.hung, &row.single, at, None);
            if money <= row.start[site] {
                return self.on_wires(set, wires, at, traced);
            }
        }
        for (part, rest) in splits(set) {
            for (first, later) in [(part, rest), (rest, part)] {
                let money = self.rows[first].start[site] + self.rows[later].run[node];
                if money + self.makings.meeting[node] <= row.start[site] {
                    self.start_of(first, site, traced);
                    return self.run_to(later, node, traced);
                }
            }
        }
    }

    /// The piece through `node` behind which `set` hangs.
    fn run_to(&self, set: Set, node: usize, traced: &mut [Traced]) {
        let metre = self.metre(set).money;
        let seeds = self.seeds(set, &self.rows[set].hung, metre);
        let mut run = seeds.clone();
        let by = spread(self.relaxation, &self.along(set, metre), &mut run);
        let mut node = node;
        let mut metres = 0.0;
        while let Some((edge, next)) = by[node] {
            members(set).for_each(|f| traced[f].edges.push(edge));
            metres += self.relaxation.graph.edges[edge].metres;
            node = next;
        }
        self.charge(set, metres, traced);
        if let Some(at) = self.makings.at(node) {
            let hung = &self.rows[set].hung;
            let (money, wires, metres) = self.joint(hung, &hung[1], at, Some(metre));
            if money <= seeds[node] {
                self.charge(set, metres, traced);
                return self.hanging_on(set, wires, at, traced);
            }
        }
        let meeting = self.makings.meeting[node];
        let met = splits(set).find(|&(part, rest)| {
            self.rows[part].run[node] + self.rows[rest].run[node] + meeting <= seeds[node]
        });
        if let Some((part, rest)) = met {
            self.run_to(part, node, traced);
            self.run_to(rest, node, traced);
        }
    }

    /// What hangs on a joint with so many wires.
    fn hanging_on(&self, set: Set, wires: usize, at: usize, traced: &mut [Traced]) {
        let target = self.rows[set].hung[wires][at];
        if set.count_ones() == 1 {
            return;
        }
        for (part, rest) in splits(set) {
            let (one, other) = (&self.rows[part], &self.rows[rest]);
            for others in 0..=WIRES {
                let hung = other.hanging(others)[at];
                if (others + 1).min(WIRES) == wires && one.single[at] + hung <= target {
                    self.on_one_wire(part, at, traced);
                    return self.on_wires(rest, others, at, traced);
                }
                if self.makings.bare && others == wires && one.hung[0][at] + hung <= target {
                    self.hanging_on(part, 0, at, traced);
                    return self.on_wires(rest, others, at, traced);
                }
            }
        }
    }

    fn on_wires(&self, set: Set, wires: usize, at: usize, traced: &mut [Traced]) {
        match wires {
            1 => self.on_one_wire(set, at, traced),
            wires => self.hanging_on(set, wires, at, traced),
        }
    }

    /// What hangs on a joint by a lead or a piece.
    fn on_one_wire(&self, set: Set, at: usize, traced: &mut [Traced]) {
        let row = &self.rows[set];
        if row.hung[1][at] <= row.single[at] {
            return self.hanging_on(set, 1, at, traced);
        }
        let node = self.makings.joints[at].node;
        self.charge(set, self.makings.leaving_metres[node], traced);
        self.run_to(set, node, traced);
    }
}
