//! The figures a plan file states against those the checker computed.

use super::figures::{CostKind, Figures};
use super::findings::Findings;
use super::violation::{Excess, Place, Rule, Violation};
use crate::ids::{CircuitId, FixtureId, JointId, PlacedId};
use crate::job::Job;
use crate::plan::json::{
    CircuitResults, CostResult, FixtureResults, PieceResults, PlanResults, TransformerResults,
};
use crate::plan::{Plan, piece_label};
use crate::units::{Amperes, VoltAmperes, Volts};

/// Two methods agree to far better than a microvolt; a stated figure may be off by this much.
const STATED_TOLERANCE: f64 = 1e-5;

impl CostKind {
    /// Every kind.
    pub const ALL: [Self; 8] = [
        Self::Trench,
        Self::PerCable,
        Self::Cable,
        Self::Joints,
        Self::Hubs,
        Self::Transformers,
        Self::Sites,
        Self::Losses,
    ];
    /// Its word in a plan file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Trench => "trench",
            Self::PerCable => "per_cable",
            Self::Cable => "cable",
            Self::Joints => "joints",
            Self::Hubs => "hubs",
            Self::Transformers => "transformers",
            Self::Sites => "sites",
            Self::Losses => "losses",
        }
    }
}

impl Figures {
    /// The figures as a plan file states them.
    ///
    /// # Panics
    /// When the figures were computed for another job or plan.
    #[must_use]
    pub fn results(&self, job: &Job) -> PlanResults {
        let fixtures = job.fixtures.iter().zip(&self.fixtures);
        let transformers = self.transformers.iter().enumerate();
        PlanResults {
            fixtures: fixtures
                .map(|(fixture, volts)| FixtureResults {
                    fixture: fixture.tag.clone(),
                    volts_low_case_v: volts.low.map(Volts::value),
                    volts_high_case_v: volts.high.map(Volts::value),
                    volts_expected_v: volts.expected.map(Volts::value),
                })
                .collect(),
            circuits: (0..self.circuits.len())
                .map(|index| self.circuit_results(CircuitId::new(index)))
                .collect(),
            transformers: transformers
                .map(|(index, transformer)| TransformerResults {
                    transformer: PlacedId::new(index).to_string(),
                    apparent_low_case_va: transformer.low.map(VoltAmperes::value),
                    permitted_va: transformer.permitted.value(),
                })
                .collect(),
            cost: self
                .cost
                .iter()
                .map(|line| CostResult {
                    kind: line.kind.word().to_owned(),
                    tag: line.tag.clone(),
                    cost: line.cost.value(),
                })
                .collect(),
            direct_cost: self.total().value(),
        }
    }

    fn circuit_results(&self, id: CircuitId) -> CircuitResults {
        let circuit = &self.circuits[id.index()];
        let pieces = circuit.pieces.iter().enumerate();
        CircuitResults {
            circuit: id.to_string(),
            source_volts_low_case_v: circuit.low_source.map(Volts::value),
            current_low_case_a: circuit.low.map(Amperes::value),
            pieces: pieces
                .map(|(at, piece)| PieceResults {
                    piece: piece_label(id, JointId::new(at)),
                    current_low_case_a: piece.low.map(Amperes::value),
                    current_expected_a: piece.expected.map(Amperes::value),
                })
                .collect(),
        }
    }
}

/// Every stated figure that differs from the computed one.
///
/// Figures are matched by tag and label; one that is stated for nothing in the
/// plan, or not stated, differs too.
#[must_use]
pub fn stated_figures(
    job: &Job,
    plan: &Plan,
    stated: &PlanResults,
    figures: &Figures,
) -> Vec<Violation> {
    let computed = figures.results(job);
    let mut claims = Claims {
        findings: Findings::new(job, plan),
    };
    claims.fixtures(stated, &computed);
    claims.circuits(stated, &computed);
    claims.transformers(stated, &computed);
    claims.cost(stated, figures);
    claims.findings.violations
}

struct Claims<'a> {
    findings: Findings<'a>,
}

impl Claims<'_> {
    /// One figure: equal within the tolerance, or absent on both sides.
    fn figure(
        &mut self,
        place: Place,
        what: &str,
        pair: (Option<f64>, Option<f64>),
        unit: &'static str,
    ) {
        match pair {
            (None, None) => {}
            (Some(stated), Some(computed)) => {
                let equal = (stated - computed).abs() <= STATED_TOLERANCE;
                if !equal {
                    let excess = Excess {
                        found: stated,
                        limit: computed,
                        unit,
                    };
                    self.findings.stated(place, what, Some(excess));
                }
            }
            _ => self.findings.stated(place, what, None),
        }
    }

    fn lists(&mut self, what: &str, stated: usize, computed: usize) {
        if stated != computed {
            let detail = format!("{stated} {what} stated, the plan has {computed}");
            self.findings.fact(Rule::StatedFigure, Place::Plan, detail);
        }
    }

    fn named(&mut self, place: Place, stated: &str, expected: &str) -> bool {
        if stated != expected {
            let detail = format!("figures stated for `{stated}` stand where `{expected}` belongs");
            self.findings.fact(Rule::StatedFigure, place, detail);
        }
        stated == expected
    }

    fn fixtures(&mut self, stated: &PlanResults, computed: &PlanResults) {
        self.lists("fixtures", stated.fixtures.len(), computed.fixtures.len());
        let pairs = stated.fixtures.iter().zip(&computed.fixtures);
        for (index, (stated, computed)) in pairs.enumerate() {
            let place = Place::Fixture(FixtureId::new(index));
            if !self.named(place, &stated.fixture, &computed.fixture) {
                continue;
            }
            let low = (stated.volts_low_case_v, computed.volts_low_case_v);
            self.figure(place, "low case", low, "V");
            let high = (stated.volts_high_case_v, computed.volts_high_case_v);
            self.figure(place, "high case", high, "V");
            let expected = (stated.volts_expected_v, computed.volts_expected_v);
            self.figure(place, "expected", expected, "V");
        }
    }

    fn circuits(&mut self, stated: &PlanResults, computed: &PlanResults) {
        self.lists("circuits", stated.circuits.len(), computed.circuits.len());
        let pairs = stated.circuits.iter().zip(&computed.circuits);
        for (index, (stated, computed)) in pairs.enumerate() {
            let id = CircuitId::new(index);
            let place = Place::Circuit(id);
            if !self.named(place, &stated.circuit, &computed.circuit) {
                continue;
            }
            let volts = (
                stated.source_volts_low_case_v,
                computed.source_volts_low_case_v,
            );
            self.figure(place, "low case at the lugs", volts, "V");
            let amps = (stated.current_low_case_a, computed.current_low_case_a);
            self.figure(place, "low case", amps, "A");
            self.pieces(id, stated, computed);
        }
    }

    fn pieces(&mut self, id: CircuitId, stated: &CircuitResults, computed: &CircuitResults) {
        self.lists("pieces", stated.pieces.len(), computed.pieces.len());
        let pairs = stated.pieces.iter().zip(&computed.pieces);
        for (index, (stated, computed)) in pairs.enumerate() {
            let place = Place::Piece(id, JointId::new(index));
            if !self.named(place, &stated.piece, &computed.piece) {
                continue;
            }
            let low = (stated.current_low_case_a, computed.current_low_case_a);
            self.figure(place, "low case", low, "A");
            let expected = (stated.current_expected_a, computed.current_expected_a);
            self.figure(place, "expected", expected, "A");
        }
    }

    fn transformers(&mut self, stated: &PlanResults, computed: &PlanResults) {
        let counts = (stated.transformers.len(), computed.transformers.len());
        self.lists("transformers", counts.0, counts.1);
        let pairs = stated.transformers.iter().zip(&computed.transformers);
        for (index, (stated, computed)) in pairs.enumerate() {
            let place = Place::Transformer(PlacedId::new(index));
            if !self.named(place, &stated.transformer, &computed.transformer) {
                continue;
            }
            let load = (stated.apparent_low_case_va, computed.apparent_low_case_va);
            self.figure(place, "low case", load, "VA");
            let permitted = (Some(stated.permitted_va), Some(computed.permitted_va));
            self.figure(place, "permitted", permitted, "VA");
        }
    }

    /// Costs are compared by kind and in all: lines may be split otherwise.
    fn cost(&mut self, stated: &PlanResults, figures: &Figures) {
        for kind in CostKind::ALL {
            let lines = stated.cost.iter().filter(|line| line.kind == kind.word());
            let sum: f64 = lines.map(|line| line.cost).sum();
            let pair = (Some(sum), Some(figures.of_kind(kind).value()));
            self.figure(Place::Plan, kind.word(), pair, "(currency)");
        }
        let total = (Some(stated.direct_cost), Some(figures.total().value()));
        self.figure(Place::Plan, "direct cost", total, "(currency)");
    }
}
