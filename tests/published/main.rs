//! Test room: published.
