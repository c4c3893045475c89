//! When the lights are on: darkness over a year, what timers must be set to and what the
//! devices then do.
//!
//! Dusk is the end of evening civil twilight and dawn the beginning of the morning's,
//! the sun 6° below the horizon. Everything is counted in minutes of the local year.
//! No job here, no plan: a place, times, devices.

pub mod devices;
pub mod rule;
pub mod table;
pub mod year;

pub use table::{MonthRow, Settings, hours_on};
pub use year::{LightingError, Year};
