//! Small grid gardens on which the textbook formulation can be solved. Prices are invented.

use duskwright_solver::ids::CableId;
use duskwright_solver::ids::NodeId;
use duskwright_solver::job::ContactResistance;
use duskwright_solver::job::{Job, JointKind, LoadExponent, Site, Window, WireSet};
use duskwright_solver::units::{
    Amperes, Hours, Ratio, SquareMillimetres, VoltAmperes, Volts, Watts,
};
use duskwright_tests::build::{
    cable, fixture, lamp, money, node, row, secondary, segment, surface, transformer,
};
use rand::{RngExt as _, SeedableRng as _};

/// Grid step in m and VA of a fixture, by seed: slack, heavy, far.
const LOADS: [(&str, f64, f64); 3] = [
    ("slack", 4.0, 12.0),
    ("heavy", 9.0, 24.0),
    ("far", 15.0, 20.0),
];

/// How a seed loads its job.
pub fn load(seed: u64) -> &'static str {
    LOADS[(seed % 3) as usize].0
}

/// Three nodes for each fixture in a grid; the site stands in a corner.
pub fn grid(fixtures: usize, seed: u64) -> Job {
    let mut random = rand_pcg::Pcg64Mcg::seed_from_u64(1000 * seed + fixtures as u64);
    let (_, step, apparent) = LOADS[(seed % 3) as usize];
    let wide = ((3 * fixtures) as f64).sqrt().round() as u32;
    let deep = (3 * fixtures as u32).div_ceil(wide);
    let mut job = row();
    job.nodes = (0..wide * deep).map(|n| node(&format!("n{n}"))).collect();
    job.segments.clear();
    for n in 0..wide * deep {
        let mut to = |other: u32| {
            let metres = step * random.random_range(0.8..1.2);
            let surface = u32::from(random.random_range(0..3) == 0);
            job.segments.push(segment(n, other, metres, surface));
        };
        if n % wide + 1 < wide {
            to(n + 1);
        }
        if n + wide < wide * deep {
            to(n + wide);
        }
    }
    let mut places: Vec<u32> = (1..wide * deep).collect();
    for at in (1..places.len()).rev() {
        places.swap(at, random.random_range(0..=at));
    }
    places.truncate(fixtures);
    places.sort_unstable();
    job.fixtures = places
        .iter()
        .enumerate()
        .map(|(index, &place)| fixture(&format!("F{index}"), place))
        .collect();
    job.surfaces = vec![surface("bed", "3"), surface("lawn", "6")];
    // IEC 60228 class 2: 13.3, 7.41 and 4.61 ohm/km at 20 °C.
    job.cables = vec![
        cable("1.5mm2", 1.5, 0.0133, "0.8"),
        cable("2.5mm2", 2.5, 0.00741, "1.3"),
        cable("4mm2", 4.0, 0.00461, "2.1"),
    ];
    let mut model = lamp("lamp", CableId(0));
    model.apparent = VoltAmperes::new(apparent);
    model.real = Watts::new(apparent);
    model.exponent = LoadExponent::new(0.0).expect("a lawful exponent");
    model.window = Window::new(Volts::new(11.0), Volts::new(15.0)).expect("a lawful window");
    model.lead = None;
    job.models = vec![model];
    let mut feeding = secondary("X", &[15.0]);
    feeding.breaker = Amperes::new(25.0);
    feeding.taps[0].lugs = 8;
    feeding.commons[0].lugs = 8;
    let mut source = transformer("source", 2000.0, vec![feeding]);
    source.price = money("0");
    source.hours = Hours::new(0.0);
    job.transformers = vec![source];
    job.sites = vec![Site {
        tag: "garage".to_owned(),
        node: NodeId(0),
        cost: money("0"),
        mains: VoltAmperes::new(10_000.0),
        outlets: 1,
        places: 1,
        further: None,
    }];
    job.hubs.clear();
    job.joints = vec![JointKind {
        tag: "splice".to_owned(),
        holds: vec![WireSet {
            slots: vec![SquareMillimetres::new(6.0); 12],
        }],
        price: money("0"),
        hours: Hours::new(0.0),
        contact: ContactResistance::default(),
    }];
    job.rates.waste = Ratio::ZERO;
    job
}
