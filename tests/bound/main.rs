//! Test room: bound.
