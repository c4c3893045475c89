//! Test room: published.

mod cutting;
mod electrical;
mod optimiser;
mod solar;
