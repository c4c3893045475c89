//! Multipliers of the relaxation: what each fixture offers for each thing it shares.

use super::loads::SharedPrices;
use super::relaxation::Relaxation;

/// Positions of the blocks inside one fixture's row of multipliers.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Blocks {
    /// Trench flow, one per arc.
    pub trench_arc: usize,
    /// Cable in an opened segment, one per edge.
    pub open_edge: usize,
    /// Cable on an arc, its copper included, one per arc.
    pub cable_arc: usize,
    /// Trench flow entering at a site.
    pub trench_site: usize,
    /// Cable entering at a site.
    pub cable_site: usize,
    /// Landing at a node, one per landing of the fixture.
    pub landing: usize,
}

impl Blocks {
    /// The layout for a relaxation.
    pub(crate) fn of(relaxation: &Relaxation) -> Self {
        let (edges, sites) = (relaxation.graph.edges.len(), relaxation.entry.len());
        let open_edge = 2 * edges;
        let cable_arc = open_edge + edges;
        let trench_site = cable_arc + 2 * edges;
        let cable_site = trench_site + sites;
        Self {
            trench_arc: 0,
            open_edge,
            cable_arc,
            trench_site,
            cable_site,
            landing: cable_site + sites,
        }
    }
}

/// Non-negative multipliers, a row per fixture, and each fixture's copper multiplier.
#[derive(Clone, Debug)]
pub(crate) struct Prices {
    /// Where each kind stands in a row.
    pub blocks: Blocks,
    /// Rows.
    pub rows: Vec<Vec<f64>>,
    /// `t = sqrt(kappa + mu) I`, >= 0, by fixture.
    pub copper: Vec<f64>,
    /// Money for each volt that pieces drop on the way to the fixture, >= 0; where circuits are
    /// taken whole.
    pub volts: Vec<f64>,
    /// Money for each cable that begins at a node, by node, >= 0 (the module `passing`).
    pub passing: Vec<f64>,
    /// `mu`, money per VA that the transformers may not exceed, >= 0.
    pub loss: f64,
    /// `lambda`, what a transformer's fall under load is worth, >= 0.
    pub fall: f64,
}

impl Prices {
    /// All zero: the bound they give is the constant part alone.
    pub(crate) fn zero(relaxation: &Relaxation) -> Self {
        let blocks = Blocks::of(relaxation);
        let rows = relaxation
            .loads
            .iter()
            .map(|load| vec![0.0; blocks.landing + load.landings.len()])
            .collect();
        Self {
            blocks,
            rows,
            copper: vec![0.0; relaxation.loads.len()],
            volts: vec![0.0; relaxation.loads.len()],
            passing: vec![0.0; relaxation.graph.outgoing.len()],
            loss: 0.0,
            fall: 0.0,
        }
    }

    /// The prices of what all fixtures share.
    pub(crate) const fn shared(&self, relaxation: &Relaxation) -> SharedPrices {
        SharedPrices {
            loss: self.loss,
            loss_scale: relaxation.loss_scale,
            fall: self.fall,
        }
    }

    /// Takes other prices of copper. What each fixture offers for cables moves with them, by
    /// the slope of each segment's line.
    pub(crate) fn take_copper(&mut self, copper: &[f64], relaxation: &Relaxation) {
        let from = self.blocks.cable_arc;
        let slopes: Vec<f64> = (0..relaxation.graph.edges.len())
            .map(|edge| relaxation.copper(edge))
            .collect();
        for ((row, t), &new) in self.rows.iter_mut().zip(&mut self.copper).zip(copper) {
            let more = new - *t;
            *t = new;
            let offers = row[from..from + 2 * slopes.len()].chunks_exact_mut(2);
            for (pair, slope) in offers.zip(&slopes) {
                for offer in pair {
                    *offer = (*offer + slope * more).max(0.0);
                }
            }
        }
    }

    /// Takes other prices of copper where the lines have changed as well: what a fixture
    /// offers beside copper goes with the charge for a cable.
    pub(crate) fn recast(&mut self, copper: &[f64], before: &Relaxation, relaxation: &Relaxation) {
        let from = self.blocks.cable_arc;
        for ((row, t), &new) in self.rows.iter_mut().zip(&mut self.copper).zip(copper) {
            let edges = relaxation.graph.edges.len();
            let offers = row[from..from + 2 * edges].chunks_exact_mut(2);
            for (edge, pair) in offers.enumerate() {
                let charge = before.cable_charge(edge);
                let ratio = match charge > 0.0 {
                    true => relaxation.cable_charge(edge) / charge,
                    false => 1.0,
                };
                for offer in pair {
                    let beside = (*offer - before.copper(edge) * *t).max(0.0);
                    *offer = beside * ratio + relaxation.copper(edge) * new;
                }
            }
            *t = new;
        }
    }
}
