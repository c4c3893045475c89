//! Test room: refusals.
