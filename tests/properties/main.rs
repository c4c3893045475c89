//! Test room: properties.

mod electrical;
mod nodal;
mod plan_file;
