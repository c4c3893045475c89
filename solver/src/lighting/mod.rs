//! When the lights are on: darkness over a year, what timers must be set to, what the
//! devices then do, and what that costs.
//!
//! Dusk is the end of evening civil twilight and dawn the beginning of the morning's,
//! the sun 6° below the horizon. Everything is counted in minutes of the local year.

pub mod devices;
pub mod table;
pub mod year;
pub mod zones;

pub use table::{MonthRow, Settings};
pub use year::{LightingError, Year};
pub use zones::{ZoneYear, zones};
