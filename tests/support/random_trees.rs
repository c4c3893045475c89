//! Random radial feeders from a seed, in one neutral form that several methods can solve.

use duskwright_solver::electrical::{BusLoad, Feeder};

/// A small generator with a written-down sequence (SplitMix64, public domain by S. Vigna;
/// from memory), so that a seed means the same tree everywhere.
#[derive(Clone, Debug)]
pub struct Draw(u64);

impl Draw {
    /// Starts a sequence.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    /// Evenly between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = (self.next() >> 11) as f64 / (1_u64 << 53) as f64;
        low + share * (high - low)
    }
    /// A whole number below `count` > 0.
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }
}

/// Kinds of load drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Unity power factor, no reactance, exponents in 0..=1.
    Falling,
    /// Unity power factor, no reactance, any exponent up to 4.
    Resistive,
    /// Lagging power factors, reactance, any exponent up to 3.
    Phasor,
}

/// One bus with its branch and load.
#[derive(Clone, Copy, Debug)]
pub struct TreeBus {
    /// Bus that feeds it; 0 is the source.
    pub parent: usize,
    /// Loop resistance, ohm.
    pub resistance_ohm: f64,
    /// Loop reactance, ohm.
    pub reactance_ohm: f64,
    /// Its load, if any.
    pub load: Option<BusLoad>,
}

/// A random tree; bus k of the feeder is `buses[k - 1]`.
#[derive(Clone, Debug)]
pub struct RandomTree {
    /// Buses, each after the one that feeds it.
    pub buses: Vec<TreeBus>,
    /// Source voltage, V.
    pub source_v: f64,
}

impl RandomTree {
    /// Draws a tree of `count` buses behind the source, lightly loaded whatever its size.
    #[must_use]
    pub fn draw(seed: u64, count: usize, kind: Kind) -> Self {
        let mut draw = Draw::new(seed);
        let chainlike = draw.below(3) == 0;
        let scale = 12.0 / (count as f64);
        let buses = (0..count)
            .map(|index| {
                let nearest = if chainlike {
                    index.saturating_sub(2)
                } else {
                    0
                };
                let parent = nearest + draw.below(index - nearest + 1);
                let zero = draw.below(12) == 0;
                let resistance_ohm = if zero { 0.0 } else { draw.between(0.005, 0.3) };
                let reactive = kind == Kind::Phasor && !zero;
                let reactance_ohm = if reactive {
                    draw.between(0.0, 0.05)
                } else {
                    0.0
                };
                let load = (draw.below(4) > 0).then(|| draw_load(&mut draw, kind, scale));
                TreeBus {
                    parent,
                    resistance_ohm,
                    reactance_ohm,
                    load,
                }
            })
            .collect();
        let source_v = draw.between(11.0, 15.5);
        Self { buses, source_v }
    }

    /// The feeder with every load multiplied by `factor`.
    #[must_use]
    pub fn feeder(&self, factor: f64) -> Feeder {
        let mut feeder = Feeder::new();
        for bus in &self.buses {
            let added = feeder.add_bus(bus.parent, bus.resistance_ohm, bus.reactance_ohm);
            if let Some(load) = bus.load {
                feeder.set_load(added, scaled(load, factor));
            }
        }
        feeder
    }
}

/// A load multiplied.
#[must_use]
pub fn scaled(load: BusLoad, factor: f64) -> BusLoad {
    BusLoad {
        real_w: load.real_w * factor,
        reactive_var: load.reactive_var * factor,
        ..load
    }
}

fn draw_load(draw: &mut Draw, kind: Kind, scale: f64) -> BusLoad {
    let exponent = match (kind, draw.below(5)) {
        (_, 0) => 0.0,
        (_, 1) => 1.0,
        (Kind::Falling, _) => draw.between(0.0, 1.0),
        (_, 2) => 2.0,
        (Kind::Resistive, _) => draw.between(0.0, 4.0),
        (Kind::Phasor, _) => draw.between(0.0, 3.0),
    };
    let apparent = draw.between(0.5, 3.0) * scale;
    let power_factor = if kind == Kind::Phasor {
        draw.between(0.5, 1.0)
    } else {
        1.0
    };
    let real_w = apparent * power_factor;
    BusLoad {
        real_w,
        reactive_var: (apparent * apparent - real_w * real_w).max(0.0).sqrt(),
        rated_v: 12.0,
        exponent,
    }
}
