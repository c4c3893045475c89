//! The catalogue of the generated jobs. Every price is invented.
//!
//! Resistances: NEC Chapter 9 Table 8, uncoated stranded copper, 75 °C, ohm per
//! 1000 ft (AWG 18 to 8), coefficient 0.00323 referred to 75 °C (its note 2).

use duskwright_solver::ids::CableId;
use duskwright_solver::job::*;
use duskwright_solver::units::*;
use rust_decimal::{Decimal, dec};

/// Money from a decimal literal.
#[must_use]
pub fn money(amount: Decimal) -> Money {
    Money::new(amount)
}

/// (tag, area mm², ohm/kft, price/ft, ampacity A, home run, branch).
#[expect(
    clippy::approx_constant,
    reason = "3.14 ohm per 1000 ft is the table's value for AWG 14"
)]
const CABLES: [(&str, f64, f64, Decimal, f64, bool, bool); 6] = [
    ("18/2", 0.823, 7.95, dec!(0.22), 10.0, false, false),
    ("16/2", 1.309, 4.99, dec!(0.34), 13.0, true, true),
    ("14/2", 2.082, 3.14, dec!(0.49), 15.0, true, true),
    ("12/2", 3.308, 1.98, dec!(0.74), 20.0, true, true),
    ("10/2", 5.261, 1.24, dec!(1.18), 30.0, true, true),
    ("8/2", 8.367, 0.778, dec!(1.95), 40.0, true, true),
];

/// Cables from AWG 18 (leads only) to AWG 8.
#[must_use]
pub fn cables() -> Vec<Cable> {
    let feet = |length: i64| GridSteps(length * 10);
    CABLES
        .iter()
        .map(
            |&(tag, area, ohm_per_kft, price, ampacity, home_run, branch)| Cable {
                tag: tag.to_owned(),
                gauge: format!("{} AWG", tag.trim_end_matches("/2")),
                size: SquareMillimetres::new(area),
                outer: SquareMillimetres::new(12.0 + 6.0 * area),
                conductor: Conductor {
                    resistance: OhmsPerMetre::new(ohm_per_kft / 304.8),
                    at: Celsius::new(75.0),
                    coefficient: PerCelsius::new(0.00323),
                    reactance: OhmsPerMetre::new(0.054 / 304.8),
                },
                price: (home_run || branch).then_some(CablePrice {
                    per_unit: money(price),
                }),
                ampacity: Amperes::new(ampacity),
                allowed: CableUse {
                    home_run,
                    branch,
                    lead: !home_run,
                },
                spools: vec![
                    Spool {
                        length: feet(250),
                        price: money(price * dec!(250)),
                    },
                    Spool {
                        length: feet(500),
                        price: money(price * dec!(480)),
                    },
                ],
                stock: Vec::new(),
            },
        )
        .collect()
}

fn model(
    tag: &str,
    real_w: f64,
    power_factor: f64,
    exponent: f64,
    window: (f64, f64),
    lead_ft: f64,
) -> FixtureModel {
    FixtureModel {
        tag: tag.to_owned(),
        apparent: VoltAmperes::new(real_w / power_factor),
        real: Watts::new(real_w),
        power_factor_assumed: false,
        rated: Volts::new(12.0),
        exponent: LoadExponent::new(exponent).expect("the table holds lawful exponents"),
        window: Window::new(Volts::new(window.0), Volts::new(window.1))
            .expect("the table holds lawful windows"),
        lead: Some(Lead {
            cable: CableId(0),
            length: UnitSystem::Us.to_metres(lead_ft),
        }),
        price: money(dec!(95)),
        hours: Hours::new(0.4),
    }
}

/// Fixture models; `heavy` jobs burn more and bear less.
#[must_use]
pub fn models(heavy: bool) -> Vec<FixtureModel> {
    let (times, least) = if heavy { (2.2, 10.8) } else { (1.0, 9.0) };
    vec![
        model("path light", 3.0 * times, 0.62, 0.0, (least, 15.0), 3.0),
        model("spot", 5.5 * times, 0.85, 0.0, (least, 15.0), 25.0),
        model("wide flood", 11.0 * times, 0.95, 0.0, (least, 15.0), 25.0),
        model("step light", 2.0 * times, 0.7, 1.0, (least, 15.0), 6.0),
        model("lamp spot", 20.0, 1.0, 1.6, (10.5, 12.9), 10.0),
    ]
}

/// Transformer models: 150 VA and 300 VA with one secondary, 600 VA with two.
#[must_use]
pub fn transformers() -> Vec<TransformerModel> {
    let size = |smallest: f64, largest: f64| SizeRange {
        smallest: SquareMillimetres::new(smallest),
        largest: SquareMillimetres::new(largest),
    };
    let secondary = |tag: &str, breaker: f64, lugs: u32| Secondary {
        tag: tag.to_owned(),
        taps: [12.0, 13.0, 14.0, 15.0]
            .iter()
            .map(|&volts| Tap {
                tag: format!("{volts:.0} V"),
                volts: Volts::new(volts),
                lugs,
                takes: size(1.0, 8.5),
            })
            .collect(),
        commons: vec![Common {
            tag: "C".to_owned(),
            lugs: 2 * lugs,
            takes: size(1.0, 8.5),
        }],
        breaker: Amperes::new(breaker),
        continuous_fraction: 0.8,
    };
    let transformer =
        |tag: &str, rated: f64, price: Decimal, secondaries: Vec<Secondary>| TransformerModel {
            tag: tag.to_owned(),
            rated: VoltAmperes::new(rated),
            price: money(price),
            hours: Hours::new(1.5),
            no_load_loss: Watts::new(rated * 0.02),
            efficiency: 0.92,
            regulation: 0.03,
            secondaries,
        };
    vec![
        transformer("150 VA", 150.0, dec!(185), vec![secondary("A", 15.0, 3)]),
        transformer("300 VA", 300.0, dec!(290), vec![secondary("A", 25.0, 4)]),
        transformer(
            "600 VA",
            600.0,
            dec!(520),
            vec![secondary("A", 25.0, 4), secondary("B", 25.0, 4)],
        ),
    ]
}

/// One hub kind of six ports.
#[must_use]
pub fn hubs() -> Vec<HubKind> {
    let range = |largest: f64| SizeRange {
        smallest: SquareMillimetres::new(0.5),
        largest: SquareMillimetres::new(largest),
    };
    vec![HubKind {
        tag: "six-way hub".to_owned(),
        ports: vec![PortGroup {
            count: 6,
            takes: range(3.4),
        }],
        inlet: range(8.5),
        most_in_use: 6,
        price: money(dec!(24)),
        hours: Hours::new(0.3),
        contact: ContactResistance(Ohms::new(0.001)),
    }]
}

/// A small and a large splice kind.
#[must_use]
pub fn joints() -> Vec<JointKind> {
    let set = |slots: &[f64]| WireSet {
        slots: slots
            .iter()
            .map(|&size| SquareMillimetres::new(size))
            .collect(),
    };
    let joint = |tag: &str, holds: Vec<WireSet>, price: Decimal, hours: f64| JointKind {
        tag: tag.to_owned(),
        holds,
        price: money(price),
        hours: Hours::new(hours),
        contact: ContactResistance(Ohms::new(0.001)),
    };
    vec![
        joint(
            "small splice",
            vec![set(&[3.4, 3.4, 1.4]), set(&[2.1, 2.1, 2.1, 1.4])],
            dec!(3.2),
            0.12,
        ),
        joint(
            "large splice",
            vec![set(&[8.5, 8.5, 3.4, 1.4]), set(&[3.4, 3.4, 3.4, 1.4, 1.4])],
            dec!(6.5),
            0.18,
        ),
    ]
}

/// Surfaces: bed, lawn, gravel, wall, bore.
#[must_use]
pub fn surfaces() -> Vec<Surface> {
    let work = |hours_per_unit: f64, money_per_unit: Decimal| SurfaceWork {
        hours_per_unit,
        money_per_unit: money(money_per_unit),
    };
    let surface = |tag: &str, open: SurfaceWork, fixed: Decimal, joints: bool| Surface {
        tag: tag.to_owned(),
        open,
        open_fixed: money(fixed),
        per_cable: work(0.002, Decimal::ZERO),
        beyond_limit: None,
        joints,
    };
    vec![
        surface("bed", work(0.012, Decimal::ZERO), Decimal::ZERO, true),
        surface("lawn", work(0.022, Decimal::ZERO), Decimal::ZERO, false),
        surface("gravel", work(0.035, Decimal::ZERO), Decimal::ZERO, false),
        Surface {
            per_cable: work(0.015, Decimal::ZERO),
            ..surface("wall", work(0.0, Decimal::ZERO), Decimal::ZERO, true)
        },
        surface("bore", work(0.01, dec!(9)), dec!(60), false),
    ]
}
