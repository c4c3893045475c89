//! Least-cost wiring plans for low-voltage outdoor lighting.
//!
//! One direction: read -> site graph -> electrical model -> candidate runs ->
//! optimise -> check -> price and cut. The crate knows no paths, pages or
//! clocks: file *text* comes in through [`job`], figures go out.

pub mod alternative;
mod back_end;
pub mod bill;
pub mod calendar;
pub mod cells;
pub mod check;
pub mod cut;
pub mod decision;
pub mod electrical;
pub mod ids;
pub mod job;
pub mod lighting;
pub mod optimise;
pub mod order;
pub mod plan;
pub mod portfolio;
pub mod run;
pub mod schedule;
pub mod service;
pub mod site;
pub mod solve;
pub mod tariff;
pub mod units;
