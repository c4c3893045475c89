//! Thickening on the currents of the last solution, by volts gained for money spent.

use super::{GaugeFit, KEPT};

/// How far thickening on known currents came.
pub(super) enum Thickened {
    /// The volts predicted suffice; money spent.
    Serves { spent: f64 },
    /// They would cost more than the circuit is worth.
    TooDear,
    /// No gauge is left that helps.
    NothingHelps,
}

impl GaugeFit<'_> {
    /// Thickens pieces until the volts predicted from the present currents
    /// suffice, for less than `most_spent`.
    pub(super) fn thicken_linear(&mut self, source_v: f64, most_spent: f64) -> Thickened {
        let count = self.pieces.len();
        let mut spent = 0.0;
        loop {
            let scratch = &mut *self.scratch;
            scratch.joint_v.clear();
            scratch.short_v.clear();
            scratch.short_v.resize(count, 0.0);
            scratch.short_count.clear();
            scratch.short_count.resize(count, 0.0);
            for piece in 0..count {
                let span = self.pieces[piece];
                let near_v = span
                    .parent
                    .map_or(source_v, |parent| scratch.joint_v[parent as usize]);
                let list = if span.home_run {
                    self.home
                } else {
                    self.branch
                };
                let ohm =
                    list[scratch.choice[piece]].low_ohm_per_m * span.length_m + span.contact_ohm;
                scratch.joint_v.push(near_v - ohm * scratch.amps[piece]);
            }
            let mut any = false;
            for (position, tail) in self.tails.iter().enumerate() {
                let piece = tail.piece as usize;
                let short_v =
                    tail.least_v - (scratch.joint_v[piece] - scratch.lead_drop_v[position]);
                if short_v > 0.0 {
                    any = true;
                    scratch.short_v[piece] = scratch.short_v[piece].max(short_v);
                    scratch.short_count[piece] += 1.0;
                }
            }
            if !any {
                return Thickened::Serves { spent };
            }
            for piece in (0..count).rev() {
                if let Some(parent) = self.pieces[piece].parent {
                    let parent = parent as usize;
                    scratch.short_v[parent] = scratch.short_v[parent].max(scratch.short_v[piece]);
                    scratch.short_count[parent] += scratch.short_count[piece];
                }
            }
            let Some((piece, choice)) = self.best_thickening() else {
                return Thickened::NothingHelps;
            };
            let before = self.cable(piece).price_per_m;
            self.scratch.choice[piece] = choice;
            spent += (self.cable(piece).price_per_m - before) * self.pieces[piece].length_m;
            if spent >= most_spent {
                return Thickened::TooDear;
            }
        }
    }

    /// The thickening with most useful volts per money; ties to the first piece and gauge.
    fn best_thickening(&self) -> Option<(usize, usize)> {
        let mut best: Option<(f64, usize, usize)> = None;
        for piece in 0..self.pieces.len() {
            let (short_v, amps) = (self.scratch.short_v[piece], self.scratch.amps[piece]);
            if short_v <= 0.0 {
                continue;
            }
            let length_m = self.pieces[piece].length_m;
            let now = self.cable(piece);
            for (choice, cable) in self.gauges(piece).iter().enumerate() {
                let gained_v = (now.low_ohm_per_m - cable.low_ohm_per_m) * length_m * amps;
                if gained_v <= 0.0 || cable.ampacity_a + KEPT < amps {
                    continue;
                }
                let useful_v = gained_v.min(short_v) * self.scratch.short_count[piece];
                let spent = ((cable.price_per_m - now.price_per_m) * length_m).max(1e-9);
                let ratio = useful_v / spent;
                if best.is_none_or(|(kept, _, _)| ratio > kept) {
                    best = Some((ratio, piece, choice));
                }
            }
        }
        best.map(|(_, piece, choice)| (piece, choice))
    }
}
