//! The second opinion: re-verifies a plan from the inputs alone, by its own
//! formulas and a nodal solution. Imports types only: of `units`, `ids`, `job`, `plan`, and of
//! the cutting that it is asked to judge.
//!
//! [`verify`] never trusts a plan: indices out of range, loops and broken
//! routes are findings, not panics.

mod cases;
mod claims;
mod cutting;
mod figures;
mod findings;
mod grid;
mod hardware;
mod layout;
mod measure;
mod network;
pub mod nodal;
mod phasor;
mod price;
mod site_rules;
mod sound;
mod violation;
mod wiring;

pub use claims::stated_figures;
pub use cutting::cutting;
pub use figures::{
    CircuitFigures, CostKind, CostLine, Figures, FixtureFigures, PieceFigures, SiteFigures,
    TransformerFigures,
};
pub use network::{Bus, Feed, Load, Network, Supply};
pub use phasor::Phasor;
pub use violation::{Excess, Place, Rule, Violation};

use crate::job::Job;
use crate::plan::Plan;
use findings::Findings;

/// What the checker says of a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Verdict {
    /// Every broken rule, by kind of rule, then in plan order; empty for a lawful plan.
    pub violations: Vec<Violation>,
    /// What the checker computed itself. Empty when the plan is not even a set of trees over the job.
    pub figures: Figures,
}

impl Verdict {
    /// Whether the plan keeps every rule.
    #[must_use]
    pub fn is_lawful(&self) -> bool {
        self.violations.is_empty()
    }
}

/// Re-verifies a plan against every rule of the wiring model.
///
/// Linear in the size of the plan but for the few dozen block eliminations of
/// each transformer's nodal solution, each linear in its joints and leads.
#[must_use]
pub fn verify(job: &Job, plan: &Plan) -> Verdict {
    let mut findings = Findings::new(job, plan);
    let mut figures = Figures::default();
    if sound::references(&mut findings) {
        wiring::rules(&mut findings);
        let trees = !findings
            .violations
            .iter()
            .any(|found| matches!(found.rule, Rule::HomeRun | Rule::Tree));
        layout::rule(&mut findings);
        hardware::rules(&mut findings);
        site_rules::rules(&mut findings);
        if trees {
            figures = cases::rules(&mut findings);
            site_rules::mains(&mut findings, &figures);
        }
        figures.cost = price::lines(job, plan);
        let energy = price::energy(job, plan, &figures);
        figures.cost.extend(energy);
    }
    Verdict {
        violations: findings.violations,
        figures,
    }
}
