//! Splits a table into lines of cells and remembers where each cell stands.
//!
//! Own splitter, because a mistake must be reported at its line and character
//! and a quote left open must be noticed, not swallow the rest of the file.
//! Quoting as in RFC 4180: a cell that begins with `"` runs to the next lone
//! `"`; `""` inside stands for one. A quote inside an unquoted cell is itself.

/// One cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct RawCell {
    /// Text, trimmed, quotes removed.
    pub text: String,
    /// Character in the line where it begins, from 1.
    pub column: u32,
}

/// One line of the table (several lines of text when a quoted cell runs over).
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct RawRow {
    /// Line where it begins, from 1.
    pub line: u32,
    /// Its cells, at least one.
    pub cells: Vec<RawCell>,
}

impl RawRow {
    /// Whether every cell is blank.
    pub fn blank(&self) -> bool {
        self.cells.iter().all(|cell| cell.text.is_empty())
    }
}

/// A quote that never closes, where it was opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct OpenQuote {
    /// Line, from 1.
    pub line: u32,
    /// Character, from 1.
    pub column: u32,
}

/// The separator of a table: the one of `,` `;` tab that its first line that is
/// not blank has most of outside quotes; comma when it has none.
pub(super) fn separator(text: &str) -> char {
    let heading = text.lines().find(|line| !line.trim().is_empty());
    let count = |separator: char| {
        let mut quoted = false;
        heading
            .unwrap_or_default()
            .chars()
            .filter(|&c| {
                quoted ^= c == '"';
                c == separator && !quoted
            })
            .count()
    };
    [';', '\t']
        .into_iter()
        .fold((',', count(',')), |best, separator| {
            let many = count(separator);
            if many > best.1 {
                (separator, many)
            } else {
                best
            }
        })
        .0
}

/// Walks the characters, keeping line and character.
struct Walk<'a> {
    rest: std::iter::Peekable<std::str::Chars<'a>>,
    line: u32,
    column: u32,
}

impl Walk<'_> {
    fn next(&mut self) -> Option<char> {
        let c = self.rest.next()?;
        if c == '\n' {
            self.line = self.line.saturating_add(1);
            self.column = 1;
        } else {
            self.column = self.column.saturating_add(1);
        }
        Some(c)
    }
}

/// Splits a text into rows; blank ones are left out.
pub(super) fn split(text: &str, separator: char) -> Result<Vec<RawRow>, OpenQuote> {
    let mut walk = Walk {
        rest: text.chars().peekable(),
        line: 1,
        column: 1,
    };
    let mut rows = Vec::new();
    while walk.rest.peek().is_some() {
        let row = row(&mut walk, separator)?;
        if !row.blank() {
            rows.push(row);
        }
    }
    Ok(rows)
}

/// Reads one row with its line end.
fn row(walk: &mut Walk<'_>, separator: char) -> Result<RawRow, OpenQuote> {
    let line = walk.line;
    let mut cells = Vec::new();
    loop {
        let (cell, ended) = cell(walk, separator)?;
        cells.push(cell);
        if ended {
            return Ok(RawRow { line, cells });
        }
    }
}

/// Whether a character ends a line; a lone carriage return does too.
const fn ends_line(c: char) -> bool {
    matches!(c, '\n' | '\r')
}

/// Reads one cell with the separator or line end after it; true when the line ends.
fn cell(walk: &mut Walk<'_>, separator: char) -> Result<(RawCell, bool), OpenQuote> {
    let blank = |c: char| c != separator && !ends_line(c) && c.is_whitespace();
    while walk.rest.peek().is_some_and(|&c| blank(c)) {
        walk.next();
    }
    let column = walk.column;
    let mut text = String::new();
    if walk.rest.peek() == Some(&'"') {
        quoted(walk, &mut text)?;
    }
    loop {
        match walk.next() {
            Some('\r') => {
                if walk.rest.peek() == Some(&'\n') {
                    walk.next();
                } else {
                    walk.line = walk.line.saturating_add(1);
                    walk.column = 1;
                }
                break Ok((finished(&text, column), true));
            }
            Some('\n') | None => break Ok((finished(&text, column), true)),
            Some(c) if c == separator => break Ok((finished(&text, column), false)),
            Some(c) => text.push(c),
        }
    }
}

fn finished(text: &str, column: u32) -> RawCell {
    RawCell {
        text: text.trim().to_owned(),
        column,
    }
}

/// Reads a quoted stretch from its opening quote to the closing one.
fn quoted(walk: &mut Walk<'_>, text: &mut String) -> Result<(), OpenQuote> {
    let opened = OpenQuote {
        line: walk.line,
        column: walk.column,
    };
    walk.next();
    loop {
        match walk.next() {
            None => return Err(opened),
            Some('"') if walk.rest.peek() == Some(&'"') => {
                walk.next();
                text.push('"');
            }
            Some('"') => return Ok(()),
            Some(c) => text.push(c),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(text: &str) -> Vec<Vec<String>> {
        let rows = split(text, separator(text)).expect("no open quote");
        rows.into_iter()
            .map(|row| row.cells.into_iter().map(|cell| cell.text).collect())
            .collect()
    }

    #[test]
    fn line_ends_blank_lines_and_spaces_do_not_matter() {
        let plain = texts("tag,node\nF1,n1\nF2,n2\n");
        assert_eq!(texts("\n tag , node\r\n\r\nF1 ,n1\r\n , \r\n F2,n2"), plain);
        assert_eq!(texts("tag;node\rF1;n1\rF2;n2\r"), plain);
        assert_eq!(texts("tag\tnode\nF1\tn1\nF2\tn2"), plain);
    }

    #[test]
    fn quotes_protect_separators_quotes_and_line_ends() {
        assert_eq!(
            texts("a,b\n\"x, \"\"y\"\"\",\"two\nlines\"\n"),
            [["a", "b"], ["x, \"y\"", "two\nlines"]]
        );
        assert_eq!(split("a\n\"b", ','), Err(OpenQuote { line: 2, column: 1 }));
    }

    #[test]
    fn every_cell_knows_its_line_and_character() {
        let rows = split("a,b\n\"x\ny\", z\n\nc,d", ',').expect("no open quote");
        assert_eq!((rows[1].line, rows[1].cells[1].column), (2, 5));
        assert_eq!((rows[2].line, rows[2].cells[0].column), (5, 1));
    }

    #[test]
    fn a_semicolon_file_keeps_its_decimal_commas() {
        assert_eq!(separator("tag;length_m;price\n\"a\";1,5;2,50"), ';');
        assert_eq!(texts("tag;length_m\na;1,5\n")[1], ["a", "1,5"]);
        assert_eq!(separator("tag"), ',');
    }
}
