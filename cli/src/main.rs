//! Duskwright.
fn main() {}
