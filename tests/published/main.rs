//! Test room: published.

mod cutting;
mod electrical;
mod solar;
