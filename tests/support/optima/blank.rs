//! A job in which nothing costs anything yet.

use crate::build::{no_bid, node, plain_rules, up_to};
use duskwright_solver::ids::{ModelId, NodeId, SurfaceId};
use duskwright_solver::job::*;
use duskwright_solver::units::*;
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

/// Current of one unit of demand, A.
pub(super) const UNIT_A: f64 = 0.01;

/// Money from a float, to the hundredth of a cent.
pub(super) fn amount(value: f64) -> Money {
    Money::new(
        Decimal::from_f64(value)
            .expect("a finite amount")
            .round_dp(4),
    )
}

/// A cable that carries so many units of demand, at a price per metre.
pub(super) fn cable(tag: &str, units: f64, per_metre: f64) -> Cable {
    Cable {
        tag: tag.to_owned(),
        gauge: tag.to_owned(),
        size: SquareMillimetres::new(1.0),
        outer: SquareMillimetres::new(1.0),
        conductor: Conductor {
            resistance: OhmsPerMetre::new(1e-12),
            at: Celsius::new(20.0),
            coefficient: PerCelsius::ZERO,
            reactance: OhmsPerMetre::ZERO,
        },
        price: Some(CablePrice {
            per_unit: amount(per_metre),
        }),
        ampacity: Amperes::new(units * UNIT_A),
        allowed: CableUse {
            home_run: true,
            branch: true,
            lead: false,
        },
        spools: Vec::new(),
        stock: Vec::new(),
    }
}

/// A fixture model of so many units of demand, wired to its own terminals.
pub(super) fn model(demand: f64) -> FixtureModel {
    let watts = 12.0 * UNIT_A * demand;
    FixtureModel {
        tag: format!("demand {demand}"),
        apparent: VoltAmperes::new(watts),
        real: Watts::new(watts),
        power_factor_assumed: false,
        rated: Volts::new(12.0),
        exponent: LoadExponent::new(1.0).expect("a lawful exponent"),
        window: Window::new(Volts::new(6.0), Volts::new(18.0)).expect("a lawful window"),
        lead: None,
        price: Money::ZERO,
        hours: Hours::new(0.0),
    }
}

/// A fixture of a model at a node.
pub(super) fn fixture(at: usize, model: usize) -> Fixture {
    Fixture {
        tag: format!("F{at}"),
        node: NodeId::new(at),
        model: ModelId::new(model),
        zone: None,
        section: None,
        existing: false,
    }
}

/// A site at a node.
pub(super) fn site(at: usize, cost: f64) -> Site {
    Site {
        tag: format!("S{at}"),
        node: NodeId::new(at),
        cost: amount(cost),
        mains: VoltAmperes::new(1e9),
        outlets: 1,
        places: 1,
        further: None,
    }
}

/// A segment between two nodes.
pub(super) fn segment(a: usize, b: usize, metres: f64) -> Segment {
    Segment {
        a: NodeId::new(a),
        b: NodeId::new(b),
        length: Metres::new(metres),
        surface: SurfaceId(0),
        limit: SegmentLimit::default(),
        utility: None,
    }
}

/// Nodes, segments, where fixtures stand, trench price per metre, cables; one site at `root`.
pub(super) fn job(
    nodes: usize,
    segments: Vec<Segment>,
    root: usize,
    fixtures: Vec<Fixture>,
    trench_per_metre: f64,
    cables: Vec<Cable>,
) -> Job {
    let wires = fixtures.len() + 2;
    let lugs = fixtures.len() as u32 + 1;
    Job {
        lighting: duskwright_solver::job::lighting::Lighting::default(),
        name: "a published instance".to_owned(),
        currency: "EUR".to_owned(),
        units: UnitSystem::Metric,
        nodes: (0..nodes).map(|tag| node(&format!("N{tag}"))).collect(),
        segments,
        fixtures,
        zones: Vec::new(),
        sites: vec![site(root, 0.0)],
        existing: Vec::new(),
        surfaces: vec![Surface {
            tag: "ground".to_owned(),
            open: SurfaceWork {
                hours_per_unit: 0.0,
                money_per_unit: amount(trench_per_metre),
            },
            open_fixed: Money::ZERO,
            per_cable: SurfaceWork::default(),
            beyond_limit: None,
            joints: true,
        }],
        cables,
        models: vec![model(1.0)],
        transformers: vec![transformer(lugs)],
        hubs: Vec::new(),
        joints: vec![JointKind {
            tag: "splice".to_owned(),
            holds: vec![WireSet {
                slots: vec![SquareMillimetres::new(10.0); wires],
            }],
            price: Money::ZERO,
            hours: Hours::new(0.0),
            contact: ContactResistance::default(),
        }],
        rates: Rates {
            labour: Money::ZERO,
            waste: Ratio::ZERO,
            slack: Slack::default(),
            shortest_useful: Metres::new(3.0),
        },
        bid: no_bid(),
        rules: plain_rules(),
        objective: Objective::Installed,
    }
}

/// A transformer that never limits anything.
fn transformer(lugs: u32) -> TransformerModel {
    TransformerModel {
        tag: "any".to_owned(),
        rated: VoltAmperes::new(1e7),
        price: Money::ZERO,
        hours: Hours::new(0.0),
        no_load_loss: Watts::ZERO,
        efficiency: 1.0,
        regulation: 0.0,
        secondaries: vec![Secondary {
            tag: "X".to_owned(),
            taps: vec![Tap {
                tag: "12".to_owned(),
                volts: Volts::new(12.0),
                lugs,
                takes: up_to(100.0),
            }],
            commons: vec![Common {
                tag: "COM".to_owned(),
                lugs,
                takes: up_to(100.0),
            }],
            breaker: Amperes::new(1e6),
            continuous_fraction: 1.0,
        }],
    }
}
