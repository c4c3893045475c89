//! The format as text, printed from the same declarations the reader obeys.

use super::column::{Column, Home, Table};
use super::raw::TABLES;

/// Width of the column of names.
const NAME_WIDTH: usize = 34;

/// Every section, table and column that [`super::read`] reads: name, kind of
/// value, default, meaning. Plain text, one line a column, the same each time.
#[must_use]
pub fn schema_text() -> String {
    let mut text = String::new();
    for (table, shapes, _) in TABLES {
        text.push_str(&heading(table));
        for (column, shape) in table.columns.iter().zip(*shapes) {
            text.push_str(&line(column, shape));
        }
        text.push('\n');
    }
    text
}

fn heading(table: &Table) -> String {
    let presence = if table.required {
        "required"
    } else {
        "optional"
    };
    let name = match table.home {
        Home::Settings if table.name.is_empty() => "job.toml".to_owned(),
        Home::Settings => format!("job.toml [{}]", table.name),
        Home::Entries => format!("job.toml [[{}]]", table.name),
        Home::JobFolder => table.name.to_owned(),
        Home::Catalogue => format!("catalogue/{}", table.name),
    };
    format!("{name} ({presence}): {}\n", table.what)
}

fn line(column: &Column, shape: &str) -> String {
    let start = format!("  {:NAME_WIDTH$}  {}", column.documented(), column.what);
    let ending = if column.required {
        format!(" [{shape}, required]\n")
    } else {
        format!(" [{shape}, default: {}]\n", column.default)
    };
    start + &ending
}
