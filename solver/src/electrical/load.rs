//! The load law of one bus, and its split into constant power, constant
//! current and constant conductance.

/// Load at one bus: `S(V) = (real_w + j reactive_var) (|V| / rated_v)^exponent`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BusLoad {
    /// Real power at rated voltage, W, >= 0.
    pub real_w: f64,
    /// Reactive power at rated voltage, var, positive when lagging.
    pub reactive_var: f64,
    /// Rated voltage, V, > 0.
    pub rated_v: f64,
    /// Exponent `n >= 0`: 0 constant power, 1 constant current, 2 constant resistance.
    pub exponent: f64,
}

impl BusLoad {
    /// Apparent power at rated voltage, VA.
    #[must_use]
    pub fn apparent_va(&self) -> f64 {
        self.real_w.hypot(self.reactive_var)
    }
    /// Apparent power at a terminal voltage, VA; `volts` >= 0.
    #[must_use]
    pub fn apparent_va_at(&self, volts: f64) -> f64 {
        self.apparent_va() * power(volts / self.rated_v, self.exponent)
    }
    /// Whether every number is finite and in range.
    #[must_use]
    pub fn is_lawful(&self) -> bool {
        self.real_w >= 0.0
            && self.real_w.is_finite()
            && self.reactive_var.is_finite()
            && self.rated_v > 0.0
            && self.rated_v.is_finite()
            && self.exponent >= 0.0
            && self.exponent.is_finite()
    }
}

/// `base^exponent`, exact products for the exponents 0, 1 and 2.
///
/// The one place of the electrical room that calls the platform's power function.
#[must_use]
pub(crate) fn power(base: f64, exponent: f64) -> f64 {
    if exponent == 0.0 {
        1.0
    } else if exponent == 1.0 {
        base
    } else if exponent == 2.0 {
        base * base
    } else {
        base.powf(exponent)
    }
}

/// Sum of the whole-number laws of one bus: `S(V) = power + current |V| + conductance |V|²`,
/// once as complex power and once as apparent power at unity power factor.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Polynomial {
    /// Apparent: VA, A, S.
    pub apparent: [f64; 3],
    /// Real: W, A, S.
    pub real: [f64; 3],
    /// Reactive: var, A, S.
    pub reactive: [f64; 3],
}

/// A law whose exponent is none of 0, 1, 2: `S(V) = S_r (|V| / rated_v)^exponent`.
#[derive(Clone, Copy, Debug)]
pub(super) struct PowerLaw {
    /// Its bus.
    pub bus: u32,
    /// The exponent.
    pub exponent: f64,
    /// Rated voltage, V.
    pub rated_v: f64,
    /// Apparent power at rated voltage, VA.
    pub apparent_va: f64,
    /// Real power at rated voltage, W.
    pub real_w: f64,
    /// Reactive power at rated voltage, var.
    pub reactive_var: f64,
}

impl PowerLaw {
    /// Whether the current, proportional to `V^(n-1)`, is a concave rising function of voltage.
    pub(super) fn is_concave(&self) -> bool {
        self.exponent > 1.0 && self.exponent < 2.0
    }
    /// Current drawn at unity power factor and the apparent power, A; `volts` > 0.
    pub(super) fn amps(&self, volts: f64) -> f64 {
        self.apparent_va / self.rated_v * power(volts / self.rated_v, self.exponent - 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_number_out_of_range_makes_a_load_unlawful() {
        let sound = BusLoad {
            real_w: 10.0,
            reactive_var: -4.0,
            rated_v: 12.0,
            exponent: 1.5,
        };
        assert!(sound.is_lawful());
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for field in 0..4 {
                let mut load = sound;
                *[
                    &mut load.real_w,
                    &mut load.reactive_var,
                    &mut load.rated_v,
                    &mut load.exponent,
                ][field] = bad;
                assert!(!load.is_lawful(), "{load:?}");
            }
        }
        let real_w = -1.0;
        assert!(!BusLoad { real_w, ..sound }.is_lawful());
        for rated_v in [0.0, -12.0] {
            assert!(!BusLoad { rated_v, ..sound }.is_lawful());
        }
        let exponent = -0.5;
        assert!(!BusLoad { exponent, ..sound }.is_lawful());
        let idle = BusLoad {
            real_w: 0.0,
            exponent: 0.0,
            ..sound
        };
        assert!(idle.is_lawful());
    }

    /// 30 W and 40 var are 50 VA; at half the rated voltage a half to the power of the exponent
    /// is left.
    #[test]
    fn apparent_power_follows_the_exponent() {
        for (exponent, half) in [(0.0, 50.0), (1.0, 25.0), (2.0, 12.5), (3.0, 6.25)] {
            let load = BusLoad {
                real_w: 30.0,
                reactive_var: -40.0,
                rated_v: 12.0,
                exponent,
            };
            assert_eq!(load.apparent_va(), 50.0);
            assert_eq!(load.apparent_va_at(6.0), half, "{exponent}");
            assert_eq!(load.apparent_va_at(12.0), 50.0, "{exponent}");
        }
        // The root of 16, which the platform's power function gives.
        assert!((power(16.0, 0.5) - 4.0).abs() < 1e-14);
        assert_eq!(
            [0.0, 1.0, 2.0].map(|exponent| power(3.0, exponent)),
            [1.0, 3.0, 9.0]
        );
    }

    /// 48 VA at 12 V are 4 A; at 3 V, a quarter, `4 * 0.25^(n - 1)`.
    #[test]
    fn the_current_of_a_power_law_and_whether_it_is_concave() {
        let law = |exponent| PowerLaw {
            bus: 0,
            exponent,
            rated_v: 12.0,
            apparent_va: 48.0,
            real_w: 48.0,
            reactive_var: 0.0,
        };
        for (exponent, amps, concave) in [
            (0.5, 8.0, false),
            (1.0, 4.0, false),
            (1.5, 2.0, true),
            (2.0, 1.0, false),
            (2.5, 0.5, false),
        ] {
            assert!((law(exponent).amps(3.0) - amps).abs() < 1e-14, "{exponent}");
            assert_eq!(law(exponent).is_concave(), concave, "{exponent}");
        }
    }
}
