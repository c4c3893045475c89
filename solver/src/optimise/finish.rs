//! From the search's state to a plan.

use super::state::State;
use crate::ids::{PlacedId, SiteId};
use crate::plan::{Circuit, PlacedTransformer, Plan};
use crate::run::Context;

/// The plan of a state. Transformers come by site and slot, circuits by
/// transformer, secondary, tap and first joint, so equal states make equal plans.
pub(crate) fn plan_of(ctx: &Context<'_>, state: &State) -> Plan {
    let mut units: Vec<(usize, PlacedTransformer)> = state
        .units
        .iter()
        .enumerate()
        .filter_map(|(slot, unit)| unit.map(|unit| (slot, unit)))
        .filter(|&(slot, _)| state.runs_on(slot).next().is_some())
        .map(|(slot, unit)| {
            (
                slot,
                PlacedTransformer {
                    site: unit.site,
                    source: unit.source,
                },
            )
        })
        .collect();
    units.sort_by_key(|(slot, unit)| (unit.site, unit.source, *slot));
    let mut circuits: Vec<Circuit> = state
        .placed()
        .map(|(_, placed)| {
            let position = units.iter().position(|&(slot, _)| slot == placed.unit);
            let run = &placed.run;
            Circuit {
                transformer: PlacedId::new(
                    position.expect("every run hangs on a unit that is kept"),
                ),
                secondary: run.secondary,
                tap: run.tap,
                common: run.common,
                joints: run.shape.joints.clone(),
                leads: run.shape.leads.clone(),
            }
        })
        .collect();
    circuits.sort_by_key(|circuit| {
        (
            circuit.transformer,
            circuit.secondary,
            circuit.tap,
            circuit.joints[0].node,
            circuit.leads[0].fixture,
        )
    });
    let further_circuits = (0..ctx.job.sites.len())
        .map(SiteId::new)
        .filter_map(|site| state.site_demand(ctx, site).map(|(_, more)| (site, more)))
        .filter(|&(_, more)| more > 0)
        .collect();
    Plan {
        transformers: units.into_iter().map(|(_, unit)| unit).collect(),
        further_circuits,
        circuits,
    }
}
