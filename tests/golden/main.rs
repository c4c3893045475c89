//! Test room: golden.
