//! Small feeders that several rooms solve.

use duskwright_solver::electrical::{BusLoad, Feeder};

/// A load at unity power factor.
#[must_use]
pub fn unity_load(real_w: f64, rated_v: f64, exponent: f64) -> BusLoad {
    BusLoad {
        real_w,
        reactive_var: 0.0,
        rated_v,
        exponent,
    }
}

/// A run of equal sections of the given loop resistance, an equal load at the end of each.
#[must_use]
pub fn ladder(sections: usize, section_ohm: f64, load: BusLoad) -> Feeder {
    let mut feeder = Feeder::new();
    for section in 0..sections {
        let bus = feeder.add_bus(section, section_ohm, 0.0);
        feeder.set_load(bus, load);
    }
    feeder
}
