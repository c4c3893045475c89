//! Tables as comma-separated text (RFC 4180, but lines end in `\n`) for
//! spreadsheets: one header row, a point as decimal mark, and no cell that a
//! spreadsheet would run.

/// Characters with which a spreadsheet takes a text cell for a formula, or skips to one
/// (the list of OWASP's page on CSV injection, full-width forms included, from memory).
const FORMULA_STARTS: [char; 11] = [
    '=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}',
];

/// Whether a spreadsheet may take this text for a formula.
#[must_use]
pub fn is_run(cell: &str) -> bool {
    cell.starts_with(FORMULA_STARTS)
}

/// A text cell that no spreadsheet runs as a formula: an apostrophe goes before
/// what begins with `=`, `+`, `-`, `@` (full-width too), a tab or a line end.
///
/// For text that a user wrote. Numbers written by the program need none.
#[must_use]
pub fn text(cell: &str) -> String {
    if is_run(cell) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

/// One table; every row has as many cells as the header.
///
/// # Panics
/// When a row has another number of cells.
#[must_use]
pub fn table(header: &[String], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    const IN_MEMORY: &str = "memory takes every row, and all rows are as long as the header";
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(header).expect(IN_MEMORY);
    for row in rows {
        writer.write_record(row).expect(IN_MEMORY);
    }
    let bytes = writer.into_inner().expect(IN_MEMORY);
    String::from_utf8(bytes).expect("cells are text")
}

/// First cell of a row that says how a table was made.
const MADE: &str = "made";

/// Names of the facts about how a result was made: version of the program, SHA-256 of the
/// input, effort and seed of the search.
pub const ORIGIN: [&str; 3] = ["version", "input_sha256", "search"];

/// The two columns beside the first, for [`with_origin`] in a table without columns that
/// suit name and value better.
pub const BESIDE: [usize; 2] = [1, 2];

/// Whether a row is one of [`with_origin`]: `made`, then one of [`ORIGIN`] with its value, and
/// nothing else, whatever the columns.
pub fn tells_origin<'a>(row: impl IntoIterator<Item = &'a str>) -> bool {
    let mut filled = row.into_iter().map(str::trim);
    let begins = filled.next() == Some(MADE);
    let mut told = filled.filter(|cell| !cell.is_empty());
    begins
        && told.next().is_some_and(|name| ORIGIN.contains(&name))
        && told.next().is_some()
        && told.next().is_none()
}

/// A table with a row at its end for each fact about how it was made: `made` in the first
/// cell, then name and value in the columns of these positions.
///
/// # Panics
/// When `table` is no table of [`table`], or has no such column.
#[must_use]
pub fn with_origin(
    table: &str,
    [name, value]: [usize; 2],
    facts: &[(&'static str, String)],
) -> String {
    const A_TABLE: &str = "a table of this program has a header row";
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let width = reader.headers().expect(A_TABLE).len();
    let rows = facts.iter().map(|(fact, told)| {
        let mut row = vec![String::new(); width];
        row[0] = MADE.to_owned();
        row[name] = (*fact).to_owned();
        row[value] = text(told);
        row
    });
    let mut writer = csv::Writer::from_writer(table.as_bytes().to_vec());
    for row in rows {
        writer
            .write_record(row)
            .expect("memory takes every row, all of one length");
    }
    let bytes = writer.into_inner().expect("memory takes every row");
    String::from_utf8(bytes).expect("cells are text")
}

/// Names of columns.
#[must_use]
pub fn names<const N: usize>(columns: [&str; N]) -> Vec<String> {
    columns.map(str::to_owned).to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_that_a_spreadsheet_would_run_is_neutralised() {
        for cell in ["=1+1", "+F1", "-F1", "@F1", "\tF1", "\rF1", "\n=F1", "＝1"] {
            assert_eq!(text(cell), format!("'{cell}"));
        }
        assert_eq!(text("F1-a=b"), "F1-a=b");
        assert_eq!(text(""), "");
    }

    #[test]
    fn how_a_table_was_made_stands_in_rows_of_their_own() {
        let bare = table(
            &names(["row", "item", "price"]),
            [["line", "a,b", "3"].map(str::to_owned).to_vec()],
        );
        assert_eq!(
            with_origin(&bare, [1, 2], &[("seed", "1".to_owned())]),
            format!("{bare}made,seed,1\n")
        );
    }

    #[test]
    fn a_row_that_says_how_a_table_was_made_is_known_by_its_three_cells() {
        for row in [
            ["made", "version", "0.1.0", ""],
            ["made", "", "input_sha256", "ab"],
            ["made", " search ", "effort quick, seed 1", " "],
        ] {
            assert!(tells_origin(row), "{row:?}");
        }
        for row in [
            ["C14", "version", "0.1.0", ""],
            ["made", "30", "2", ""],
            ["made", "version", "", ""],
            ["made", "version", "0.1.0", "9"],
            ["", "made", "version", "0.1.0"],
        ] {
            assert!(!tells_origin(row), "{row:?}");
        }
    }

    /// RFC 4180, section 2, rules 6 and 7: `"b CRLF bb"` and `"b""bb"`.
    #[test]
    fn a_cell_with_comma_quote_or_line_end_is_quoted() {
        let rows = [["a,a", "b\r\nbb", "b\"bb"].map(str::to_owned).to_vec()];
        assert_eq!(
            table(&names(["one", "two", "three"]), rows),
            "one,two,three\n\"a,a\",\"b\r\nbb\",\"b\"\"bb\"\n"
        );
    }
}
