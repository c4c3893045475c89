//! Numbers, money and units as people read them. The only place that rounds
//! for display; sums are never made here.

mod amount;
mod number;

pub use amount::{
    cost, counted, decimal_percent, hours, length, money, money_exact, percent, quantity, rounded,
};
pub use number::{fixed, grouped, significant, trimmed, window};
