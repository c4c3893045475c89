//! A made-up dossier of any size: figures that look like a job and hang together
//! where the papers add them up, but are not worked out by the engine.

mod bill;
mod schedules;
mod site;

use bill::bill;
use duskwright_solver::bill::Offer;
use duskwright_solver::schedule::{
    Buying, CableTotal, Caution, CountRow, Dossier, Header, Quantities, SectionRow, Standing,
    Status,
};
use duskwright_solver::units::{Celsius, Cost, UnitSystem, Volts};
use rust_decimal::{Decimal, dec};
use schedules::{circuits, cutting, fixtures, joints, leads, pieces, transformers};
use site::{drawing, trenches};

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

fn transformer(at: usize) -> String {
    format!("T{}", at + 1)
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
        format!("C{}", circuit + 1)
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
    let bill = bill(&maker);
    Dossier {
        header: header(&maker),
        offer: Offer::of(&bill),
        buying: Buying::of(&bill),
        bill,
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
            sections: vec![SectionRow {
                section: Some("Front".to_owned()),
                model: "path-3".to_owned(),
                existing: false,
                count: count(recipe.fixtures),
            }],
        },
        cautions: cautions(&maker),
        drawing: drawing(&maker),
    }
}
