//! What a run is judged by beside the low case: the high case, and energy over the years.

use super::{Evaluator, Supply};
use crate::run::context::Context;
use crate::run::gauge::{KEPT, Solved};
use crate::run::shape::Shape;
use crate::units::Volts;

impl Evaluator {
    /// Whether every fixture stays below its highest voltage with this circuit alone on.
    ///
    /// Fewer circuits on means less load on the transformer and a higher source
    /// voltage, so a circuit that passes alone passes in every switching state.
    pub(super) fn high_case_holds(
        &mut self,
        ctx: &Context<'_>,
        shape: &Shape,
        supply: &Supply,
        tap: Volts,
    ) -> bool {
        let model = ctx.job.transformer(supply.model);
        let tap_v = tap.value() * ctx.job.rules.line.high;
        let no_load_v = tap_v * (1.0 + model.regulation);
        let most_v = |lead: &crate::plan::LeadRun| ctx.fixtures[lead.fixture.index()].most_v;
        if shape.leads.iter().all(|lead| no_load_v <= most_v(lead)) {
            return true;
        }
        self.high.clear();
        for (index, span) in self.pieces.iter().enumerate() {
            let cable = &self.cables[index];
            self.high.add_bus(
                span.parent.map_or(0, |parent| parent as usize + 1),
                cable.high_ohm_per_m * span.length_m + span.contact_ohm,
                cable.reactance_ohm_per_m * span.length_m,
            );
        }
        for lead in &shape.leads {
            let facts = &ctx.fixtures[lead.fixture.index()];
            let ohm = facts.lead_high_ohm + self.lead_contact_ohm(ctx, lead.fixture, lead.joint);
            let bus = self
                .high
                .add_bus(lead.joint.index() + 1, ohm, facts.lead_high_reactance_ohm);
            self.high.set_load(bus, facts.load);
        }
        let mut va = 0.0;
        // For ranking, the source's answer to the load need not settle.
        let steps = if self.exact { 8 } else { 2 };
        for _ in 0..steps {
            let source_v = tap_v * (1.0 + model.regulation * (1.0 - va / model.rated.value()));
            if self.sweep.solve_phasor(&self.high, source_v).is_err() {
                return false;
            }
            let drawn = source_v * self.sweep.source_amps();
            let settled =
                (no_load_v * model.regulation * (drawn - va) / model.rated.value()).abs() < 1e-9;
            va = drawn;
            if settled {
                break;
            }
        }
        let first_tail = shape.joints.len() + 1;
        shape
            .leads
            .iter()
            .enumerate()
            .all(|(index, lead)| self.sweep.volts(first_tail + index) <= most_v(lead) + KEPT)
    }

    /// Energy of the circuit, for ranking: what it loses in the low case and what
    /// its fixtures draw when rated. The plan's own cost counts the expected case.
    pub(super) fn energy(
        &self,
        ctx: &Context<'_>,
        shape: &Shape,
        supply: &Supply,
        solved: Solved,
    ) -> f64 {
        let per_watt = ctx.tariff.energy_per_watt();
        if per_watt == 0.0 {
            return 0.0;
        }
        let reactive: f64 = shape
            .leads
            .iter()
            .map(|lead| &ctx.fixtures[lead.fixture.index()])
            .map(|facts| facts.apparent_va - facts.load.real_w)
            .sum();
        per_watt * (solved.va - reactive).max(0.0) / ctx.job.transformer(supply.model).efficiency
    }
}
