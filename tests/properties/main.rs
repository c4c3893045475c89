//! Test room: properties.

mod nodal;
mod plan_file;
