//! The survey from outside: cheapest ways against an independent solution, properties of any plan.

mod any_plan;
mod reference;
#[path = "../support/site_plans.rs"]
mod site_plans;
mod ways;
