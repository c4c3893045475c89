//! A made-up dossier of any size: figures that look like a job and hang together
//! where the papers add them up, but are not worked out by the engine.

use duskwright_solver::bill::{
    Bill, DirectCost, DirectLine, DirectPart, Line, LineKind, PerFixture, Quantity, TaxLine, Unit,
};
use duskwright_solver::job::TaxClass;
use duskwright_solver::schedule::{
    CableTotal, Caution, CircuitRow, CountRow, CutRow, Cutting, CuttingTotal, Dossier, Drawing,
    DrawnFixture, DrawnNode, DrawnSegment, DrawnSite, FixtureRow, Header, JointRow, LeadRow,
    PieceEnds, PieceRow, Quantities, SecondaryRow, SegmentRow, SpoolRow, Standing, Status,
    SurfaceRow, TransformerRow, Trenches, WireCount,
};
use duskwright_solver::units::{
    Amperes, Celsius, Cost, Money, Ratio, UnitSystem, VoltAmperes, Volts, Watts,
};
use rust_decimal::{Decimal, dec};

/// What to make up.
#[derive(Clone, Copy, Debug)]
pub struct Recipe {
    /// Fixtures, > 0.
    pub fixtures: usize,
    /// Fixtures on one circuit, > 0.
    pub on_circuit: usize,
    /// Circuits on one transformer, > 0.
    pub on_transformer: usize,
    /// Whether nodes have coordinates.
    pub placed: bool,
    /// Tags and names as long as people make them.
    pub long_names: bool,
    /// Metres instead of feet.
    pub metric: bool,
}

impl Recipe {
    /// A garden: 18 fixtures on 3 circuits.
    pub const GARDEN: Self = Self {
        fixtures: 18,
        on_circuit: 6,
        on_transformer: 2,
        placed: true,
        long_names: false,
        metric: false,
    };
}

/// A count as the schedules take it.
fn count(of: usize) -> u32 {
    u32::try_from(of).expect("made-up jobs are small")
}

fn length(tenths: usize) -> Decimal {
    Decimal::new(i64::from(count(tenths)), 1)
}

fn letter(at: usize) -> String {
    let last = ('A'..='Z').nth(at % 26).unwrap_or('Z');
    match at {
        0..26 => last.to_string(),
        _ => format!("{}{last}", letter(at / 26 - 1)),
    }
}

struct Maker {
    recipe: Recipe,
    circuits: usize,
    transformers: usize,
}

impl Maker {
    fn new(recipe: Recipe) -> Self {
        let circuits = recipe.fixtures.div_ceil(recipe.on_circuit);
        Self {
            recipe,
            circuits,
            transformers: circuits.div_ceil(recipe.on_transformer),
        }
    }
    fn fixture(&self, at: usize) -> String {
        if self.recipe.long_names {
            format!("Łódź-path-by-the-old-oak-N{at:04}")
        } else {
            format!("F{}", at + 1)
        }
    }
    fn label(&self, circuit: usize) -> String {
        format!(
            "{}{}",
            letter(circuit / self.recipe.on_transformer),
            circuit % self.recipe.on_transformer + 1
        )
    }
    fn circuit_of(&self, fixture: usize) -> usize {
        fixture / self.recipe.on_circuit
    }
    /// Nodes: transformers, then a bend for each circuit, then fixtures.
    fn bend(&self, circuit: usize) -> usize {
        self.transformers + circuit
    }
    fn node_of(&self, fixture: usize) -> usize {
        self.transformers + self.circuits + fixture
    }
    fn node_tag(&self, node: usize) -> String {
        if node < self.transformers {
            format!("W{}", node + 1)
        } else if node < self.transformers + self.circuits {
            format!("B{}", node - self.transformers + 1)
        } else {
            self.fixture(node - self.transformers - self.circuits)
        }
    }
    fn unit(&self) -> &'static str {
        if self.recipe.metric { "m" } else { "ft" }
    }
}

fn header(maker: &Maker) -> Header {
    Header {
        job: if maker.recipe.long_names {
            "Gärten und Wege am Schloßteich, zweiter Bauabschnitt mit Orangerie, Rosarium und dem Ufer bis zur José-Brücke".to_owned()
        } else {
            "Garden at the old mill".to_owned()
        },
        currency: if maker.recipe.metric { "EUR" } else { "$" }.to_owned(),
        units: if maker.recipe.metric {
            UnitSystem::Metric
        } else {
            UnitSystem::Us
        },
        length_unit: maker.unit().to_owned(),
        fixtures: count(maker.recipe.fixtures),
        low_case: Celsius::new(30.0),
        high_case: Celsius::new(5.0),
        expected_case: Celsius::new(15.0),
        low_margin: Volts::new(0.5),
        high_margin: Volts::new(0.0),
        line_low: 1.0,
        line_high: 1.0,
        length_growth: 1.05,
        loading_limit: 0.8,
        assumed_power_factor: vec!["spot-4".to_owned()],
        standing: Standing {
            status: Status::Bounded,
            bound: Some(Cost::new(1504.377)),
            gap: Some(0.083),
            remarks: vec!["The search was stopped by the clock.".to_owned()],
        },
    }
}

fn line(
    kind: LineKind,
    class: TaxClass,
    description: &str,
    amount: Decimal,
    unit: Unit,
    price: Decimal,
) -> Line {
    Line {
        section: "General".to_owned(),
        kind,
        class,
        description: description.to_owned(),
        quantity: Quantity { amount, unit },
        unit_price: Money::new(price),
        extension: Money::new(price).times(amount).cents(),
    }
}

fn bill_lines(maker: &Maker) -> Vec<Line> {
    use LineKind as Kind;
    use TaxClass::{Labour, Material, Subcontract};
    let unit = if maker.recipe.metric {
        Unit::Metres
    } else {
        Unit::Feet
    };
    let count = Decimal::from(maker.recipe.fixtures);
    let path = if maker.recipe.long_names {
        "Fixture path-light-copper-with-a-name-that-goes-on-and-on-and-on 3 W 2700 K incl. ground stake, 25 ft lead and glare shield"
    } else {
        "Fixture path-3"
    };
    let material = dec!(1830.30);
    vec![
        line(
            Kind::Fixture,
            Material,
            path,
            count,
            Unit::Each,
            dec!(78.00),
        ),
        line(
            Kind::Fixture,
            Labour,
            "Set and aim path-3",
            count * dec!(0.4),
            Unit::Hours,
            dec!(65),
        ),
        line(
            Kind::Transformer,
            Material,
            "Transformer t-300",
            Decimal::from(maker.transformers),
            Unit::Each,
            dec!(214.50),
        ),
        line(
            Kind::Transformer,
            Labour,
            "Mount t-300",
            Decimal::from(maker.transformers) * dec!(1.5),
            Unit::Hours,
            dec!(65),
        ),
        line(
            Kind::Cable,
            Material,
            "Cable 12-2",
            dec!(12345.6),
            unit,
            dec!(0.4175),
        ),
        line(
            Kind::Waste,
            Material,
            "Waste, 12-2",
            dec!(617.28),
            unit,
            dec!(0.4175),
        ),
        line(
            Kind::Joint,
            Material,
            "Splice kit, both poles",
            count,
            Unit::Each,
            dec!(3.20),
        ),
        line(
            Kind::Trench,
            Labour,
            "Open lawn",
            dec!(31.25),
            Unit::Hours,
            dec!(65),
        ),
        line(
            Kind::Trench,
            Subcontract,
            "Bore under drive",
            dec!(1),
            Unit::Lump,
            dec!(650),
        ),
        line(
            Kind::Sundries,
            Material,
            "Sundries on material",
            dec!(0.05),
            Unit::Share,
            material,
        ),
        line(
            Kind::NightVisit,
            Labour,
            "Night visit",
            dec!(3),
            Unit::Hours,
            dec!(65),
        ),
        line(
            Kind::Permit,
            Subcontract,
            "Permit",
            dec!(1),
            Unit::Lump,
            dec!(0),
        ),
        line(
            Kind::Present,
            Material,
            "Existing transformer, present already",
            dec!(1),
            Unit::Each,
            dec!(0),
        ),
    ]
}

fn bill(maker: &Maker) -> Bill {
    let lines = bill_lines(maker);
    let sum = |class: TaxClass| -> Money {
        lines
            .iter()
            .filter(|line| line.class == class)
            .map(|line| line.extension)
            .sum()
    };
    let (material, labour, subcontract) = (
        sum(TaxClass::Material),
        sum(TaxClass::Labour),
        sum(TaxClass::Subcontract),
    );
    let cost = material + labour + subcontract;
    let overhead = cost.times(dec!(0.10)).cents();
    let markup = (cost + overhead).times(dec!(0.25)).cents();
    let price = cost + overhead + markup;
    let tax = price.times(dec!(0.0825)).cents();
    let hours = lines
        .iter()
        .filter(|line| line.quantity.unit == Unit::Hours)
        .map(|line| line.quantity.amount)
        .sum::<Decimal>();
    let fixtures = Decimal::from(maker.recipe.fixtures);
    let parts = [
        (DirectPart::Trench, dec!(912.40)),
        (DirectPart::Cable, dec!(418.22)),
        (DirectPart::Transformers, dec!(310.00)),
    ];
    Bill {
        hours,
        labour_rate: Money::new(dec!(65)),
        material,
        labour,
        subcontract,
        cost,
        overhead_rate: Ratio::new(dec!(0.10)),
        overhead,
        markup_rate: Ratio::new(dec!(0.25)),
        markup,
        minimum_charge: Money::ZERO,
        top_up: Money::ZERO,
        price,
        taxes: vec![TaxLine {
            class: TaxClass::Material,
            base: price,
            rate: Ratio::new(dec!(0.0825)),
            amount: tax,
        }],
        tax,
        total: price + tax,
        per_fixture: PerFixture {
            fixtures: count(maker.recipe.fixtures),
            price: Money::new(price.decimal() / fixtures).cents(),
            hours: (hours / fixtures).round_dp(2),
            cable: (dec!(12345.6) / fixtures).round_dp(2),
        },
        direct: DirectCost {
            lines: parts
                .iter()
                .map(|&(part, shown)| DirectLine {
                    part,
                    cost: Money::new(shown).cost(),
                    shown: Money::new(shown),
                })
                .collect(),
            cost: Cost::new(1640.62),
            shown: Money::new(dec!(1640.62)),
        },
        lines,
    }
}

fn transformers(maker: &Maker) -> Vec<TransformerRow> {
    (0..maker.transformers)
        .map(|at| {
            let circuits: Vec<String> = (0..maker.circuits)
                .filter(|circuit| circuit / maker.recipe.on_transformer == at)
                .map(|circuit| maker.label(circuit))
                .collect();
            TransformerRow {
                letter: letter(at),
                existing: (at == 1).then(|| "old-T".to_owned()),
                site: format!("wall {}", at + 1),
                node: maker.node_tag(at),
                model: "t-300".to_owned(),
                load: VoltAmperes::new(187.45),
                permitted: VoltAmperes::new(240.0),
                rated: VoltAmperes::new(300.0),
                secondaries: vec![SecondaryRow {
                    tag: "1".to_owned(),
                    amps: Amperes::new(14.2),
                    limit: Amperes::new(20.0),
                    breaker: Amperes::new(25.0),
                    tap_lugs_used: count(circuits.len()),
                    tap_lugs: 8,
                    common_lugs_used: count(circuits.len()),
                    common_lugs: 8,
                }],
                circuits,
            }
        })
        .collect()
}

fn circuits(maker: &Maker) -> Vec<CircuitRow> {
    (0..maker.circuits)
        .map(|at| {
            let first = at * maker.recipe.on_circuit;
            let last = (first + maker.recipe.on_circuit).min(maker.recipe.fixtures) - 1;
            CircuitRow {
                label: maker.label(at),
                transformer: letter(at / maker.recipe.on_transformer),
                secondary: "1".to_owned(),
                tap: "13 V".to_owned(),
                tap_volts: Volts::new(13.0),
                common: "COM".to_owned(),
                zone: (at % 2 == 1).then(|| "garden paths".to_owned()),
                gauge: if at % 2 == 0 { "12 AWG" } else { "10 AWG" }.to_owned(),
                home_run: length(452 + 17 * at),
                cable: length(1288 + 31 * at),
                fixtures: count(last - first + 1),
                amps: Amperes::new(3.456 + 0.11 * at as f64),
                limit: Amperes::new(20.0),
                load: VoltAmperes::new(44.9),
                source_volts: Volts::new(13.12),
                lowest_fixture: maker.fixture(last),
                lowest_volts: Volts::new(11.48),
                lowest_window_min: Volts::new(10.8),
                lowest_window_max: Volts::new(15.0),
                last_fixture: maker.fixture(last),
                last_volts: Volts::new(11.9),
                line_low_volts: if at % 5 == 4 {
                    None
                } else {
                    Some(Volts::new(11.2))
                },
                line_high_volts: Some(Volts::new(13.7)),
                end_short: Amperes::new(48.3),
                breaker: Amperes::new(25.0),
                may_not_trip: at % 4 == 2,
                taps_above: if at % 3 == 0 {
                    vec!["14 V".to_owned(), "15 V".to_owned()]
                } else {
                    Vec::new()
                },
                spare: Watts::new(31.5),
                extension: (at % 3 != 2).then_some(dec!(64.5)),
                extension_gauge: "12 AWG".to_owned(),
                loading_margin_percent: (at % 2 == 0).then_some(412.7),
            }
        })
        .collect()
}

fn fixtures(maker: &Maker) -> Vec<FixtureRow> {
    (0..maker.recipe.fixtures)
        .map(|at| FixtureRow {
            tag: maker.fixture(at),
            model: if at % 3 == 0 { "spot-4" } else { "path-3" }.to_owned(),
            node: maker.node_tag(maker.node_of(at)),
            zone: (maker.circuit_of(at) % 2 == 1).then(|| "garden paths".to_owned()),
            section: None,
            existing: at == 3,
            circuit: maker.label(maker.circuit_of(at)),
            expected: Volts::new(12.4 - 0.05 * (at % maker.recipe.on_circuit) as f64),
            low: Volts::new(11.9 - 0.07 * (at % maker.recipe.on_circuit) as f64),
            high: Volts::new(12.9),
            line_low: Some(Volts::new(11.3)),
            line_high: Some(Volts::new(13.0)),
            window_min: Volts::new(9.0),
            window_max: Volts::new(15.0),
            margin: Volts::new(2.1),
            apparent: VoltAmperes::new(4.5),
        })
        .collect()
}

fn joint_id(maker: &Maker, fixture: usize) -> String {
    format!(
        "{}/{}",
        maker.label(maker.circuit_of(fixture)),
        maker.fixture(fixture)
    )
}

fn pieces(maker: &Maker) -> Vec<PieceRow> {
    (0..maker.recipe.fixtures)
        .map(|at| {
            let circuit = maker.circuit_of(at);
            let number = at % maker.recipe.on_circuit;
            let home_run = number == 0;
            let here = maker.node_tag(maker.node_of(at));
            let source = circuit / maker.recipe.on_transformer;
            let route = if home_run {
                vec![
                    maker.node_tag(source),
                    maker.node_tag(maker.bend(circuit)),
                    here,
                ]
            } else {
                vec![maker.node_tag(maker.node_of(at - 1)), here]
            };
            PieceRow {
                id: format!("{}-{}", maker.label(circuit), number + 1),
                circuit: maker.label(circuit),
                home_run,
                from: if home_run {
                    letter(source)
                } else {
                    joint_id(maker, at - 1)
                },
                to: joint_id(maker, at),
                route,
                cable: "12-2".to_owned(),
                gauge: "12 AWG".to_owned(),
                length: length(183 + at),
                parts: PieceEnds {
                    route: length(150 + at),
                    near_slack: dec!(1.5),
                    near_rise: Decimal::ZERO,
                    far_slack: dec!(1.8),
                    far_rise: Decimal::ZERO,
                },
                amps: Amperes::new(3.4 - 0.3 * number as f64),
            }
        })
        .collect()
}

fn cutting(maker: &Maker) -> Cutting {
    let ids: Vec<String> = pieces(maker).into_iter().map(|row| row.id).collect();
    let spools = ids
        .chunks(12)
        .enumerate()
        .map(|(at, ids)| SpoolRow {
            cable: "12-2".to_owned(),
            gauge: "12 AWG".to_owned(),
            number: count(at + 1),
            bought: at > 0,
            length: dec!(500),
            price: Money::new(if at > 0 { dec!(189) } else { dec!(0) }),
            cuts: ids
                .chunks(3)
                .map(|pieces| CutRow {
                    pieces: pieces.to_vec(),
                    length: dec!(55.5),
                    marks: vec![dec!(18.3), dec!(36.7)],
                })
                .collect(),
            left: dec!(31.5),
            keep: at % 2 == 0,
        })
        .collect();
    Cutting {
        spools,
        totals: vec![CuttingTotal {
            cable: "12-2".to_owned(),
            gauge: "12 AWG".to_owned(),
            cost: Money::new(dec!(378)),
            bound: Money::new(dec!(378)),
            proved: true,
            waste: dec!(31.5),
        }],
    }
}

fn leads(maker: &Maker) -> Vec<LeadRow> {
    (0..maker.recipe.fixtures)
        .map(|at| LeadRow {
            fixture: maker.fixture(at),
            circuit: maker.label(maker.circuit_of(at)),
            joint: joint_id(maker, at),
            route: vec![maker.node_tag(maker.node_of(at))],
            gauge: (at % 7 != 6).then(|| "16 AWG".to_owned()),
            length: (at % 7 != 6).then_some(dec!(25.0)),
            reach: dec!(1.5),
        })
        .collect()
}

fn joints(maker: &Maker) -> Vec<JointRow> {
    (0..maker.recipe.fixtures)
        .map(|at| JointRow {
            id: joint_id(maker, at),
            circuit: maker.label(maker.circuit_of(at)),
            node: maker.node_tag(maker.node_of(at)),
            hardware: if at % 6 == 5 { "hub-6" } else { "gel-2" }.to_owned(),
            hub: at % 6 == 5,
            incoming: "12 AWG".to_owned(),
            outgoing: vec![
                WireCount {
                    gauge: "12 AWG".to_owned(),
                    count: 1,
                },
                WireCount {
                    gauge: "16 AWG".to_owned(),
                    count: 1,
                },
            ],
            fixtures: vec![maker.fixture(at)],
        })
        .collect()
}

/// Consecutive nodes of each circuit, with its position.
fn spans(maker: &Maker) -> Vec<(usize, usize, usize)> {
    let mut spans = Vec::new();
    for circuit in 0..maker.circuits {
        let source = circuit / maker.recipe.on_transformer;
        spans.push((source, maker.bend(circuit), circuit));
        let first = circuit * maker.recipe.on_circuit;
        let last = (first + maker.recipe.on_circuit).min(maker.recipe.fixtures);
        for fixture in first..last {
            let from = if fixture == first {
                maker.bend(circuit)
            } else {
                maker.node_of(fixture - 1)
            };
            spans.push((from, maker.node_of(fixture), circuit));
        }
    }
    spans
}

fn trenches(maker: &Maker) -> Trenches {
    let segments: Vec<SegmentRow> = spans(maker)
        .into_iter()
        .enumerate()
        .map(|(at, (from, to, circuit))| SegmentRow {
            from: maker.node_tag(from),
            to: maker.node_tag(to),
            surface: if at % 4 == 0 { "bed" } else { "lawn" }.to_owned(),
            length: length(150),
            pieces: 1,
            leads: u32::from(at % 3 == 0),
            circuits: vec![maker.label(circuit)],
            beyond_limit: at % 11 == 10,
            hours: dec!(0.45),
            money: Money::new(if at % 4 == 0 { dec!(0) } else { dec!(12.5) }),
        })
        .collect();
    let total = Decimal::from(segments.len()) * dec!(15.0);
    let row = |surface: &str| {
        let count = segments.iter().filter(|row| row.surface == surface).count();
        SurfaceRow {
            surface: surface.to_owned(),
            segments: count(count),
            length: Decimal::from(count) * dec!(15.0),
            cable: Decimal::from(count) * dec!(15.0),
            hours: Decimal::from(count) * dec!(0.45),
            money: Money::new(dec!(12345.67)),
        }
    };
    Trenches {
        surfaces: vec![row("bed"), row("lawn")],
        length: total,
        segments,
    }
}

/// Rows of circuits, each wandering off to the right.
fn place(maker: &Maker, node: usize) -> (f64, f64) {
    let wave = |at: usize| 4.0 * ((at * 37 % 11) as f64 / 11.0 - 0.5);
    let per = maker.recipe.on_transformer;
    if node < maker.transformers {
        return (120.0 * (node % 3) as f64, 30.0 * (node / 3 * per) as f64);
    }
    if node < maker.transformers + maker.circuits {
        let circuit = node - maker.transformers;
        let (x, y) = place(maker, circuit / per);
        return (x + 6.0, y + 12.0 * (circuit % per) as f64 + 4.0);
    }
    let fixture = node - maker.transformers - maker.circuits;
    let (x, y) = place(maker, maker.bend(maker.circuit_of(fixture)));
    let along = fixture % maker.recipe.on_circuit + 1;
    (x + 13.0 * along as f64, y + wave(fixture))
}

fn drawing(maker: &Maker) -> Drawing {
    let count = maker.transformers + maker.circuits + maker.recipe.fixtures;
    let mut segments: Vec<DrawnSegment> = spans(maker)
        .into_iter()
        .map(|(a, b, circuit)| DrawnSegment {
            a,
            b,
            surface: "lawn".to_owned(),
            length: length(150 + 20 * (b % 5)),
            opened: true,
            circuits: vec![circuit],
        })
        .collect();
    // Circuits of one transformer share its first trench.
    if maker.circuits > 1 && maker.recipe.on_transformer > 1 {
        segments[0].circuits = (0..maker.recipe.on_transformer.min(maker.circuits)).collect();
    }
    for transformer in 1..maker.transformers {
        segments.push(DrawnSegment {
            a: transformer - 1,
            b: transformer,
            surface: "drive".to_owned(),
            length: length(600),
            opened: false,
            circuits: Vec::new(),
        });
    }
    Drawing {
        nodes: (0..count)
            .map(|node| DrawnNode {
                tag: maker.node_tag(node),
                at: maker.recipe.placed.then(|| place(maker, node)),
            })
            .collect(),
        segments,
        sites: (0..maker.transformers)
            .map(|at| DrawnSite {
                tag: format!("wall {}", at + 1),
                node: at,
                transformers: vec![letter(at)],
            })
            .collect(),
        fixtures: (0..maker.recipe.fixtures)
            .map(|at| DrawnFixture {
                tag: maker.fixture(at),
                node: maker.node_of(at),
                circuit: maker.circuit_of(at),
            })
            .collect(),
        hubs: (0..maker.circuits)
            .step_by(3)
            .map(|at| maker.bend(at))
            .collect(),
    }
}

fn cautions(maker: &Maker) -> Vec<Caution> {
    let caution = |code: &'static str, about: Vec<String>, text: &str| Caution {
        code,
        about,
        text: text.to_owned(),
    };
    let far = (0..maker.circuits)
        .filter(|circuit| circuit % 4 == 2)
        .map(|circuit| maker.label(circuit))
        .collect();
    vec![
        caution(
            "mains",
            Vec::new(),
            "The mains side is for a licensed electrician.",
        ),
        caution(
            "buried_utilities",
            Vec::new(),
            "Have buried utilities located before any ground is opened.",
        ),
        caution(
            "de_energise",
            Vec::new(),
            "De-energise the transformer before wiring.",
        ),
        caution(
            "far_short",
            far,
            "A short at the end of these circuits may not open the breaker in time.",
        ),
        caution(
            "low_line",
            (0..maker.recipe.fixtures)
                .step_by(9)
                .map(|at| maker.fixture(at))
                .collect(),
            "With the line 5 % low these fixtures fall below their window.",
        ),
    ]
}

/// Makes up a dossier.
pub fn dossier(recipe: Recipe) -> Dossier {
    let maker = Maker::new(recipe);
    Dossier {
        header: header(&maker),
        bill: bill(&maker),
        transformers: transformers(&maker),
        circuits: circuits(&maker),
        fixtures: fixtures(&maker),
        pieces: pieces(&maker),
        cutting: cutting(&maker),
        leads: leads(&maker),
        joints: joints(&maker),
        trenches: trenches(&maker),
        quantities: Quantities {
            cables: vec![CableTotal {
                cable: "12-2".to_owned(),
                gauge: "12 AWG".to_owned(),
                pieces: count(recipe.fixtures),
                length: dec!(12345.6),
            }],
            hubs: vec![CountRow {
                tag: "hub-6".to_owned(),
                count: 3,
            }],
            joints: vec![CountRow {
                tag: "gel-2".to_owned(),
                count: count(recipe.fixtures),
            }],
            transformers: vec![CountRow {
                tag: "t-300".to_owned(),
                count: count(maker.transformers),
            }],
            fixtures: vec![CountRow {
                tag: "path-3".to_owned(),
                count: count(recipe.fixtures),
            }],
        },
        cautions: cautions(&maker),
        drawing: drawing(&maker),
    }
}
