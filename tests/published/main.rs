//! Test room: published.

mod cutting;
