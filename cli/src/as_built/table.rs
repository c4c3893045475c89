//! One cell of a job's table replaced; every other cell stays as it was written.

use super::change::{Change, What};
use crate::failure::Failure;
use csv::StringRecord;
use duskwright_solver::job::JobText;
use duskwright_solver::units::UnitSystem;

/// A table taken apart.
struct Rows {
    separator: u8,
    rows: Vec<StringRecord>,
}

/// Replaces the length of a path or the node of a fixture; says what stood there.
///
/// # Errors
/// [`Failure::Refused`] when no row, or more than one, is named so.
pub(crate) fn edit(
    text: JobText,
    change: &Change,
    units: UnitSystem,
) -> Result<(JobText, String), Failure> {
    let (table, target) = match change.what {
        What::Path => ("paths.csv", length_heading(units)),
        What::Fixture | What::Tap => ("fixtures.csv", "node"),
    };
    let refused = |reason: &str| change.refused(reason);
    let mut rows = Rows::of(text.get(table).unwrap_or_default())
        .map_err(|error| refused(&error.to_string()))?;
    let row = match change.what {
        What::Path => rows.path(change)?,
        What::Fixture | What::Tap => rows.fixture(change)?,
    };
    let column = rows.column(target).unwrap_or_else(|| rows.add(target));
    let was = rows.replace(row, column, &change.to);
    let bytes = rows.bytes().map_err(|reason| refused(&reason))?;
    Ok((text.with(table, bytes), was))
}

/// Heading of the measured length of a path.
const fn length_heading(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Metric => "length_m",
        UnitSystem::Us => "length_ft",
    }
}

impl Rows {
    fn of(bytes: &[u8]) -> Result<Self, csv::Error> {
        let first = bytes.split(|&byte| byte == b'\n').next();
        let first = first.unwrap_or_default();
        let marks = [b';', b'\t', b','].into_iter();
        let separator = marks.clone().find(|mark| first.contains(mark));
        let separator = separator.unwrap_or(b',');
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(separator)
            .has_headers(false)
            .flexible(true)
            .from_reader(bytes);
        let rows = reader.records().collect::<Result<_, _>>()?;
        Ok(Self { separator, rows })
    }

    fn column(&self, name: &str) -> Option<usize> {
        let plain = |cell: &str| cell.trim().trim_start_matches('\u{feff}').to_lowercase();
        let heading = self.rows.first()?;
        heading.iter().position(|cell| plain(cell) == name)
    }

    /// A column of its own at the end: lengths that followed from positions until now.
    fn add(&mut self, name: &str) -> usize {
        let column = self.rows.first().map_or(0, StringRecord::len);
        if let Some(heading) = self.rows.first_mut() {
            heading.push_field(name);
        }
        column
    }

    fn cell(&self, row: usize, column: Option<usize>) -> &str {
        let cell = column.and_then(|column| self.rows[row].get(column));
        cell.unwrap_or_default().trim()
    }

    /// Row of `node/node` or, where several paths join the same nodes, `node/node/surface`.
    fn path(&self, change: &Change) -> Result<usize, Failure> {
        let words: Vec<&str> = change.name.split('/').map(str::trim).collect();
        let ([one, other], surface) = match words.as_slice() {
            [one, other] => ([*one, *other], None),
            [one, other, surface] => ([*one, *other], Some(*surface)),
            _ => {
                return Err(change.refused(
                    "a path is named by its ends; accepted: node/node, or node/node/surface",
                ));
            }
        };
        let (from, to) = (self.column("from"), self.column("to"));
        let laid = self.column("surface");
        let hits: Vec<usize> = (1..self.rows.len())
            .filter(|&row| {
                let ends = [self.cell(row, from), self.cell(row, to)];
                (ends == [one, other] || ends == [other, one])
                    && surface.is_none_or(|surface| self.cell(row, laid) == surface)
            })
            .collect();
        match hits.as_slice() {
            [hit] => Ok(*hit),
            [] => {
                let ends = |row| [self.cell(row, from), self.cell(row, to)];
                let known: Vec<String> = (1..self.rows.len())
                    .map(|row| match surface {
                        None => ends(row).join("/"),
                        Some(_) => format!("{}/{}", ends(row).join("/"), self.cell(row, laid)),
                    })
                    .collect();
                let known: Vec<&str> = known.iter().map(String::as_str).collect();
                Err(change.unknown(&change.name, "paths.csv has no such path", &known))
            }
            several => {
                let known: Vec<String> = several
                    .iter()
                    .map(|&row| format!("{one}/{other}/{}", self.cell(row, laid)))
                    .collect();
                Err(change.refused(&format!(
                    "several paths join these nodes; accepted: {}",
                    known.join(", ")
                )))
            }
        }
    }

    fn fixture(&self, change: &Change) -> Result<usize, Failure> {
        let tag = self.column("tag");
        let hit = (1..self.rows.len()).find(|&row| self.cell(row, tag) == change.name);
        hit.ok_or_else(|| {
            let known: Vec<&str> = (1..self.rows.len())
                .map(|row| self.cell(row, tag))
                .collect();
            change.unknown(&change.name, "fixtures.csv has no such fixture", &known)
        })
    }

    /// Puts a cell in place; says what stood there.
    fn replace(&mut self, row: usize, column: usize, by: &str) -> String {
        let old = &self.rows[row];
        let was = self.cell(row, Some(column)).to_owned();
        let cells = old.len().max(column + 1);
        self.rows[row] = (0..cells)
            .map(|index| {
                if index == column {
                    by
                } else {
                    old.get(index).unwrap_or_default()
                }
            })
            .collect();
        was
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        let width = self.rows.first().map_or(0, StringRecord::len);
        let mut writer = csv::WriterBuilder::new()
            .delimiter(self.separator)
            .flexible(true)
            .from_writer(Vec::new());
        for row in &self.rows {
            let blanks = width.saturating_sub(row.len());
            let cells = row.iter().chain(std::iter::repeat_n("", blanks));
            let written = writer.write_record(cells);
            written.map_err(|error| error.to_string())?;
        }
        writer.into_inner().map_err(|error| error.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::as_built::change::changes;

    /// Applies one line of a list to tables of two paths joining the same nodes, and a third.
    fn edited(line: &str, paths: &str) -> Result<(String, String), String> {
        let home = tempfile::tempdir().expect("a temporary folder");
        let list = home.path().join("list.csv");
        std::fs::write(&list, format!("what,name,to\n{line}\n")).expect("written");
        let change = &changes(&list).expect("read")[0];
        let text = JobText::new()
            .with("paths.csv", paths)
            .with("fixtures.csv", "tag,node,model\nF1,a,spot\n");
        let table = match change.what {
            What::Path => "paths.csv",
            What::Fixture | What::Tap => "fixtures.csv",
        };
        let (text, was) =
            edit(text, change, UnitSystem::Metric).map_err(|failure| failure.to_string())?;
        let bytes = text.get(table).expect("there").to_vec();
        Ok((String::from_utf8(bytes).expect("text"), was))
    }

    const PATHS: &str = "from,to,length_m,surface\na,b,3.6,sleeve\na,b,3.6,lawn\nb,c,4,lawn\n";

    #[test]
    fn a_measured_length_stands_in_its_cell_alone() {
        let (text, was) = edited("path,c/b,4.4", PATHS).expect("named once");
        assert_eq!(was, "4");
        assert_eq!(text, PATHS.replace("b,c,4,", "b,c,4.4,"));
    }

    #[test]
    fn of_two_paths_between_the_same_nodes_the_surface_tells() {
        let message = edited("path,a/b,4.4", PATHS).expect_err("two are named so");
        assert!(message.contains("a/b/sleeve, a/b/lawn"), "{message}");
        let (text, _) = edited("path,a/b/lawn,4.4", PATHS).expect("named once");
        assert_eq!(text, PATHS.replace("3.6,lawn", "4.4,lawn"));
    }

    #[test]
    fn a_length_that_followed_from_positions_gets_a_column() {
        let (text, was) =
            edited("path,a/b,4.4", "from;to;surface\na;b;lawn\nb;c;lawn\n").expect("named once");
        assert_eq!(was, "");
        assert_eq!(text, "from;to;surface;length_m\na;b;lawn;4.4\nb;c;lawn;\n");
    }

    #[test]
    fn unknown_names_are_refused() {
        for (line, accepted) in [
            ("path,a/d,4", r#""a/b", "a/b", "b/c"; did you mean `a/b`?"#),
            ("path,a/d/lawn,4", r#""a/b/sleeve", "a/b/lawn", "b/c/lawn""#),
            ("path,ab,4", "node/node, or node/node/surface"),
            ("fixture,F2,b", r#""F1""#),
        ] {
            let message = edited(line, PATHS).expect_err("unknown");
            assert!(message.contains("line 2"), "{message}");
            assert!(
                message.contains(&format!("accepted: {accepted}")),
                "{message}"
            );
        }
    }
}
