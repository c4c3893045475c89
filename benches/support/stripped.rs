//! A job without some of its costs and rules: how the gap changes tells what the bound misses.

use crate::catalogue::money;
use duskwright_solver::job::{Job, SurfaceWork, Window};
use duskwright_solver::units::{Hours, VoltAmperes, Volts, Watts};
use rust_decimal::Decimal;

/// What can be left out, by the word for it.
pub const WORDS: [&str; 7] = [
    "cable",
    "current",
    "highest",
    "joints",
    "leads",
    "transformers",
    "work",
];

/// A highest voltage that no tap reaches, V.
const OUT_OF_REACH: f64 = 20.0;

/// Leaves out of a job what a word of [`WORDS`] says: the price of cable, nine tenths of every
/// load, highest voltages, the cost of joints and hubs, leads, the price of transformers, the
/// work on each cable.
///
/// # Errors
/// For any other word.
pub fn without(job: &mut Job, word: &str) -> Result<(), String> {
    let free = money(Decimal::ZERO);
    match word {
        "cable" => {
            let prices = job
                .cables
                .iter_mut()
                .filter_map(|cable| cable.price.as_mut());
            prices.for_each(|price| price.per_unit = free);
        }
        "current" => {
            for model in &mut job.models {
                model.apparent = VoltAmperes::new(0.1 * model.apparent.value());
                model.real = Watts::new(0.1 * model.real.value());
            }
        }
        "highest" => {
            for model in &mut job.models {
                let wider = Window::new(model.window.min(), Volts::new(OUT_OF_REACH));
                model.window = wider.unwrap_or(model.window);
            }
        }
        "joints" => {
            for kind in &mut job.joints {
                (kind.price, kind.hours) = (free, Hours::ZERO);
            }
            for kind in &mut job.hubs {
                (kind.price, kind.hours) = (free, Hours::ZERO);
            }
        }
        "leads" => job.models.iter_mut().for_each(|model| model.lead = None),
        "transformers" => {
            for model in &mut job.transformers {
                (model.price, model.hours) = (free, Hours::ZERO);
            }
        }
        "work" => {
            for surface in &mut job.surfaces {
                surface.per_cable = SurfaceWork {
                    hours_per_unit: 0.0,
                    money_per_unit: free,
                };
            }
        }
        _ => return Err(format!("WITHOUT: `{word}`; accepted: {}", WORDS.join(", "))),
    }
    Ok(())
}
