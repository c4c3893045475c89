//! From bytes to declared rows: text, cells, headings, sections.

mod cells;
mod depth;
mod headings;
mod settings;
mod table;
mod utf8;

pub(in crate::job) use settings::Settings;
pub(in crate::job) use table::{Policy, Rows, rows};
pub(in crate::job) use utf8::text_of;
