//! A radial feeder as flat arrays. Not a circuit of a plan: no lengths, no
//! gauges, only ohms and load laws.

use super::load::{BusLoad, Polynomial, PowerLaw, power};

/// A radial feeder: bus 0 is the source, every other bus hangs on an earlier one.
///
/// Reusable: after [`Feeder::clear`] a feeder of the same size is built without
/// allocation. It is a tree because [`Feeder::add_bus`] cannot build anything else.
#[derive(Clone, Debug)]
pub struct Feeder {
    pub(super) branches: Vec<Branch>,
    pub(super) loads: Vec<Polynomial>,
    pub(super) power_laws: Vec<PowerLaw>,
    /// Every exponent lies in 0..=1 (so far since `clear`).
    pub(super) falls_monotonically: bool,
    /// Every exponent is 1 or 2 (so far since `clear`): one arithmetic pass is exact.
    pub(super) is_linear: bool,
    /// Some exponent lies between 1 and 2 (since `clear`).
    pub(super) has_concave: bool,
    /// First bus whose branch or load was given out of range since `clear`.
    pub(super) unlawful: Option<usize>,
}

/// The branch that feeds a bus.
#[derive(Clone, Copy, Debug)]
pub(super) struct Branch {
    /// Bus it comes from.
    pub parent: u32,
    /// Loop resistance, ohm.
    pub resistance_ohm: f64,
    /// Loop reactance, ohm.
    pub reactance_ohm: f64,
}

const SOURCE: Branch = Branch {
    parent: 0,
    resistance_ohm: 0.0,
    reactance_ohm: 0.0,
};

impl Default for Feeder {
    fn default() -> Self {
        Self::new()
    }
}

impl Feeder {
    /// A feeder of the source bus alone.
    #[must_use]
    pub fn new() -> Self {
        Self {
            branches: vec![SOURCE],
            loads: vec![Polynomial::default()],
            power_laws: Vec::new(),
            falls_monotonically: true,
            is_linear: true,
            has_concave: false,
            unlawful: None,
        }
    }
    /// Back to the source bus alone; keeps the memory.
    pub fn clear(&mut self) {
        self.branches.truncate(1);
        self.loads.truncate(1);
        self.loads[0] = Polynomial::default();
        self.power_laws.clear();
        self.falls_monotonically = true;
        self.is_linear = true;
        self.has_concave = false;
        self.unlawful = None;
    }
    /// Number of buses, the source included.
    #[must_use]
    pub fn bus_count(&self) -> usize {
        self.branches.len()
    }
    /// Adds a bus behind `parent` through a branch of the given *loop* resistance
    /// and reactance (both conductors), ohm, both finite and >= 0. Returns the new bus.
    ///
    /// Numbers out of range are kept in mind: every solution of this feeder is
    /// then refused with [`super::sweep::NoSolution::BadInput`] until [`Feeder::clear`].
    ///
    /// # Panics
    /// When `parent` is no bus of this feeder.
    pub fn add_bus(&mut self, parent: usize, resistance_ohm: f64, reactance_ohm: f64) -> usize {
        let bus = self.branches.len();
        assert!(parent < bus, "bus {parent} was never added");
        self.branches.push(Branch {
            parent: u32::try_from(parent).expect("feeders stay far below u32::MAX buses"),
            ..SOURCE
        });
        self.loads.push(Polynomial::default());
        self.set_branch(bus, resistance_ohm, reactance_ohm);
        bus
    }
    /// Replaces the impedance of the branch that feeds `bus`; ranges as [`Feeder::add_bus`].
    ///
    /// # Panics
    /// When `bus` is no bus of this feeder.
    pub fn set_branch(&mut self, bus: usize, resistance_ohm: f64, reactance_ohm: f64) {
        if !(in_range(resistance_ohm) && in_range(reactance_ohm)) {
            self.unlawful.get_or_insert(bus);
        }
        let branch = &mut self.branches[bus];
        branch.resistance_ohm = resistance_ohm;
        branch.reactance_ohm = reactance_ohm;
    }
    /// Makes `load` the only load at `bus`.
    ///
    /// # Panics
    /// When `bus` is no bus of this feeder.
    pub fn set_load(&mut self, bus: usize, load: BusLoad) {
        self.loads[bus] = Polynomial::default();
        self.power_laws.retain(|law| law.bus as usize != bus);
        self.add_load(bus, load);
    }
    /// Adds a load to those already at `bus`.
    ///
    /// A load out of range is kept in mind as in [`Feeder::add_bus`].
    ///
    /// # Panics
    /// When `bus` is no bus of this feeder.
    pub fn add_load(&mut self, bus: usize, load: BusLoad) {
        if !load.is_lawful() {
            self.unlawful.get_or_insert(bus);
            return;
        }
        self.falls_monotonically &= load.exponent <= 1.0;
        self.has_concave |= load.exponent > 1.0 && load.exponent < 2.0;
        self.is_linear &= load.exponent == 1.0 || load.exponent == 2.0;
        if [0.0, 1.0, 2.0].contains(&load.exponent) {
            let unit = power(load.rated_v, load.exponent).recip();
            let degree = load.exponent as usize;
            let sum = &mut self.loads[bus];
            sum.apparent[degree] += load.apparent_va() * unit;
            sum.real[degree] += load.real_w * unit;
            sum.reactive[degree] += load.reactive_var * unit;
        } else {
            self.power_laws.push(PowerLaw {
                bus: u32::try_from(bus).expect("feeders stay far below u32::MAX buses"),
                exponent: load.exponent,
                rated_v: load.rated_v,
                apparent_va: load.apparent_va(),
                real_w: load.real_w,
                reactive_var: load.reactive_var,
            });
        }
    }
    /// Bus that feeds `bus`; the source names itself.
    ///
    /// # Panics
    /// When `bus` is no bus of this feeder.
    #[must_use]
    pub fn parent(&self, bus: usize) -> usize {
        self.branches[bus].parent as usize
    }
    /// Becomes `other` with every load multiplied by `factor` >= 0.
    pub fn copy_scaled(&mut self, other: &Self, factor: f64) {
        self.branches.clone_from(&other.branches);
        self.loads.clone_from(&other.loads);
        self.power_laws.clone_from(&other.power_laws);
        self.falls_monotonically = other.falls_monotonically;
        self.is_linear = other.is_linear;
        self.has_concave = other.has_concave;
        self.unlawful = other.unlawful;
        for load in &mut self.loads {
            for terms in [&mut load.apparent, &mut load.real, &mut load.reactive] {
                terms.iter_mut().for_each(|term| *term *= factor);
            }
        }
        for law in &mut self.power_laws {
            law.apparent_va *= factor;
            law.real_w *= factor;
            law.reactive_var *= factor;
        }
    }
}

fn in_range(ohm: f64) -> bool {
    ohm >= 0.0 && ohm.is_finite()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::electrical::{NoSolution, Sweep};

    fn load(exponent: f64) -> BusLoad {
        BusLoad {
            real_w: 12.0,
            reactive_var: 0.0,
            rated_v: 12.0,
            exponent,
        }
    }

    /// Whether it falls monotonically, is linear, has concave currents.
    fn kind(exponents: &[f64]) -> [bool; 3] {
        let mut feeder = Feeder::new();
        for &exponent in exponents {
            let bus = feeder.add_bus(0, 0.1, 0.0);
            feeder.add_load(bus, load(exponent));
        }
        [
            feeder.falls_monotonically,
            feeder.is_linear,
            feeder.has_concave,
        ]
    }

    #[test]
    fn exponents_say_which_method_is_lawful() {
        for (exponents, expected) in [
            (&[][..], [true, true, false]),
            (&[0.0], [true, false, false]),
            (&[0.5], [true, false, false]),
            (&[1.0], [true, true, false]),
            (&[1.5], [false, false, true]),
            (&[2.0], [false, true, false]),
            (&[3.0], [false, false, false]),
            (&[1.0, 2.0], [false, true, false]),
            (&[0.0, 1.0], [true, false, false]),
            (&[2.0, 0.0], [false, false, false]),
            (&[1.5, 2.0], [false, false, true]),
            (&[1.5, 0.0], [false, false, true]),
        ] {
            assert_eq!(kind(exponents), expected, "{exponents:?}");
        }
    }

    #[test]
    fn a_reactance_out_of_range_is_refused_though_the_resistance_is_sound() {
        for reactance in [-0.1, f64::NAN, f64::INFINITY] {
            let mut feeder = Feeder::new();
            feeder.add_bus(0, 0.1, 0.0);
            feeder.add_bus(1, 0.1, reactance);
            let refused = Err(NoSolution::BadInput { bus: 2 });
            assert_eq!(Sweep::new().solve_arithmetic(&feeder, 12.0), refused);
        }
    }
}
