//! What several test rooms share: small jobs built in code, reference data located.

mod small_job;

pub use small_job::{JOB_TOML, TABLES, altered, small_job};
