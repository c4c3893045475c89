//! Duskwright report.
