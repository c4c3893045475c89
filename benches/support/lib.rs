//! What several benches share.
