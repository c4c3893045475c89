//! After the voltages hold: less loss where the transformer is the limit, thinner pieces where it is not.

use super::{GaugeFit, KEPT, MOST_ROUNDS, Solved};

impl GaugeFit<'_> {
    /// Thickens pieces by the least money per watt no longer lost, until the transformer bears
    /// the circuit beside the others; `None` when thickness does not help. (Loads whose power
    /// rises with voltage may take more than the cable saves: a lower tap is for them.)
    pub(super) fn lose_less(&mut self, mut solved: Solved) -> Option<Solved> {
        for _ in 0..MOST_ROUNDS {
            let mut excess_va = solved.va - self.source.most_va;
            while excess_va > 0.0 {
                let (piece, choice, saved_w) = self.best_saving()?;
                self.scratch.choice[piece] = choice;
                excess_va -= saved_w;
            }
            for piece in 0..self.pieces.len() {
                self.set(piece, self.scratch.choice[piece]);
            }
            let fresh = self.solve()?;
            if fresh.good() {
                return Some(fresh);
            }
            if fresh.va >= solved.va || !fresh.holds_but_va() {
                return None;
            }
            solved = fresh;
        }
        None
    }

    /// The thickening that saves most watts per money: piece, gauge, watts.
    pub(super) fn best_saving(&self) -> Option<(usize, usize, f64)> {
        let mut best: Option<(f64, usize, usize, f64)> = None;
        for piece in 0..self.pieces.len() {
            let amps = self.scratch.amps[piece];
            let length_m = self.pieces[piece].length_m;
            let now = self.cable(piece);
            for (choice, cable) in self.gauges(piece).iter().enumerate() {
                let saved_w = (now.low_ohm_per_m - cable.low_ohm_per_m) * length_m * amps * amps;
                if saved_w <= 0.0 || cable.ampacity_a + KEPT < amps {
                    continue;
                }
                let spent = ((cable.price_per_m - now.price_per_m) * length_m).max(1e-9);
                let ratio = saved_w / spent;
                if best.is_none_or(|(kept, ..)| ratio > kept) {
                    best = Some((ratio, piece, choice, saved_w));
                }
            }
        }
        best.map(|(_, piece, choice, saved_w)| (piece, choice, saved_w))
    }

    /// Makes single pieces thinner wherever the exact solution still holds, largest saving first.
    pub(super) fn thin_out(&mut self, mut solved: Solved) -> Solved {
        let mut order = std::mem::take(&mut self.scratch.order);
        order.clear();
        for piece in 0..self.pieces.len() {
            let now = self.cable(piece);
            let saved =
                (now.price_per_m - self.gauges(piece)[0].price_per_m) * self.pieces[piece].length_m;
            if saved > 0.0 {
                order.push((piece, saved));
            }
        }
        order.sort_by(|x, y| y.1.total_cmp(&x.1).then(x.0.cmp(&y.0)));
        for &(piece, _) in &order {
            let kept = self.scratch.choice[piece];
            let amps = self.scratch.amps[piece];
            for choice in 0..kept {
                let (thin, now) = (self.gauges(piece)[choice], *self.cable(piece));
                let lost_v =
                    (thin.low_ohm_per_m - now.low_ohm_per_m) * self.pieces[piece].length_m * amps;
                if thin.ampacity_a + KEPT < amps || lost_v * 0.98 > self.slack_below(piece) {
                    continue;
                }
                self.set(piece, choice);
                if let Some(better) = self.solve().filter(|solved| solved.good()) {
                    solved = better;
                    break;
                }
                self.set(piece, kept);
                if let Some(restored) = self.solve() {
                    solved = restored;
                }
            }
        }
        self.scratch.order = order;
        solved
    }

    /// Least margin over the fixtures fed through a piece, V.
    pub(super) fn slack_below(&self, piece: usize) -> f64 {
        let mut slack_v = f64::INFINITY;
        for (tail, volts) in self.tails.iter().zip(&self.scratch.tail_v) {
            let mut here = Some(tail.piece);
            while let Some(at) = here {
                if at as usize == piece {
                    slack_v = slack_v.min(volts - tail.least_v);
                    break;
                }
                here = self.pieces[at as usize].parent;
            }
        }
        slack_v
    }
}
