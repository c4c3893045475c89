//! Test room: the proven lower bound, and the judge that enumerates every plan of tiny jobs.

mod against_the_judge;
mod garden;
mod jobs;
mod judge;
mod leftover;
mod metamorphic;
mod out_of_reach;
mod published;
mod tiny;
mod worked;
