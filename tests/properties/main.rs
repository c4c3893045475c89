//! Test room: properties.

mod nodal;
