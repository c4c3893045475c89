//! Resistance of conductors: at a temperature, and from metal and size.
//!
//! A catalogue gives each cable its own resistance; the functions from metal and
//! size serve to judge such entries, never to replace them.

use crate::job::Conductor;
use crate::units::{Celsius, Metres, OhmsPerMetre, PerCelsius, SquareMillimetres};

/// Reference temperature of the conductor standards.
pub const REFERENCE: Celsius = Celsius::new(20.0);

/// A conductor metal: volume resistivity and temperature coefficient, both at 20 °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metal {
    /// Resistivity, ohm mm²/m.
    pub resistivity: f64,
    /// Coefficient referred to 20 °C.
    pub coefficient: PerCelsius,
}

/// Annealed copper, 100 % IACS: IEC 60028 (1925), 1/58 ohm mm²/m, 0.00393 /°C.
pub const COPPER: Metal = Metal {
    resistivity: 1.0 / 58.0,
    coefficient: PerCelsius::new(0.003_93),
};

/// Tinned annealed copper at 96.16 % IACS, the value ASTM B33 asks of fine wires
/// (0.28 to 0.51 mm; from memory); coefficient as copper.
pub const TINNED_COPPER: Metal = Metal {
    resistivity: 1.0 / 58.0 / 0.9616,
    coefficient: PerCelsius::new(0.003_93),
};

/// Hard-drawn aluminium, IEC 60889: 0.028264 ohm mm²/m, 0.00403 /°C (from memory).
pub const ALUMINIUM: Metal = Metal {
    resistivity: 0.028_264,
    coefficient: PerCelsius::new(0.004_03),
};

/// Share by which strands are longer than the stranded conductor (lay), usual
/// allowance for ASTM B8 class B (from memory).
pub const LAY_OF_STRANDS: f64 = 0.02;

impl Metal {
    /// Constants of a conductor of this metal at 20 °C: resistivity over area.
    ///
    /// `lay`: share by which the wires are longer than the conductor, 0 for solid. No
    /// reactance. Maximum values of IEC 60228 lie 5 to 16 % above this.
    #[must_use]
    pub fn conductor(self, area: SquareMillimetres, lay: f64) -> Conductor {
        Conductor {
            resistance: OhmsPerMetre::new(self.resistivity / area.value() * (1.0 + lay)),
            at: REFERENCE,
            coefficient: self.coefficient,
            reactance: OhmsPerMetre::ZERO,
        }
    }
}

/// Resistance of one conductor at `at`: `R = R0 [1 + coefficient (at - T0)]`.
///
/// The linear law of NEC Chapter 9 Table 8, note 2, with the coefficient referred to
/// the temperature of the stated resistance. Never negative: where the law would go
/// below zero (far under any weather) it is 0.
#[must_use]
pub fn resistance_at(conductor: &Conductor, at: Celsius) -> OhmsPerMetre {
    let growth = 1.0 + conductor.coefficient.value() * (at - conductor.at).value();
    conductor.resistance * growth.max(0.0)
}

/// Coefficient referred to another temperature: `a1 / [1 + a1 (T2 - T1)]`, the same straight line.
#[must_use]
pub fn coefficient_at(coefficient: PerCelsius, from: Celsius, to: Celsius) -> PerCelsius {
    coefficient / (1.0 + coefficient.value() * (to - from).value())
}

/// An American wire gauge: 36 (0.0050 in) up to 4/0 (0.4600 in).
///
/// By the law of the standard, for any gauge. What a job may name, and its printed areas,
/// is a table of the reader, which is tested against the same law with arithmetic of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Awg(i8);

/// Inches in the diameter of AWG 36, ASTM B258.
const AWG_36_INCH: f64 = 0.005;
/// Ratio of the diameters of AWG 4/0 and AWG 36, ASTM B258.
const AWG_SPAN: f64 = 92.0;
/// Steps between them.
const AWG_STEPS: f64 = 39.0;
/// Metres in an inch, exact.
const METRES_PER_INCH: f64 = 0.0254;

impl Awg {
    /// Makes a gauge number: 0 is 1/0, -1 is 2/0, -3 is 4/0; `None` outside -3..=40.
    #[must_use]
    pub const fn new(number: i8) -> Option<Self> {
        if number >= -3 && number <= 40 {
            Some(Self(number))
        } else {
            None
        }
    }
    /// Diameter of the solid wire: `0.005 in x 92^((36 - n)/39)` (ASTM B258).
    #[must_use]
    pub fn diameter(self) -> Metres {
        let steps = (36.0 - f64::from(self.0)) / AWG_STEPS;
        Metres::new(AWG_36_INCH * METRES_PER_INCH * super::load::power(AWG_SPAN, steps))
    }
    /// Cross-section of the solid wire.
    #[must_use]
    pub fn area(self) -> SquareMillimetres {
        let millimetres = self.diameter().value() * 1e3;
        SquareMillimetres::new(std::f64::consts::FRAC_PI_4 * millimetres * millimetres)
    }
}
