//! Jobs built in code: plain defaults, changed field by field.

use duskwright_solver::ids::{CableId, ModelId, NodeId, SurfaceId};
use duskwright_solver::job::{
    Bid, Cable, CablePrice, CableUse, Common, Conductor, ContactResistance, Fixture, FixtureModel,
    HubKind, Job, JointKind, Lead, LoadExponent, Node, Objective, PortGroup, Rates, Rules,
    Secondary, Segment, SegmentLimit, Site, SizeRange, Slack, Surface, SurfaceWork, Tap,
    Temperatures, TransformerModel, Window, WireSet,
};
use duskwright_solver::units::{
    Amperes, Celsius, Hours, Metres, Money, Ohms, OhmsPerMetre, PerCelsius, Ratio,
    SquareMillimetres, UnitSystem, VoltAmperes, Volts, Watts,
};
use duskwright_tests::build::plain_rules;
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

/// Money from a float, to the hundredth of a cent.
pub fn money(amount: f64) -> Money {
    Money::new(
        Decimal::from_f64(amount)
            .expect("a finite amount")
            .round_dp(4),
    )
}

/// A ratio from a float.
pub fn ratio(factor: f64) -> Ratio {
    Ratio::new(
        Decimal::from_f64(factor)
            .expect("a finite factor")
            .round_dp(6),
    )
}

/// Any conductor size fits.
pub fn any_size() -> SizeRange {
    SizeRange {
        smallest: SquareMillimetres::new(0.1),
        largest: SquareMillimetres::new(100.0),
    }
}

/// A cable for everything: 4 mm², 5 ohm/km at 30 °C.
pub fn cable(tag: &str, size_mm2: f64, ohms_per_metre: f64, price_per_metre: f64) -> Cable {
    Cable {
        tag: tag.into(),
        gauge: tag.into(),
        size: SquareMillimetres::new(size_mm2),
        outer: SquareMillimetres::new(size_mm2 * 6.0),
        conductor: Conductor {
            resistance: OhmsPerMetre::new(ohms_per_metre),
            at: Celsius::new(30.0),
            coefficient: PerCelsius::new(0.0038),
            reactance: OhmsPerMetre::new(0.0),
        },
        price: Some(CablePrice {
            per_unit: money(price_per_metre),
        }),
        ampacity: Amperes::new(30.0),
        allowed: CableUse {
            home_run: true,
            branch: true,
            lead: true,
        },
        spools: Vec::new(),
        stock: Vec::new(),
    }
}

/// A fixture model of so many VA, unity power factor, constant power, 9 to 15 V.
pub fn model(apparent_va: f64) -> FixtureModel {
    FixtureModel {
        tag: "spot".into(),
        apparent: VoltAmperes::new(apparent_va),
        real: Watts::new(apparent_va),
        power_factor_assumed: false,
        rated: Volts::new(12.0),
        exponent: LoadExponent::new(0.0).expect("zero is lawful"),
        window: Window::new(Volts::new(9.0), Volts::new(15.0)).expect("9 to 15 V"),
        lead: None,
        price: Money::ZERO,
        hours: Hours::new(0.0),
    }
}

/// A lead of cable 0.
pub fn lead(length_m: f64) -> Lead {
    Lead {
        cable: CableId(0),
        length: Metres::new(length_m),
    }
}

/// One secondary with one tap and one common, 25 A breaker.
pub fn secondary(tap_volts: f64, lugs: u32) -> Secondary {
    Secondary {
        tag: "S".into(),
        taps: vec![Tap {
            tag: "T".into(),
            volts: Volts::new(tap_volts),
            lugs,
            takes: any_size(),
        }],
        commons: vec![Common {
            tag: "C".into(),
            lugs,
            takes: any_size(),
        }],
        breaker: Amperes::new(25.0),
        continuous_fraction: 0.8,
    }
}

/// A transformer of so many VA with one 12 V secondary; no regulation, no losses.
pub fn transformer(rated_va: f64, price: f64) -> TransformerModel {
    TransformerModel {
        tag: format!("T{rated_va}"),
        rated: VoltAmperes::new(rated_va),
        price: money(price),
        hours: Hours::new(0.0),
        no_load_loss: Watts::new(0.0),
        efficiency: 1.0,
        regulation: 0.0,
        secondaries: vec![secondary(12.0, 12)],
    }
}

/// A splice that holds so many wires of any size.
pub fn splice(price: f64, wires: usize) -> JointKind {
    JointKind {
        tag: format!("J{wires}"),
        holds: vec![WireSet {
            slots: vec![SquareMillimetres::new(100.0); wires],
        }],
        price: money(price),
        hours: Hours::new(0.0),
        contact: ContactResistance(Ohms::new(0.0)),
    }
}

/// A hub of so many ports of any size.
pub fn hub(price: f64, ports: u32) -> HubKind {
    HubKind {
        tag: format!("H{ports}"),
        ports: vec![PortGroup {
            count: ports,
            takes: any_size(),
        }],
        inlet: any_size(),
        most_in_use: ports,
        price: money(price),
        hours: Hours::new(0.0),
        contact: ContactResistance(Ohms::new(0.0)),
    }
}

/// Ground opened at so much per metre.
pub fn surface(open_per_metre: f64) -> Surface {
    Surface {
        tag: format!("G{open_per_metre}"),
        open: SurfaceWork {
            hours_per_unit: 0.0,
            money_per_unit: money(open_per_metre),
        },
        open_fixed: Money::ZERO,
        per_cable: SurfaceWork::default(),
        beyond_limit: None,
        joints: true,
    }
}

/// A node where joints may stand.
pub fn node(tag: usize) -> Node {
    Node {
        tag: format!("N{tag}"),
        at: None,
        rise: Metres::new(0.0),
        joint_allowed: true,
        water: None,
    }
}

/// A segment in surface 0.
pub fn segment(a: usize, b: usize, length_m: f64) -> Segment {
    Segment {
        a: NodeId::new(a),
        b: NodeId::new(b),
        length: Metres::new(length_m),
        surface: SurfaceId(0),
        limit: SegmentLimit::default(),
        utility: None,
    }
}

/// A fixture of model 0.
pub fn fixture(tag: usize, at: usize) -> Fixture {
    Fixture {
        tag: format!("F{tag}"),
        node: NodeId::new(at),
        model: ModelId(0),
        zone: None,
        section: None,
        existing: false,
    }
}

/// A free site with ample mains.
pub fn site(at: usize) -> Site {
    Site {
        tag: format!("S{at}"),
        node: NodeId::new(at),
        cost: Money::ZERO,
        mains: VoltAmperes::new(1e6),
        outlets: 1000,
        places: 1000,
        further: None,
    }
}

/// Rules that forbid nothing: nominal line, no margins, no growth.
pub fn rules() -> Rules {
    Rules {
        loading_limit: 1.0,
        temperatures: Temperatures {
            low_case: Celsius::new(30.0),
            high_case: Celsius::new(5.0),
            expected: Celsius::new(15.0),
        },
        ..plain_rules()
    }
}

/// A metric job over a graph: site at node `root`, a fixture of model 0 at each of `at`.
pub fn job(nodes: usize, edges: &[(usize, usize, f64)], root: usize, at: &[usize]) -> Job {
    Job {
        name: "made in code".into(),
        currency: "credits".into(),
        units: UnitSystem::Metric,
        nodes: (0..nodes).map(node).collect(),
        segments: edges
            .iter()
            .map(|&(a, b, length)| segment(a, b, length))
            .collect(),
        fixtures: at
            .iter()
            .enumerate()
            .map(|(f, &at)| fixture(f, at))
            .collect(),
        zones: Vec::new(),
        sites: vec![site(root)],
        existing: Vec::new(),
        surfaces: vec![surface(1.0)],
        cables: vec![cable("a", 4.0, 0.0, 0.0)],
        models: vec![model(1e-3)],
        transformers: vec![transformer(1e6, 0.0)],
        hubs: Vec::new(),
        joints: vec![splice(0.0, 1000)],
        rates: Rates {
            labour: money(50.0),
            waste: Ratio::ZERO,
            slack: Slack::default(),
            shortest_useful: Metres::new(3.0),
        },
        bid: Bid {
            sundries: Ratio::ZERO,
            overhead: Ratio::ZERO,
            markup: Ratio::ZERO,
            tax: Vec::new(),
            permit: Money::ZERO,
            mobilisation: Money::ZERO,
            minimum_charge: Money::ZERO,
            lumps: Vec::new(),
            controls: Vec::new(),
            night_visit: Hours::new(0.0),
        },
        rules: rules(),
        objective: Objective::Installed,
        lighting: duskwright_solver::job::lighting::Lighting::default(),
    }
}
