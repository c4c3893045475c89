//! The dossier: all schedules of one plan, put together.

use super::buy::Buying;
use super::labels::Labels;
use super::model::{Dossier, Header, Standing};
use super::{
    cautions, circuits, cutting, drawing, fixtures, pieces, quantities, transformers, trenches,
};
use crate::bill::{Bill, CableCutting, CableSupply, Offer, Takeoff};
use crate::electrical::advice::{CircuitAdvice, advise};
use crate::electrical::cases::{CaseFigures, Collapsed, figures};
use crate::ids::CircuitId;
use crate::job::Job;
use crate::plan::Plan;
use crate::units::Cost;

/// What earlier rooms found out about a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Findings {
    /// Its load cases, solved.
    pub cases: CaseFigures,
    /// What each circuit would still bear, in the order of the plan.
    pub advice: Vec<CircuitAdvice>,
    /// How its cable is cut from spools, by cable; empty where cable is paid for by length.
    pub cuttings: Vec<CableCutting>,
    /// Present value of losses, when the job minimises it.
    pub losses: Option<Cost>,
    /// What is known about its cost.
    pub standing: Standing,
}

impl Findings {
    /// Solves the load cases of a plan and what its circuits would still bear:
    /// some hundred solutions a circuit.
    ///
    /// # Errors
    /// [`Collapsed`] when a case of the plan has no operating point.
    /// # Panics
    /// When an id of the plan was made for another job.
    pub fn of(
        job: &Job,
        plan: &Plan,
        cuttings: Vec<CableCutting>,
        losses: Option<Cost>,
        standing: Standing,
    ) -> Result<Self, Collapsed> {
        let circuits = (0..plan.circuits.len()).map(CircuitId::new);
        Ok(Self {
            cases: figures(job, plan)?,
            advice: circuits
                .map(|id| advise(job, plan, id))
                .collect::<Result<_, _>>()?,
            cuttings,
            losses,
            standing,
        })
    }
}

/// What every schedule is made from.
pub(super) struct Scope<'a> {
    pub(super) job: &'a Job,
    pub(super) plan: &'a Plan,
    pub(super) cases: &'a CaseFigures,
    pub(super) advice: &'a [CircuitAdvice],
    pub(super) take: &'a Takeoff,
    pub(super) labels: &'a Labels,
}

impl Dossier {
    /// Works out everything that papers show; linear in pieces, route steps and
    /// segments, but for the sorting of small lists.
    ///
    /// # Panics
    /// When an id of the plan was made for another job, or the cases were solved
    /// or the cable was cut for another plan.
    #[must_use]
    pub fn of(job: &Job, plan: &Plan, findings: &Findings) -> Self {
        let take = Takeoff::of(job, plan);
        let labels = Labels::of(plan);
        let supply = CableSupply::of(&findings.cuttings);
        let scope = Scope {
            job,
            plan,
            cases: &findings.cases,
            advice: &findings.advice,
            take: &take,
            labels: &labels,
        };
        let transformers = transformers::rows(&scope);
        let circuits = circuits::rows(&scope);
        let fixtures = fixtures::rows(&scope);
        let trenches = trenches::rows(&scope);
        let bill = Bill::of(job, plan, &supply, findings.losses);
        Self {
            header: header(&scope, findings.standing.clone()),
            offer: Offer::of(&bill),
            buying: Buying::of(&bill),
            bill,
            pieces: pieces::pieces(&scope),
            cutting: cutting::of(&scope, &findings.cuttings),
            leads: pieces::leads(&scope),
            joints: pieces::joints(&scope),
            quantities: quantities::of(&scope),
            cautions: cautions::of(&scope, &circuits, &fixtures, &trenches),
            drawing: drawing::of(&scope),
            transformers,
            circuits,
            fixtures,
            trenches,
        }
    }
}

fn header(scope: &Scope<'_>, standing: Standing) -> Header {
    let (job, rules) = (scope.job, &scope.job.rules);
    Header {
        job: job.name.clone(),
        currency: job.currency.clone(),
        units: job.units,
        length_unit: job.units.length_symbol().to_owned(),
        fixtures: u32::try_from(scope.take.fixtures.len()).expect("fixture ids are 32-bit"),
        low_case: rules.temperatures.low_case,
        high_case: rules.temperatures.high_case,
        expected_case: rules.temperatures.expected,
        low_margin: rules.margins.low,
        high_margin: rules.margins.high,
        line_low: rules.line.low,
        line_high: rules.line.high,
        length_growth: rules.length_growth,
        loading_limit: rules.loading_limit,
        assumed_power_factor: cautions::assumed(scope),
        standing,
    }
}
