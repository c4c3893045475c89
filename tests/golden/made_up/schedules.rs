//! The schedules of a made-up dossier.

use super::{Maker, count, length, transformer};
use duskwright_solver::schedule::{
    CircuitRow, CutRow, Cutting, CuttingTotal, FixtureRow, JointRow, LeadRow, LugRow, PieceEnds,
    PieceRow, Pole, SecondaryRow, SpoolRow, TransformerRow, WireCount,
};
use duskwright_solver::units::{Amperes, Money, VoltAmperes, Volts, Watts};
use rust_decimal::{Decimal, dec};

pub fn transformers(maker: &Maker) -> Vec<TransformerRow> {
    (0..maker.transformers)
        .map(|at| {
            let circuits: Vec<String> = (0..maker.circuits)
                .filter(|circuit| circuit / maker.recipe.on_transformer == at)
                .map(|circuit| maker.label(circuit))
                .collect();
            TransformerRow {
                label: transformer(at),
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
                    lugs: lugs(&circuits),
                }],
                circuits,
            }
        })
        .collect()
}

pub fn circuits(maker: &Maker) -> Vec<CircuitRow> {
    (0..maker.circuits)
        .map(|at| {
            let first = at * maker.recipe.on_circuit;
            let last = (first + maker.recipe.on_circuit).min(maker.recipe.fixtures) - 1;
            CircuitRow {
                label: maker.label(at),
                transformer: transformer(at / maker.recipe.on_transformer),
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
                expected_amps: Amperes::new(3.3 + 0.11 * at as f64),
                limit: Amperes::new(20.0),
                load: VoltAmperes::new(44.9),
                source_volts: Volts::new(13.12),
                source_low: Volts::new(12.6),
                source_high: Volts::new(13.3),
                window_min: Volts::new(10.8),
                window_max: Volts::new(15.0),
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

pub fn fixtures(maker: &Maker) -> Vec<FixtureRow> {
    (0..maker.recipe.fixtures)
        .map(|at| FixtureRow {
            tag: maker.fixture(at),
            model: if at % 3 == 0 { "spot-4" } else { "path-3" }.to_owned(),
            node: maker.node_tag(maker.node_of(at)),
            zone: (maker.circuit_of(at) % 2 == 1).then(|| "garden paths".to_owned()),
            section: None,
            existing: at == 3,
            circuit: maker.label(maker.circuit_of(at)),
            joint: joint_id(maker, at),
            along: along(maker, at) + dec!(25.0),
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

/// Where circuits land: on one tap, and on one common.
fn lugs(circuits: &[String]) -> Vec<LugRow> {
    let landing = || {
        circuits
            .iter()
            .map(|one| (one.clone(), "12 AWG".to_owned()))
    };
    [
        (Pole::Tap(Volts::new(12.0)), "12 V", false),
        (Pole::Tap(Volts::new(13.0)), "13 V", true),
        (Pole::Common, "COM", true),
    ]
    .into_iter()
    .map(|(pole, tag, used)| LugRow {
        pole,
        tag: tag.to_owned(),
        lugs: 8,
        present: u32::from(!used),
        circuits: landing().filter(|_| used).collect(),
    })
    .collect()
}

/// Cable from the terminals to the joint of a fixture.
fn along(maker: &Maker, fixture: usize) -> Decimal {
    let number = fixture % maker.recipe.on_circuit;
    (0..=number)
        .map(|before| length(183 + fixture - before))
        .sum()
}

fn piece_id(maker: &Maker, fixture: usize) -> String {
    format!(
        "{}-P{}",
        maker.label(maker.circuit_of(fixture)),
        fixture % maker.recipe.on_circuit + 1
    )
}

fn joint_id(maker: &Maker, fixture: usize) -> String {
    format!(
        "{}-J{}",
        maker.label(maker.circuit_of(fixture)),
        fixture % maker.recipe.on_circuit + 1
    )
}

pub fn pieces(maker: &Maker) -> Vec<PieceRow> {
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
                id: piece_id(maker, at),
                circuit: maker.label(circuit),
                home_run,
                from: if home_run {
                    transformer(source)
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

pub fn cutting(maker: &Maker) -> Cutting {
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

pub fn leads(maker: &Maker) -> Vec<LeadRow> {
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

pub fn joints(maker: &Maker) -> Vec<JointRow> {
    (0..maker.recipe.fixtures)
        .map(|at| JointRow {
            id: joint_id(maker, at),
            circuit: maker.label(maker.circuit_of(at)),
            node: maker.node_tag(maker.node_of(at)),
            hardware: if at % 6 == 5 { "hub-6" } else { "gel-2" }.to_owned(),
            hub: at % 6 == 5,
            piece: piece_id(maker, at),
            from: if at % maker.recipe.on_circuit == 0 {
                transformer(maker.circuit_of(at) / maker.recipe.on_transformer)
            } else {
                joint_id(maker, at - 1)
            },
            length: length(183 + at),
            along: along(maker, at),
            expected: Volts::new(12.5 - 0.05 * (at % maker.recipe.on_circuit) as f64),
            low: Volts::new(12.0 - 0.07 * (at % maker.recipe.on_circuit) as f64),
            high: Volts::new(12.95),
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
