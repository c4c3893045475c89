//! Test room: published.

mod electrical;
mod cutting;
