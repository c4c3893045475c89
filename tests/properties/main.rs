//! Test room: properties.

mod cutting;
