//! A small invented job and plan for tests of the bill and the schedules, in
//! feet. Prices are invented.
//!
//! ```text
//!   G --40.0 bed-- F1 --25.5 lawn-- F2 --10.0 sleeve-- S
//!                   \--12.25 drive-- F3
//! ```
//! A1 (new transformer at G): G - hub at F1 - splice at F2; the lead of F3 runs
//! through the bore to the hub. B1 (standing transformer at S): through the
//! sleeve and the lawn to a splice at F1, for F4. The lawn takes one cable.

use crate::ids::{
    CableId, ExistingId, FixtureId, HubKindId, JointId, JointKindId, ModelId, NodeId, PlacedId,
    SegmentId, SiteId, SurfaceId, TransformerModelId,
};
use crate::job::*;
use crate::plan::*;
use crate::units::*;
use rust_decimal::{Decimal, dec};

fn feet(length: f64) -> Metres {
    UnitSystem::Us.to_metres(length)
}

fn mm2(size: f64) -> SquareMillimetres {
    SquareMillimetres::new(size)
}

fn any_size() -> SizeRange {
    SizeRange {
        smallest: mm2(0.5),
        largest: mm2(6.0),
    }
}

fn node(tag: &str, x: f64, rise: f64) -> Node {
    Node {
        tag: tag.to_owned(),
        at: Some(Point {
            x: feet(x),
            y: Metres::ZERO,
        }),
        rise: feet(rise),
        joint_allowed: true,
        water: None,
    }
}

fn segment(a: u32, b: u32, length: f64, surface: u32, most: Option<u32>) -> Segment {
    Segment {
        a: NodeId(a),
        b: NodeId(b),
        length: feet(length),
        surface: SurfaceId(surface),
        limit: SegmentLimit {
            cables: most,
            fill: None,
        },
        utility: None,
    }
}

fn work(hours_per_unit: f64, money: Decimal) -> SurfaceWork {
    SurfaceWork {
        hours_per_unit,
        money_per_unit: Money::new(money),
    }
}

fn surface(tag: &str, open: SurfaceWork, per_cable: SurfaceWork) -> Surface {
    Surface {
        tag: tag.to_owned(),
        open,
        open_fixed: Money::ZERO,
        per_cable,
        beyond_limit: None,
        joints: true,
    }
}

fn surfaces() -> Vec<Surface> {
    let none = SurfaceWork::default();
    let mut lawn = surface("lawn", work(0.03, dec!(0)), work(0.005, dec!(0)));
    lawn.beyond_limit = Some(work(0.01, dec!(0.35)));
    let mut drive = surface("drive", work(0.0, dec!(6.50)), none);
    drive.open_fixed = Money::new(dec!(120));
    vec![
        surface("bed", work(0.02, dec!(0)), work(0.005, dec!(0))),
        lawn,
        drive,
        surface("sleeve", none, none),
    ]
}

fn cable(gauge: &str, size: f64, price: Option<Decimal>) -> Cable {
    Cable {
        tag: format!("{gauge} direct burial"),
        gauge: gauge.to_owned(),
        size: mm2(size),
        outer: mm2(size * 8.0),
        conductor: Conductor {
            resistance: OhmsPerMetre::new(0.017_241 / size),
            at: Celsius::new(20.0),
            coefficient: PerCelsius::new(0.003_93),
            reactance: OhmsPerMetre::new(0.0),
        },
        price: price.map(|per_unit| CablePrice {
            per_unit: Money::new(per_unit),
        }),
        ampacity: Amperes::new(16.0),
        allowed: CableUse {
            home_run: price.is_some(),
            branch: price.is_some(),
            lead: price.is_none(),
        },
        spools: Vec::new(),
        stock: Vec::new(),
    }
}

fn model(tag: &str, window: (f64, f64), lead: f64, price: Decimal, hours: f64) -> FixtureModel {
    FixtureModel {
        tag: tag.to_owned(),
        apparent: VoltAmperes::new(5.0),
        real: Watts::new(4.5),
        power_factor_assumed: tag == "path",
        rated: Volts::new(12.0),
        exponent: LoadExponent::new(0.0).expect("lawful"),
        window: Window::new(Volts::new(window.0), Volts::new(window.1)).expect("lawful"),
        lead: Some(Lead {
            cable: CableId(2),
            length: feet(lead),
        }),
        price: Money::new(price),
        hours: Hours::new(hours),
    }
}

fn fixture(tag: &str, node: u32, model: u32, section: Option<&str>) -> Fixture {
    Fixture {
        tag: tag.to_owned(),
        node: NodeId(node),
        model: ModelId(model),
        zone: None,
        section: section.map(str::to_owned),
        existing: false,
    }
}

fn transformer() -> TransformerModel {
    let tap = |tag: &str, volts| Tap {
        tag: tag.to_owned(),
        volts: Volts::new(volts),
        lugs: 2,
        takes: any_size(),
    };
    TransformerModel {
        tag: "T150".to_owned(),
        rated: VoltAmperes::new(150.0),
        price: Money::new(dec!(260)),
        hours: Hours::new(1.5),
        no_load_loss: Watts::new(6.0),
        efficiency: 0.9,
        regulation: 0.02,
        secondaries: vec![Secondary {
            tag: "S1".to_owned(),
            taps: vec![tap("12", 12.0), tap("13", 13.0), tap("14", 14.0)],
            commons: vec![Common {
                tag: "C".to_owned(),
                lugs: 4,
                takes: any_size(),
            }],
            breaker: Amperes::new(25.0),
            continuous_fraction: 0.8,
        }],
    }
}

fn site(tag: &str, node: u32) -> Site {
    Site {
        tag: tag.to_owned(),
        node: NodeId(node),
        cost: Money::new(dec!(45)),
        mains: VoltAmperes::new(1800.0),
        outlets: 2,
        places: 2,
        further: Some(FurtherCircuit {
            price: Money::new(dec!(310)),
            mains: VoltAmperes::new(1800.0),
            outlets: 1,
            most: 2,
        }),
    }
}

fn bid() -> Bid {
    let lump = |name: &str, amount| LumpSum {
        name: name.to_owned(),
        amount: Money::new(amount),
    };
    Bid {
        sundries: Ratio::new(dec!(0.03)),
        overhead: Ratio::new(dec!(0.12)),
        markup: Ratio::new(dec!(0.20)),
        tax: vec![(TaxClass::Material, Ratio::new(dec!(0.0825)))],
        permit: Money::new(dec!(55)),
        mobilisation: Money::new(dec!(150)),
        minimum_charge: Money::new(dec!(500)),
        lumps: vec![lump("Core drilling", dec!(90))],
        controls: vec![lump("Timer", dec!(65))],
        night_visit: Hours::new(1.25),
    }
}

fn rules() -> Rules {
    Rules {
        loading_limit: 0.8,
        mains_fraction: 0.8,
        spare: Spare::default(),
        most_fixtures_per_circuit: None,
        most_fixtures_per_hub: None,
        home_run_cable: None,
        common_home_run: false,
        joints_at_fixtures_and_hubs: false,
        layouts: Layouts {
            chain: true,
            hub: true,
            mixed: true,
        },
        smallest_behind_breaker: Vec::new(),
        line: LineBand {
            low: 1.0,
            high: 1.0,
        },
        margins: Margins {
            low: Volts::new(0.5),
            high: Volts::ZERO,
        },
        length_growth: 1.05,
        temperatures: Temperatures {
            low_case: Celsius::new(30.0),
            high_case: Celsius::new(5.0),
            expected: Celsius::new(15.0),
        },
        highest_tap: Volts::new(15.0),
        water_distance: Metres::new(3.0),
    }
}

/// The job.
pub(crate) fn job() -> Job {
    let mut standing_spot = fixture("F3", 3, 1, Some("Front"));
    standing_spot.existing = true;
    Job {
        name: "Specimen".to_owned(),
        currency: "USD".to_owned(),
        units: UnitSystem::Us,
        nodes: vec![
            node("G", 0.0, 2.0),
            node("F1", 40.0, 0.0),
            node("F2", 65.5, 0.0),
            node("F3", 52.25, 0.0),
            node("S", 75.5, 0.0),
        ],
        segments: vec![
            segment(0, 1, 40.0, 0, None),
            segment(1, 2, 25.5, 1, Some(1)),
            segment(1, 3, 12.25, 2, None),
            segment(2, 4, 10.0, 3, None),
        ],
        fixtures: vec![
            fixture("F1", 1, 0, Some("Front")),
            fixture("F2", 2, 0, None),
            standing_spot,
            fixture("F4", 1, 0, None),
        ],
        zones: Vec::new(),
        sites: vec![site("Garage", 0), site("Shed", 4)],
        existing: vec![Existing {
            tag: "OLD".to_owned(),
            site: SiteId(1),
            model: TransformerModelId(0),
            present_load: vec![VoltAmperes::new(20.0)],
            tap_lugs_used: vec![vec![1, 2, 0]],
            common_lugs_used: vec![vec![1]],
            zone: None,
        }],
        surfaces: surfaces(),
        cables: vec![
            cable("12 AWG", 3.31, Some(dec!(0.62))),
            cable("14 AWG", 2.08, Some(dec!(0.415))),
            cable("16 AWG", 1.31, None),
        ],
        models: vec![
            model("path", (9.0, 15.0), 3.0, dec!(88.40), 0.335),
            model("spot", (10.8, 12.5), 20.0, dec!(140), 0.5),
        ],
        transformers: vec![transformer()],
        hubs: vec![HubKind {
            tag: "H5".to_owned(),
            ports: vec![PortGroup {
                count: 5,
                takes: any_size(),
            }],
            inlet: any_size(),
            most_in_use: 5,
            price: Money::new(dec!(14)),
            hours: Hours::new(0.25),
            contact: ContactResistance::default(),
        }],
        joints: vec![JointKind {
            tag: "gel".to_owned(),
            holds: vec![WireSet {
                slots: vec![mm2(6.0); 4],
            }],
            price: Money::new(dec!(3.25)),
            hours: Hours::new(0.125),
            contact: ContactResistance::default(),
        }],
        rates: Rates {
            labour: Money::new(dec!(72)),
            waste: Ratio::new(dec!(0.05)),
            slack: Slack {
                transformer: feet(3.0),
                fixture: feet(0.5),
                hub: feet(1.5),
                splice: feet(1.0),
            },
            shortest_useful: feet(10.0),
        },
        bid: bid(),
        rules: rules(),
        objective: Objective::Installed,
        lighting: crate::job::lighting::Lighting::default(),
    }
}

fn joint(
    node: u32,
    hardware: JointHardware,
    from: Option<u32>,
    cable: u32,
    route: &[u32],
) -> Joint {
    Joint {
        node: NodeId(node),
        hardware,
        incoming: Incoming {
            from: from.map(JointId),
            cable: CableId(cable),
            route: walk(route),
        },
    }
}

fn walk(segments: &[u32]) -> Route {
    Route {
        segments: segments.iter().copied().map(SegmentId).collect(),
    }
}

fn lead(fixture: u32, joint: u32, route: &[u32]) -> LeadRun {
    LeadRun {
        fixture: FixtureId(fixture),
        joint: JointId(joint),
        route: walk(route),
    }
}

/// The plan.
pub(crate) fn plan() -> Plan {
    let hub = JointHardware::Hub(HubKindId(0));
    let splice = JointHardware::Splice(JointKindId(0));
    let circuit = |transformer, joints, leads| Circuit {
        transformer: PlacedId(transformer),
        secondary: 0,
        tap: 0,
        common: 0,
        joints,
        leads,
    };
    let placed = |site, source| PlacedTransformer {
        site: SiteId(site),
        source,
    };
    Plan {
        transformers: vec![
            placed(0, TransformerSource::New(TransformerModelId(0))),
            placed(1, TransformerSource::Existing(ExistingId(0))),
        ],
        further_circuits: Vec::new(),
        circuits: vec![
            circuit(
                0,
                vec![
                    joint(1, hub, None, 0, &[0]),
                    joint(2, splice, Some(0), 1, &[1]),
                ],
                vec![lead(0, 0, &[]), lead(2, 0, &[2]), lead(1, 1, &[])],
            ),
            circuit(
                1,
                vec![joint(1, splice, None, 1, &[3, 1])],
                vec![lead(3, 0, &[])],
            ),
        ],
    }
}
