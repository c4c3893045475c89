//! A feeder with one load, for the tests of this room.

use super::{BusLoad, Feeder};

/// A load of a rated voltage of 12 V, W and var.
pub(super) fn load_on_12_v(real_w: f64, reactive_var: f64, exponent: f64) -> BusLoad {
    BusLoad {
        real_w,
        reactive_var,
        rated_v: 12.0,
        exponent,
    }
}

/// One load behind a resistance and a reactance, ohm, at bus 1.
pub(super) fn one_load((resistance, reactance): (f64, f64), load: BusLoad) -> Feeder {
    let mut feeder = Feeder::new();
    let bus = feeder.add_bus(0, resistance, reactance);
    feeder.set_load(bus, load);
    feeder
}
