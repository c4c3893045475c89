//! The survey from outside: cheapest ways against an independent solution, properties of any
//! plan, drawings read, every code with its message.

mod any_plan;
mod broken;
mod drawn;
mod page;
mod places;
mod reference;
#[path = "../support/site_plans.rs"]
mod site_plans;
mod texts;
mod ways;
