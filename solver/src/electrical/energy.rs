//! Mains power of a plan while its lights burn: what the present value of
//! losses and energy is made of.

use super::cases::{Collapsed, expected_case};
use crate::ids::PlacedId;
use crate::job::Job;
use crate::plan::{Plan, TransformerSource};
use crate::units::Watts;

/// Real power that the plan's circuits draw from the mains in the expected case,
/// all on: at the terminals, over the efficiency of each transformer, and the
/// no-load loss of each one bought. What a standing transformer loses and feeds
/// already is no consequence of the plan.
///
/// # Errors
/// [`Collapsed`] when the expected case has no operating point.
/// # Panics
/// When the ids of the plan were made for another job.
pub fn mains_watts(job: &Job, plan: &Plan) -> Result<Watts, Collapsed> {
    let mut watts = 0.0;
    for (index, placed) in plan.transformers.iter().enumerate() {
        let model = job.transformer(placed.model(job));
        let solved = expected_case(job, plan, PlacedId::new(index), 1.0)?;
        let terminals = solved.circuits.iter().map(|(_, state)| state.real.value());
        watts += terminals.sum::<f64>() / model.efficiency;
        if matches!(placed.source, TransformerSource::New(_)) {
            watts += model.no_load_loss.value();
        }
    }
    Ok(Watts::new(watts))
}
