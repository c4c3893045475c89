//! Test room: the proven lower bound, and the judge that enumerates every plan of tiny jobs.

mod against_the_judge;
mod jobs;
mod judge;
mod published;
mod tiny;
