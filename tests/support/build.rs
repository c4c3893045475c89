//! Small jobs and plans built in code, round numbers throughout, so that every
//! figure can be worked by hand. Prices are invented.
//!
//! The base is a row of three lamps: site `S`, then nodes `A`, `B`, `C` every
//! 10 m in a bed, with parallel way `S`-`A` in lawn. Each lamp is a constant
//! current of 1 A; the thick cable has 0.01 ohm of loop per metre, the thin one
//! 0.02, whatever the temperature; nothing has slack, rise or contact
//! resistance; the transformer is stiff. So the home run of a chain of all
//! three carries 3 A and drops 0.3 V.

use duskwright_solver::check::verify;
use duskwright_solver::ids::*;
use duskwright_solver::job::*;
use duskwright_solver::plan::json::{PlanHeader, to_json};
use duskwright_solver::plan::*;
use duskwright_solver::units::*;

/// A whole or decimal amount of money.
///
/// # Panics
/// When the amount is no decimal number.
#[must_use]
pub fn money(amount: &str) -> Money {
    Money::new(amount.parse().expect("a decimal number"))
}

/// A factor.
///
/// # Panics
/// When the factor is no decimal number.
#[must_use]
pub fn ratio(factor: &str) -> Ratio {
    Ratio::new(factor.parse().expect("a decimal number"))
}

/// Sizes from nothing to `largest` mm².
#[must_use]
pub const fn up_to(largest: f64) -> SizeRange {
    SizeRange {
        smallest: SquareMillimetres::ZERO,
        largest: SquareMillimetres::new(largest),
    }
}

/// A node without place or rise that allows joints.
#[must_use]
pub fn node(tag: &str) -> Node {
    Node {
        tag: tag.to_owned(),
        at: None,
        rise: Metres::ZERO,
        joint_allowed: true,
        water: None,
    }
}

/// A segment without limit.
#[must_use]
pub fn segment(a: u32, b: u32, metres: f64, surface: u32) -> Segment {
    Segment {
        a: NodeId(a),
        b: NodeId(b),
        length: Metres::new(metres),
        surface: SurfaceId(surface),
        limit: SegmentLimit::default(),
        utility: None,
    }
}

/// A surface opened for money per metre.
#[must_use]
pub fn surface(tag: &str, open: &str) -> Surface {
    Surface {
        tag: tag.to_owned(),
        open: SurfaceWork {
            hours_per_unit: 0.0,
            money_per_unit: money(open),
        },
        open_fixed: Money::ZERO,
        per_cable: SurfaceWork::default(),
        beyond_limit: None,
        joints: true,
    }
}

/// A cable of any use whose resistance does not change with temperature; `ohm` per metre of one conductor.
#[must_use]
pub fn cable(tag: &str, size: f64, ohm: f64, price: &str) -> Cable {
    Cable {
        tag: tag.to_owned(),
        gauge: format!("{size} mm²"),
        size: SquareMillimetres::new(size),
        outer: SquareMillimetres::new(10.0 * size),
        conductor: Conductor {
            resistance: OhmsPerMetre::new(ohm),
            at: Celsius::new(20.0),
            coefficient: PerCelsius::ZERO,
            reactance: OhmsPerMetre::ZERO,
        },
        price: Some(CablePrice {
            per_unit: money(price),
        }),
        ampacity: Amperes::new(20.0),
        allowed: CableUse {
            home_run: true,
            branch: true,
            lead: true,
        },
        spools: Vec::new(),
        stock: Vec::new(),
    }
}

/// A lamp of 12 VA at 12 V, unity power factor, 1 A at any voltage, working from 9 to 15 V, with a lead of 1 m.
///
/// # Panics
/// Never.
#[must_use]
pub fn lamp(tag: &str, lead: CableId) -> FixtureModel {
    FixtureModel {
        tag: tag.to_owned(),
        apparent: VoltAmperes::new(12.0),
        real: Watts::new(12.0),
        power_factor_assumed: false,
        rated: Volts::new(12.0),
        exponent: LoadExponent::new(1.0).expect("a lawful exponent"),
        window: Window::new(Volts::new(9.0), Volts::new(15.0)).expect("a lawful window"),
        lead: Some(Lead {
            cable: lead,
            length: Metres::new(1.0),
        }),
        price: money("40"),
        hours: Hours::new(0.5),
    }
}

/// A fixture without zone.
#[must_use]
pub fn fixture(tag: &str, node: u32) -> Fixture {
    Fixture {
        tag: tag.to_owned(),
        node: NodeId(node),
        model: ModelId(0),
        zone: None,
        section: None,
        existing: false,
    }
}

/// A secondary with taps at these volts and one common, two lugs each up to 6 mm², behind 10 A.
#[must_use]
pub fn secondary(tag: &str, taps: &[f64]) -> Secondary {
    Secondary {
        tag: tag.to_owned(),
        taps: taps
            .iter()
            .map(|&volts| Tap {
                tag: format!("{volts}V"),
                volts: Volts::new(volts),
                lugs: 2,
                takes: up_to(6.0),
            })
            .collect(),
        commons: vec![Common {
            tag: "COM".to_owned(),
            lugs: 2,
            takes: up_to(6.0),
        }],
        breaker: Amperes::new(10.0),
        continuous_fraction: 0.8,
    }
}

/// A stiff lossless transformer.
#[must_use]
pub fn transformer(tag: &str, va: f64, secondaries: Vec<Secondary>) -> TransformerModel {
    TransformerModel {
        tag: tag.to_owned(),
        rated: VoltAmperes::new(va),
        price: money("150"),
        hours: Hours::new(1.0),
        no_load_loss: Watts::ZERO,
        efficiency: 1.0,
        regulation: 0.0,
        secondaries,
    }
}

/// Rules that ask for nothing beyond the catalogue: no margins, growth, spare or band.
#[must_use]
pub fn plain_rules() -> Rules {
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
            low: Volts::ZERO,
            high: Volts::ZERO,
        },
        length_growth: 1.0,
        temperatures: Temperatures {
            low_case: Celsius::new(20.0),
            high_case: Celsius::new(20.0),
            expected: Celsius::new(20.0),
        },
        highest_tap: Volts::new(15.0),
        water_distance: Metres::new(3.0),
    }
}

/// Terms of a bid that add nothing.
#[must_use]
pub const fn no_bid() -> Bid {
    Bid {
        sundries: Ratio::ZERO,
        overhead: Ratio::ZERO,
        markup: Ratio::ZERO,
        tax: Vec::new(),
        permit: Money::ZERO,
        mobilisation: Money::ZERO,
        minimum_charge: Money::ZERO,
        lumps: Vec::new(),
        controls: Vec::new(),
        night_visit: Hours::ZERO,
    }
}

/// Node `S`, the site.
pub const S: NodeId = NodeId(0);
/// Node `A`, fixture `F1`.
pub const A: NodeId = NodeId(1);
/// Node `B`, fixture `F2`.
pub const B: NodeId = NodeId(2);
/// Node `C`, fixture `F3`.
pub const C: NodeId = NodeId(3);
/// Segment from `S` to `A` in the bed.
pub const SA: SegmentId = SegmentId(0);
/// Segment from `A` to `B`.
pub const AB: SegmentId = SegmentId(1);
/// Segment from `B` to `C`.
pub const BC: SegmentId = SegmentId(2);
/// Second segment from `S` to `A`, in the lawn, where no limit is soft.
pub const SA_LAWN: SegmentId = SegmentId(3);
/// Cable of 4 mm², 0.01 ohm of loop per metre.
pub const THICK: CableId = CableId(0);
/// Cable of 2 mm², 0.02 ohm of loop per metre.
pub const THIN: CableId = CableId(1);
/// Cable of 1 mm² that the lamps come with, 0.01 ohm of loop per metre.
pub const LEAD: CableId = CableId(2);
/// Splice for up to four wires of up to 4 mm².
pub const SPLICE: JointHardware = JointHardware::Splice(JointKindId(0));
/// Hub of four ports.
pub const HUB: JointHardware = JointHardware::Hub(HubKindId(0));

/// The row of three lamps.
#[must_use]
pub fn row() -> Job {
    Job {
        name: "row of three".to_owned(),
        currency: "USD".to_owned(),
        units: UnitSystem::Metric,
        nodes: ["S", "A", "B", "C"].map(node).to_vec(),
        segments: vec![
            segment(0, 1, 10.0, 0),
            segment(1, 2, 10.0, 0),
            segment(2, 3, 10.0, 0),
            segment(0, 1, 10.0, 1),
        ],
        fixtures: vec![fixture("F1", 1), fixture("F2", 2), fixture("F3", 3)],
        zones: Vec::new(),
        sites: vec![Site {
            tag: "garage".to_owned(),
            node: S,
            cost: money("75"),
            mains: VoltAmperes::new(500.0),
            outlets: 2,
            places: 2,
            further: None,
        }],
        existing: Vec::new(),
        surfaces: vec![surface("bed", "3"), surface("lawn", "5")],
        cables: vec![
            cable("4mm2", 4.0, 0.005, "2"),
            cable("2mm2", 2.0, 0.01, "1"),
            cable("lead", 1.0, 0.005, "1"),
        ],
        models: vec![lamp("lamp", LEAD)],
        transformers: vec![transformer(
            "100VA",
            100.0,
            vec![secondary("X", &[12.0, 14.0]), secondary("Y", &[12.0])],
        )],
        hubs: vec![HubKind {
            tag: "hub".to_owned(),
            ports: vec![PortGroup {
                count: 4,
                takes: up_to(4.0),
            }],
            inlet: up_to(6.0),
            most_in_use: 4,
            price: money("20"),
            hours: Hours::new(0.5),
            contact: ContactResistance::default(),
        }],
        joints: vec![JointKind {
            tag: "splice".to_owned(),
            holds: vec![WireSet {
                slots: vec![SquareMillimetres::new(4.0); 4],
            }],
            price: money("4"),
            hours: Hours::new(0.25),
            contact: ContactResistance::default(),
        }],
        rates: Rates {
            labour: money("60"),
            waste: ratio("0.1"),
            slack: Slack::default(),
            shortest_useful: Metres::new(3.0),
        },
        bid: no_bid(),
        rules: plain_rules(),
        objective: Objective::Installed,
        lighting: duskwright_solver::job::lighting::Lighting::default(),
    }
}

/// A joint and the piece that feeds it.
#[must_use]
pub fn joint(
    node: NodeId,
    hardware: JointHardware,
    from: Option<u32>,
    route: &[SegmentId],
) -> Joint {
    Joint {
        node,
        hardware,
        incoming: Incoming {
            from: from.map(JointId),
            cable: THICK,
            route: Route {
                segments: route.to_vec(),
            },
        },
    }
}

/// A lead landing in a joint, over these segments.
#[must_use]
pub fn lead_run(fixture: u32, joint: u32, route: &[SegmentId]) -> LeadRun {
    LeadRun {
        fixture: FixtureId(fixture),
        joint: JointId(joint),
        route: Route {
            segments: route.to_vec(),
        },
    }
}

/// A circuit on the first tap and common of a secondary of the first transformer.
#[must_use]
pub const fn circuit(secondary: usize, joints: Vec<Joint>, leads: Vec<LeadRun>) -> Circuit {
    Circuit {
        transformer: PlacedId(0),
        secondary,
        tap: 0,
        common: 0,
        joints,
        leads,
    }
}

/// One new transformer of the first model at the first site, with these circuits.
#[must_use]
pub fn plan(circuits: Vec<Circuit>) -> Plan {
    Plan {
        transformers: vec![PlacedTransformer {
            site: SiteId(0),
            source: TransformerSource::New(TransformerModelId(0)),
        }],
        further_circuits: Vec::new(),
        circuits,
    }
}

/// The three lamps of [`row`] as one chain of thick cable: splices at `A`, `B`, `C`.
#[must_use]
pub fn chain() -> Plan {
    plan(vec![circuit(
        0,
        vec![
            joint(A, SPLICE, None, &[SA]),
            joint(B, SPLICE, Some(0), &[AB]),
            joint(C, SPLICE, Some(1), &[BC]),
        ],
        vec![
            lead_run(0, 0, &[]),
            lead_run(1, 1, &[]),
            lead_run(2, 2, &[]),
        ],
    )])
}

/// Lamp `F1` alone on one circuit, `F2` and `F3` on another, on these secondaries.
#[must_use]
pub fn two_circuits(first: usize, second: usize) -> Plan {
    plan(vec![
        circuit(
            first,
            vec![joint(A, SPLICE, None, &[SA])],
            vec![lead_run(0, 0, &[])],
        ),
        circuit(
            second,
            vec![
                joint(B, SPLICE, None, &[SA, AB]),
                joint(C, SPLICE, Some(0), &[BC]),
            ],
            vec![lead_run(1, 0, &[]), lead_run(2, 1, &[])],
        ),
    ])
}

/// The row on one secondary with a common for each of its two circuits: `F1` on the first,
/// `F2` and `F3` on the second.
#[must_use]
pub fn two_commons() -> (Job, Plan) {
    let (mut job, mut plan) = (row(), two_circuits(0, 0));
    let commons = &mut job.transformers[0].secondaries[0].commons;
    commons[0].tag = "C1".to_owned();
    commons.push(Common {
        tag: "C2".to_owned(),
        ..commons[0].clone()
    });
    plan.circuits[1].common = 1;
    (job, plan)
}

/// Leads of 25 m landing in one hub at `B`.
#[must_use]
pub fn hub_plan(job: &mut Job) -> Plan {
    for model in &mut job.models {
        if let Some(lead) = &mut model.lead {
            lead.length = Metres::new(25.0);
        }
    }
    plan(vec![circuit(
        0,
        vec![joint(B, HUB, None, &[SA, AB])],
        vec![
            lead_run(0, 0, &[AB]),
            lead_run(1, 0, &[]),
            lead_run(2, 0, &[BC]),
        ],
    )])
}

/// A sound plan as `plan.json`, of a quick search with seed 1.
#[must_use]
pub fn plan_json(job: &Job, plan: &Plan, lower_bound_cost: Option<f64>) -> String {
    let header = PlanHeader {
        program_version: "0.0.0".to_owned(),
        input_hash: "00".to_owned(),
        effort: "quick".to_owned(),
        seed: 1,
        layout: Layout::Mixed,
        objective: Some("installed".to_owned()),
        status: "feasible".to_owned(),
        lower_bound_cost,
    };
    to_json(job, plan, &header, &verify(job, plan).figures.results(job))
}
