//! Test room: properties.

mod electrical;
mod nodal;
