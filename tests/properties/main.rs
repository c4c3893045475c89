//! Test room: properties.

mod any_plan;
mod cutting;
mod electrical;
mod nodal;
mod plan_file;
mod second_opinion;
