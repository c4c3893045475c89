//! How far an installation without fault strays from its plan, and a meter from the truth.
//!
//! All are standard uncertainties (one standard deviation), normally distributed. Where a
//! datasheet gives a limit of error instead, a third of it is the usual reading (a
//! rectangular distribution within `a` has `a/sqrt(3)`, JCGM 100:2008, 4.3.7).

use super::circuitry::Circuitry;
use super::point::Quantity;
use rand::{Rng, RngExt};

/// Standard uncertainties; shares are of the value itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertainty {
    /// Voltmeter, share of the reading.
    pub volts_share: f64,
    /// Voltmeter, V.
    pub volts_floor: f64,
    /// Clamp, share of the reading.
    pub amps_share: f64,
    /// Clamp, A.
    pub amps_floor: f64,
    /// Mains-side power meter, share of the reading.
    pub va_share: f64,
    /// Mains-side power meter, VA.
    pub va_floor: f64,
    /// Line voltage, share of nominal.
    pub line_share: f64,
    /// Length of each piece.
    pub length_share: f64,
    /// Load of each fixture.
    pub load_share: f64,
    /// Load of all fixtures of one model together.
    pub model_share: f64,
    /// Conductor temperature, °C.
    pub temperature_c: f64,
}

impl Default for Uncertainty {
    /// Common practice, no source, except the meter: 1 %, and 3 % plus 0.1 A. Line: a
    /// service within 5 % (ANSI C84.1, Range A) is hardly ever at its ends, 2 %.
    fn default() -> Self {
        Self {
            volts_share: 0.01,
            volts_floor: 0.02,
            amps_share: 0.03,
            amps_floor: 0.1,
            va_share: 0.03,
            va_floor: 2.0,
            line_share: 0.02,
            length_share: 0.03,
            load_share: 0.04,
            model_share: 0.03,
            temperature_c: 8.0,
        }
    }
}

impl Uncertainty {
    /// Standard error of the instrument at a reading, in the quantity's unit.
    #[must_use]
    pub fn meter(&self, quantity: Quantity, reading: f64) -> f64 {
        let reading = reading.abs();
        match quantity {
            Quantity::Volts | Quantity::VoltsUnloaded => {
                self.volts_share * reading + self.volts_floor
            }
            Quantity::Amps | Quantity::AmpsCommon => self.amps_share * reading + self.amps_floor,
            Quantity::VoltAmperes => self.va_share * reading + self.va_floor,
            Quantity::Lit | Quantity::Steady | Quantity::Tripped => SEEN_WRONG,
        }
    }
}

/// Standard error that stands for an answer by yes or no that is wrong once in ten
/// thousand: `exp(-1 / (2 s²)) = 0.0001`.
const SEEN_WRONG: f64 = 0.233;

/// One way in which an installation strays, in standard deviations of each kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Stray {
    /// Line.
    pub line: f64,
    /// Temperature.
    pub temperature: f64,
    /// Each pair of wires (piece or lead), by position among them.
    pub lengths: Vec<f64>,
    /// Each load.
    pub loads: Vec<f64>,
    /// Each fixture model, by position in `classes`.
    pub models: Vec<f64>,
}

/// Which loads are of one model, by load; positions count from 0.
#[must_use]
pub fn classes(circuitry: &Circuitry) -> Vec<usize> {
    let mut known = Vec::new();
    let laws = circuitry.loads.iter().map(|load| load.law);
    laws.map(|law| {
        known
            .iter()
            .position(|&other| other == law)
            .unwrap_or_else(|| {
                known.push(law);
                known.len() - 1
            })
    })
    .collect()
}

impl Stray {
    /// None at all.
    #[must_use]
    pub fn none(circuitry: &Circuitry) -> Self {
        let classes = classes(circuitry);
        Self {
            line: 0.0,
            temperature: 0.0,
            lengths: vec![0.0; circuitry.wires.len() / 2],
            loads: vec![0.0; circuitry.loads.len()],
            models: vec![0.0; classes.iter().max().map_or(0, |most| most + 1)],
        }
    }

    /// Drawn at random.
    #[must_use]
    pub fn draw(circuitry: &Circuitry, random: &mut impl Rng) -> Self {
        let mut drawn = Self::none(circuitry);
        drawn.line = normal(random);
        drawn.temperature = normal(random);
        let each = drawn.lengths.iter_mut();
        for value in each.chain(&mut drawn.loads).chain(&mut drawn.models) {
            *value = normal(random);
        }
        drawn
    }

    /// Number of independent ways.
    #[must_use]
    pub fn count(&self) -> usize {
        2 + self.lengths.len() + self.loads.len() + self.models.len()
    }

    /// The one way at a position.
    ///
    /// # Panics
    /// When there is none.
    pub fn way(&mut self, position: usize) -> &mut f64 {
        let (lengths, loads) = (self.lengths.len(), self.loads.len());
        match position {
            0 => &mut self.line,
            1 => &mut self.temperature,
            p if p < 2 + lengths => &mut self.lengths[p - 2],
            p if p < 2 + lengths + loads => &mut self.loads[p - 2 - lengths],
            p => &mut self.models[p - 2 - lengths - loads],
        }
    }

    /// Lets an installation as planned stray.
    pub fn apply(&self, circuitry: &mut Circuitry, by: &Uncertainty) {
        circuitry.line *= positive(1.0 + by.line_share * self.line);
        circuitry.warmer_c += by.temperature_c * self.temperature;
        for (pair, &stray) in circuitry.wires.chunks_mut(2).zip(&self.lengths) {
            for wire in pair {
                let factor = positive(1.0 + by.length_share * stray);
                wire.cable_ohm *= factor;
                wire.reactance_ohm *= factor;
            }
        }
        let classes = classes(circuitry);
        for ((load, &stray), class) in circuitry.loads.iter_mut().zip(&self.loads).zip(classes) {
            let shared = by.model_share * self.models[class];
            let factor = positive(1.0 + by.load_share * stray + shared);
            load.law.real_w *= factor;
            load.law.reactive_var *= factor;
        }
    }
}

/// A factor that no draw, however far out, turns negative.
fn positive(factor: f64) -> f64 {
    factor.max(0.05)
}

/// A standard normal number: G. E. P. Box, M. E. Muller, Ann. Math. Statist. 29 (1958).
pub fn normal(random: &mut impl Rng) -> f64 {
    let (a, b): (f64, f64) = (random.random(), random.random());
    (-2.0 * (1.0 - a).ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}
