//! Test room: published.

mod electrical;
