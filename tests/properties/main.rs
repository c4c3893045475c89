//! Test room: properties.
