//! Many jobs: which, by whom, what is on record, and what is shown meanwhile.

pub(crate) mod crew;
pub(crate) mod display;
pub(crate) mod list;
pub(crate) mod lock;
pub(crate) mod merge;
pub(crate) mod place;
pub(crate) mod record;
pub(crate) mod shard;
