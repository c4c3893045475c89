//! The figures that a plan file states, and whether the checker agrees.
//!
//! The statements come from the electrical model and the bill; the checker
//! computes its own by other formulas. Where they differ one of the two is
//! wrong, and a plan with a wrong figure is not shown as good.

use duskwright_solver::bill::DirectPart;
use duskwright_solver::check::{CostKind, Figures};
use duskwright_solver::electrical::cases::{CaseFigures, CaseState};
use duskwright_solver::ids::{CircuitId, FixtureId, JointId, PlacedId};
use duskwright_solver::job::Job;
use duskwright_solver::plan::json::{
    CircuitResults, CostResult, FixtureResults, PieceResults, PlanResults, TransformerResults,
};
use duskwright_solver::plan::{Plan, piece_label};
use duskwright_solver::schedule::Dossier;
use duskwright_solver::units::Volts;

/// Largest difference between two right figures, V, A or VA: both methods stop
/// far below it, and plans are judged to 1e-6.
const AGREE: f64 = 1e-6;

/// Largest relative difference between two right costs: sums of the same terms in another order.
const COST_AGREE: f64 = 1e-9;

/// The same for energy, which two solutions of the expected case tell.
const ENERGY_AGREE: f64 = 1e-6;

/// What a plan file states.
pub(crate) fn of(job: &Job, plan: &Plan, cases: &CaseFigures, dossier: &Dossier) -> PlanResults {
    let direct = &dossier.bill.direct;
    PlanResults {
        fixtures: fixtures(job, plan, cases),
        circuits: circuits(plan, cases),
        transformers: transformers(cases, dossier),
        cost: direct
            .lines
            .iter()
            .map(|line| CostResult {
                kind: part_word(line.part).to_owned(),
                tag: String::new(),
                cost: line.cost.value(),
            })
            .collect(),
        direct_cost: direct.cost.value(),
    }
}

fn fixtures(job: &Job, plan: &Plan, cases: &CaseFigures) -> Vec<FixtureResults> {
    let mut rows: Vec<FixtureResults> = job
        .fixtures
        .iter()
        .map(|fixture| FixtureResults {
            fixture: fixture.tag.clone(),
            ..FixtureResults::default()
        })
        .collect();
    for (circuit, solved) in plan.circuits.iter().zip(&cases.circuits) {
        for (position, lead) in circuit.leads.iter().enumerate() {
            let volts = |state: &CaseState| Some(state.fixtures[position].value());
            let row = &mut rows[lead.fixture.index()];
            row.volts_low_case_v = volts(&solved.low);
            row.volts_high_case_v = volts(&solved.high);
            row.volts_expected_v = volts(&solved.expected);
        }
    }
    rows
}

fn circuits(plan: &Plan, cases: &CaseFigures) -> Vec<CircuitResults> {
    let row = |(index, solved): (usize, &duskwright_solver::electrical::cases::CircuitCases)| {
        let id = CircuitId::new(index);
        let joints = 0..plan.circuits[index].joints.len();
        CircuitResults {
            circuit: id.to_string(),
            source_volts_low_case_v: Some(solved.low.source.value()),
            current_low_case_a: Some(solved.low.home_run().value()),
            pieces: joints
                .map(|joint| PieceResults {
                    piece: piece_label(id, JointId::new(joint)),
                    current_low_case_a: Some(solved.low.pieces[joint].value()),
                    current_expected_a: Some(solved.expected.pieces[joint].value()),
                })
                .collect(),
        }
    };
    cases.circuits.iter().enumerate().map(row).collect()
}

fn transformers(cases: &CaseFigures, dossier: &Dossier) -> Vec<TransformerResults> {
    let rows = cases.transformers.iter().zip(&dossier.transformers);
    rows.enumerate()
        .map(|(index, (solved, row))| TransformerResults {
            transformer: PlacedId::new(index).to_string(),
            apparent_low_case_va: Some(solved.apparent.value()),
            permitted_va: row.permitted.value(),
        })
        .collect()
}

const fn part_word(part: DirectPart) -> &'static str {
    match part {
        DirectPart::Trench => "trench",
        DirectPart::CableWork => "cable work",
        DirectPart::Cable => "cable",
        DirectPart::Joints => "joints",
        DirectPart::Hubs => "hubs",
        DirectPart::Transformers => "transformers",
        DirectPart::Sites => "sites",
        DirectPart::FurtherCircuits => "further circuits",
        DirectPart::Losses => "losses",
    }
}

/// The parts of the cost that the checker's own arithmetic must confirm.
const KINDS: [CostKind; 7] = [
    CostKind::Trench,
    CostKind::PerCable,
    CostKind::Joints,
    CostKind::Hubs,
    CostKind::Transformers,
    CostKind::Sites,
    CostKind::Losses,
];

/// What the checker calls the part of that name; `None` for a part that it
/// leaves alone (what whole spools cost depends on a cutting plan).
fn kind_of(word: &str) -> Option<CostKind> {
    Some(match word {
        "trench" => CostKind::Trench,
        "cable work" => CostKind::PerCable,
        "joints" => CostKind::Joints,
        "hubs" => CostKind::Hubs,
        "transformers" => CostKind::Transformers,
        "sites" | "further circuits" => CostKind::Sites,
        "losses" => CostKind::Losses,
        _ => return None,
    })
}

/// Statements of a plan file that the checker does not confirm, one sentence each.
///
/// A figure that the file leaves out is no statement.
pub(crate) fn misstated(job: &Job, stated: &PlanResults, found: &Figures) -> Vec<String> {
    let mut wrong = Wrong(Vec::new());
    for row in &stated.fixtures {
        wrong.fixture(job, row, found);
    }
    for (index, row) in stated.circuits.iter().enumerate() {
        wrong.circuit(CircuitId::new(index), row, found);
    }
    for (row, own) in stated.transformers.iter().zip(&found.transformers) {
        let name = format!("transformer {}, low case", row.transformer);
        let own_va = own.low.map(|va| va.value());
        wrong.compare(&name, "VA", row.apparent_low_case_va, own_va);
        let name = format!("transformer {}, permitted", row.transformer);
        wrong.compare(
            &name,
            "VA",
            Some(row.permitted_va),
            Some(own.permitted.value()),
        );
    }
    if stated.cost.is_empty() {
        return wrong.0;
    }
    for kind in KINDS {
        let parts = stated
            .cost
            .iter()
            .filter(|row| kind_of(&row.kind) == Some(kind));
        let own = found.of_kind(kind).value();
        let agree = match kind {
            CostKind::Losses => ENERGY_AGREE,
            _ => COST_AGREE,
        };
        let stated = parts.map(|row| row.cost).sum();
        wrong.cost(&format!("{kind:?}"), stated, own, agree);
    }
    let sum: f64 = stated.cost.iter().map(|row| row.cost).sum();
    wrong.cost(
        "direct cost as the sum of its parts",
        stated.direct_cost,
        sum,
        COST_AGREE,
    );
    wrong.0
}

/// Collects statements that are not confirmed.
struct Wrong(Vec<String>);

impl Wrong {
    fn compare(&mut self, name: &str, unit: &str, stated: Option<f64>, own: Option<f64>) {
        let Some(stated) = stated else {
            return;
        };
        let agrees = own.is_some_and(|own| (stated - own).abs() <= AGREE);
        if !agrees {
            let own = own.map_or("nothing".to_owned(), |own| format!("{own:.6} {unit}"));
            self.0
                .push(format!("{name}: stated {stated:.6} {unit}, found {own}"));
        }
    }

    fn cost(&mut self, name: &str, stated: f64, own: f64, agree: f64) {
        let near = agree * stated.abs().max(own.abs()).max(1.0);
        let agrees = (stated - own).abs() <= near;
        if !agrees {
            self.0.push(format!(
                "cost of {name}: stated {stated:.6}, found {own:.6}"
            ));
        }
    }

    fn fixture(&mut self, job: &Job, row: &FixtureResults, found: &Figures) {
        let at = job
            .fixtures
            .iter()
            .position(|known| known.tag == row.fixture);
        let own = at.and_then(|index| found.fixtures.get(FixtureId::new(index).index()));
        let volts = |volts: Option<Volts>| volts.map(Volts::value);
        for (case, stated, own) in [
            (
                "low",
                row.volts_low_case_v,
                own.and_then(|own| volts(own.low)),
            ),
            (
                "high",
                row.volts_high_case_v,
                own.and_then(|own| volts(own.high)),
            ),
            (
                "expected",
                row.volts_expected_v,
                own.and_then(|own| volts(own.expected)),
            ),
        ] {
            self.compare(
                &format!("fixture {}, {case} case", row.fixture),
                "V",
                stated,
                own,
            );
        }
    }

    fn circuit(&mut self, id: CircuitId, row: &CircuitResults, found: &Figures) {
        let own = found.circuits.get(id.index());
        let source = own.and_then(|own| own.low_source).map(Volts::value);
        let name = format!("circuit {}, low case", row.circuit);
        self.compare(&name, "V", row.source_volts_low_case_v, source);
        let amps = own.and_then(|own| own.low).map(|amps| amps.value());
        self.compare(&name, "A", row.current_low_case_a, amps);
        for (index, piece) in row.pieces.iter().enumerate() {
            let own = own.and_then(|own| own.pieces.get(index));
            let low = own.and_then(|own| own.low).map(|amps| amps.value());
            let expected = own.and_then(|own| own.expected).map(|amps| amps.value());
            let name = |case| format!("piece {}, {case} case", piece.piece);
            self.compare(&name("low"), "A", piece.current_low_case_a, low);
            self.compare(&name("expected"), "A", piece.current_expected_a, expected);
        }
    }
}
