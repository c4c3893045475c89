//! Many jobs side by side: what each came to, what failed and why, and the sums.

mod model;
mod tables;
#[cfg(test)]
mod tests;
mod totals;

pub use model::{CableLength, Fate, JobFigures, ModelCount, PortfolioRow};
pub use totals::{CableSum, MoneySum, Portfolio};
