//! The ground and the drawing of a made-up dossier.

use super::{Maker, count, length, transformer};
use duskwright_solver::schedule::{
    Drawing, DrawnFixture, DrawnNode, DrawnSegment, DrawnSite, SegmentRow, SurfaceRow, Trenches,
};
use duskwright_solver::units::Money;
use rust_decimal::{Decimal, dec};

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

pub fn trenches(maker: &Maker) -> Trenches {
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
        let opened = segments.iter().filter(|row| row.surface == surface).count();
        SurfaceRow {
            surface: surface.to_owned(),
            segments: count(opened),
            length: Decimal::from(opened) * dec!(15.0),
            cable: Decimal::from(opened) * dec!(15.0),
            hours: Decimal::from(opened) * dec!(0.45),
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

pub fn drawing(maker: &Maker) -> Drawing {
    let nodes = maker.transformers + maker.circuits + maker.recipe.fixtures;
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
        nodes: (0..nodes)
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
                transformers: vec![transformer(at)],
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
