//! The phasor sweep: reactance and power factor count. Same two halves as the
//! arithmetic sweep, with 2x2 real blocks in place of numbers.
//!
//! A load current `I = conj(S(V) / V)` with `S = s |V|^n` answers to a change of
//! voltage through `dI = A dV + B conj(dV)`, `A = y n / 2`, `B = y (n - 2) / 2 (V/|V|)²`,
//! `y = conj(s) |V|^(n-2)`. It is not analytic, so its slope is a real 2x2 block.
//! Newton from the unloaded voltages finds the operating point of ordinary feeders
//! in three to five passes. A result is taken as the operating point only if every pivot
//! block of the elimination has a positive determinant, which is so at the unloaded
//! feeder and first fails at the fold; otherwise the loads are raised from zero along the
//! branch that grows out of the unloaded feeder (see [`super::continuation`]).

use super::continuation::follow_branch;
use super::feeder::Feeder;
use super::load::power;
use super::sweep::{NoSolution, exhaust, failure, is_converged};

/// Newton passes allowed for one load level.
const PASSES_PER_LEVEL: u32 = 30;
/// Next step by which a turning phasor may still move, as a share of the source voltage.
const TURNED: f64 = 1e-12;
/// A complex number: voltage or current.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Phasor {
    pub re: f64,
    pub im: f64,
}

impl Phasor {
    pub(super) fn abs(self) -> f64 {
        self.re.hypot(self.im)
    }
    fn squared(self) -> f64 {
        self.re * self.re + self.im * self.im
    }
    pub(super) fn angle(self) -> f64 {
        self.im.atan2(self.re)
    }
    fn plus(self, other: Self) -> Self {
        Self {
            re: self.re + other.re,
            im: self.im + other.im,
        }
    }
    fn minus(self, other: Self) -> Self {
        Self {
            re: self.re - other.re,
            im: self.im - other.im,
        }
    }
    fn times(self, other: Self) -> Self {
        Self {
            re: self.re * other.re - self.im * other.im,
            im: self.re * other.im + self.im * other.re,
        }
    }
    fn scale(self, factor: f64) -> Self {
        Self {
            re: self.re * factor,
            im: self.im * factor,
        }
    }
}

/// A real 2x2 block acting on (real, imaginary).
#[derive(Clone, Copy, Debug, Default)]
struct Block {
    a: f64,
    b: f64,
    c: f64,
    d: f64,
}

impl Block {
    /// `dV -> y dV + z conj(dV)`.
    fn widely_linear(y: Phasor, z: Phasor) -> Self {
        Self {
            a: y.re + z.re,
            b: z.im - y.im,
            c: y.im + z.im,
            d: y.re - z.re,
        }
    }
    fn plus(self, other: Self) -> Self {
        Self {
            a: self.a + other.a,
            b: self.b + other.b,
            c: self.c + other.c,
            d: self.d + other.d,
        }
    }
    fn times(self, other: Self) -> Self {
        Self {
            a: self.a * other.a + self.b * other.c,
            b: self.a * other.b + self.b * other.d,
            c: self.c * other.a + self.d * other.c,
            d: self.c * other.b + self.d * other.d,
        }
    }
    fn apply(self, v: Phasor) -> Phasor {
        Phasor {
            re: self.a * v.re + self.b * v.im,
            im: self.c * v.re + self.d * v.im,
        }
    }
    fn determinant(self) -> f64 {
        self.a * self.d - self.b * self.c
    }
    fn inverse(self, determinant: f64) -> Self {
        let scale = determinant.recip();
        Self {
            a: self.d * scale,
            b: -self.b * scale,
            c: -self.c * scale,
            d: self.a * scale,
        }
    }
}

/// What a bus carries through a phasor pass.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PhasorBus {
    /// Voltage, V.
    pub volts: Phasor,
    amps: Phasor,
    siemens: Block,
    share: Block,
    drop: Phasor,
}

impl PhasorBus {
    /// Current of everything at and below the bus, A.
    pub(super) fn branch_amps(&self) -> Phasor {
        self.amps.plus(self.siemens.apply(self.volts))
    }
    /// Power of everything at and below the bus, W and var.
    pub(super) fn power(&self) -> (f64, f64) {
        let amps = self.branch_amps();
        (
            self.volts.re * amps.re + self.volts.im * amps.im,
            self.volts.im * amps.re - self.volts.re * amps.im,
        )
    }
    /// Adds the Norton equivalent of `S(V) = (real + j reactive) magnitude^(n-2) |V|²`.
    fn add(&mut self, conductance: Phasor, exponent: f64, direction_squared: Phasor) {
        let z = conductance
            .scale(0.5 * (exponent - 2.0))
            .times(direction_squared);
        self.siemens = self
            .siemens
            .plus(Block::widely_linear(conductance.scale(0.5 * exponent), z));
        let current = conductance.times(self.volts);
        self.amps = self.amps.plus(current.scale(2.0 - exponent));
    }
}

/// Solves `feeder` from the unloaded voltages; returns the passes made.
pub(super) fn solve(
    buses: &mut Vec<PhasorBus>,
    scaled: &mut Feeder,
    feeder: &Feeder,
    source_v: f64,
) -> Result<u32, NoSolution> {
    flatten(buses, feeder.bus_count(), source_v);
    if let Ok(passes) = settle(buses, feeder, source_v, Stride::FromUnloaded) {
        return Ok(passes);
    }
    flatten(buses, feeder.bus_count(), source_v);
    follow_branch(buses, scaled, feeder, |buses, feeder| {
        settle(buses, feeder, source_v, Stride::AlongBranch)
    })
}

/// Which steps are lawful.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stride {
    /// Any that stay in the half plane of the source.
    FromUnloaded,
    /// Up to half the voltage of a bus: a longer one may leap to another branch. Deep sags
    /// turn a phasor by more than a right angle, so its half plane says nothing here.
    AlongBranch,
}

impl Stride {
    fn allows(self, before: Phasor, after: Phasor, moved: Phasor) -> bool {
        match self {
            Self::FromUnloaded => after.re > 0.0,
            Self::AlongBranch => 4.0 * moved.squared() <= before.squared(),
        }
    }
}

fn flatten(buses: &mut Vec<PhasorBus>, count: usize, source_v: f64) {
    let flat = PhasorBus {
        volts: Phasor {
            re: source_v,
            im: 0.0,
        },
        ..PhasorBus::default()
    };
    buses.clear();
    buses.resize(count, flat);
}

/// Newton passes from the voltages in `buses`; returns how many.
///
/// Near zero voltage the direction of a phasor turns fast: the next step is then about
/// `step² / |V|`, whatever the last two steps say, and must be settled as well.
fn settle(
    buses: &mut [PhasorBus],
    feeder: &Feeder,
    source_v: f64,
    stride: Stride,
) -> Result<u32, NoSolution> {
    let mut last = f64::INFINITY;
    for count in 1..=PASSES_PER_LEVEL {
        let (step, lowest_v) = pass(buses, feeder, stride)?;
        let turned = step * step <= TURNED * lowest_v * source_v;
        if turned && is_converged(step, last, source_v) {
            let again = || pass(buses, feeder, stride).map(|(step, _)| step);
            return Ok(count + exhaust(lowest_v, source_v, step, again)?);
        }
        last = step;
    }
    Err(NoSolution::PassLimit {
        passes: PASSES_PER_LEVEL,
    })
}

fn linearise(buses: &mut [PhasorBus], feeder: &Feeder) {
    for (bus, load) in buses.iter_mut().zip(&feeder.loads) {
        bus.amps = Phasor::default();
        bus.siemens = Block::default();
        let squared = bus.volts.squared();
        let direction_squared = bus.volts.times(bus.volts).scale(squared.recip());
        let per_squared = [squared.recip(), squared.sqrt().recip(), 1.0];
        for (degree, per) in per_squared.into_iter().enumerate() {
            let (real, reactive) = (load.real[degree], load.reactive[degree]);
            if real != 0.0 || reactive != 0.0 {
                let conductance = Phasor {
                    re: real * per,
                    im: -reactive * per,
                };
                bus.add(conductance, degree as f64, direction_squared);
            }
        }
    }
    for law in &feeder.power_laws {
        let bus = &mut buses[law.bus as usize];
        let magnitude = bus.volts.abs();
        let per = power(magnitude / law.rated_v, law.exponent) / (magnitude * magnitude);
        let conductance = Phasor {
            re: law.real_w * per,
            im: -law.reactive_var * per,
        };
        let unit = bus.volts.scale(magnitude.recip());
        bus.add(conductance, law.exponent, unit.times(unit));
    }
}

/// One backward and one forward half; returns the largest change of a voltage and the lowest
/// voltage, V.
fn pass(
    buses: &mut [PhasorBus],
    feeder: &Feeder,
    stride: Stride,
) -> Result<(f64, f64), NoSolution> {
    linearise(buses, feeder);
    for (index, branch) in feeder.branches.iter().enumerate().skip(1).rev() {
        let bus = buses[index];
        let (r, x) = (branch.resistance_ohm, branch.reactance_ohm);
        let impedance = Block {
            a: r,
            b: -x,
            c: x,
            d: r,
        };
        let mut pivot = impedance.times(bus.siemens);
        pivot.a += 1.0;
        pivot.d += 1.0;
        let determinant = pivot.determinant();
        if determinant.is_nan() || determinant <= 0.0 {
            return Err(failure(index, determinant));
        }
        let share = pivot.inverse(determinant);
        let drop = share.apply(impedance.apply(bus.amps));
        buses[index].share = share;
        buses[index].drop = drop;
        let parent = &mut buses[branch.parent as usize];
        parent.amps = parent.amps.plus(bus.amps).minus(bus.siemens.apply(drop));
        parent.siemens = parent.siemens.plus(bus.siemens.times(share));
    }
    let mut largest_step: f64 = 0.0;
    let mut lowest_squared = f64::INFINITY;
    for (index, branch) in feeder.branches.iter().enumerate().skip(1) {
        let parent_v = buses[branch.parent as usize].volts;
        let bus = &mut buses[index];
        let volts = bus.share.apply(parent_v).minus(bus.drop);
        let moved = volts.minus(bus.volts);
        let step = moved.re.abs() + moved.im.abs();
        if volts.re.is_nan() || !stride.allows(bus.volts, volts, moved) {
            return Err(failure(index, volts.re));
        }
        largest_step = largest_step.max(step);
        lowest_squared = lowest_squared.min(volts.squared());
        bus.volts = volts;
    }
    Ok((largest_step, lowest_squared.sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 3 + 4j V and 1 - 2j A: (3 + 4j) (1 + 2j) = -5 + 10j.
    #[test]
    fn power_is_voltage_times_the_conjugate_of_current_at_any_angle() {
        let bus = PhasorBus {
            volts: Phasor { re: 3.0, im: 4.0 },
            amps: Phasor { re: 1.0, im: -2.0 },
            ..PhasorBus::default()
        };
        assert_eq!(bus.power(), (-5.0, 10.0));
    }

    #[test]
    fn strides_keep_to_the_half_plane_or_to_half_the_voltage() {
        let at = |re, im| Phasor { re, im };
        let allows = |stride: Stride, before: Phasor, after: Phasor| {
            stride.allows(before, after, after.minus(before))
        };
        let unloaded = at(12.0, 0.0);
        assert!(allows(Stride::FromUnloaded, unloaded, at(0.1, -11.0)));
        assert!(!allows(Stride::FromUnloaded, unloaded, at(0.0, -11.0)));
        assert!(!allows(Stride::FromUnloaded, unloaded, at(-0.1, 0.0)));
        // 5 V long, beyond a right angle from the source: 2.5 V any way.
        let sagged = at(-3.0, 4.0);
        assert!(allows(Stride::AlongBranch, sagged, at(-4.5, 6.0)));
        assert!(!allows(Stride::AlongBranch, sagged, at(-4.6, 6.0)));
        assert!(!allows(Stride::AlongBranch, sagged, at(3.0, 4.0)));
    }
}
