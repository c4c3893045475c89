//! Test room: broken jobs, and the whole message each gets.

mod page;
