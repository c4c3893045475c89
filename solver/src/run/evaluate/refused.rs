//! What the taps on which a circuit was refused say of the other taps.

use crate::job::{SizeRange, Tap};
use crate::run::context::Context;
use crate::run::gauge::Refused;
use crate::run::shape::Shape;

/// Taps on which a circuit was refused, and what that says of the others with the same lugs.
pub(super) struct RefusedTaps {
    /// Volts and lugs of the lowest tap on which a fixture stood too high.
    too_high: Option<(f64, SizeRange)>,
    /// Volts and lugs of the highest tap on which a lower one would be worse.
    too_low: Option<(f64, SizeRange)>,
    /// Whether every load is of constant power: it draws more current the lower the voltage.
    constant_power: bool,
}

impl RefusedTaps {
    /// None yet, for a circuit of this shape.
    pub(super) fn new(ctx: &Context<'_>, shape: &Shape) -> Self {
        let constant = |lead: &crate::plan::LeadRun| {
            let load = &ctx.fixtures[lead.fixture.index()].load;
            load.exponent == 0.0
        };
        Self {
            too_high: None,
            too_low: None,
            constant_power: shape.leads.iter().all(constant),
        }
    }

    /// One more, and why.
    pub(super) fn add(&mut self, tap: &Tap, why: Refused) {
        let volts = tap.volts.value();
        match why {
            Refused::TooHigh => self.too_high = Some((volts, tap.takes)),
            Refused::TooLow | Refused::TooDear => self.too_low = Some((volts, tap.takes)),
            Refused::TooMuch if self.constant_power => self.too_low = Some((volts, tap.takes)),
            Refused::TooMuch | Refused::NothingFits => {}
        }
    }

    /// Whether a tap cannot do where those tried did not.
    pub(super) fn rule_out(&self, tap: &Tap) -> bool {
        let volts = tap.volts.value();
        let above = |(high, takes)| volts > high && takes == tap.takes;
        let below = |(low, takes)| volts < low && takes == tap.takes;
        self.too_high.is_some_and(above) || self.too_low.is_some_and(below)
    }
}

#[cfg(test)]
mod tests {
    use super::RefusedTaps;
    use crate::job::{SizeRange, Tap};
    use crate::run::gauge::Refused;
    use crate::units::{SquareMillimetres, Volts};

    fn tap(volts: f64, largest_mm2: f64) -> Tap {
        Tap {
            tag: volts.to_string(),
            volts: Volts::new(volts),
            lugs: 1,
            takes: SizeRange {
                smallest: SquareMillimetres::ZERO,
                largest: SquareMillimetres::new(largest_mm2),
            },
        }
    }

    fn ruled_out(why: Refused, constant_power: bool) -> [bool; 4] {
        let mut refused = RefusedTaps {
            too_high: None,
            too_low: None,
            constant_power,
        };
        refused.add(&tap(13.0, 6.0), why);
        let others = [
            tap(12.0, 6.0),
            tap(13.0, 6.0),
            tap(14.0, 6.0),
            tap(12.0, 10.0),
        ];
        others.map(|other| refused.rule_out(&other))
    }

    #[test]
    fn a_tap_too_high_rules_out_higher_ones_and_one_too_low_lower_ones_with_the_same_lugs() {
        let [lower, higher, none] = [
            [true, false, false, false],
            [false, false, true, false],
            [false; 4],
        ];
        for constant_power in [true, false] {
            assert_eq!(ruled_out(Refused::TooHigh, constant_power), higher);
            assert_eq!(ruled_out(Refused::TooLow, constant_power), lower);
            assert_eq!(ruled_out(Refused::TooDear, constant_power), lower);
            assert_eq!(ruled_out(Refused::NothingFits, constant_power), none);
        }
        // Lamps whose power falls with the voltage may do on a lower tap.
        assert_eq!(ruled_out(Refused::TooMuch, true), lower);
        assert_eq!(ruled_out(Refused::TooMuch, false), none);
    }
}
