//! The pages of an order: what to buy, and what to cut at the bench.

mod bench;
mod purchase;

pub use bench::sections as bench_sections;
pub use purchase::sections as purchase_sections;
