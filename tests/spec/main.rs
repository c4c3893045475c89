//! Test room: spec.
