//! The numbered history of a job that was built: `changes.csv` of its folder.

use super::change::Change;
use crate::failure::Failure;
use crate::folder::read_plain;
use crate::origin::Facts;
use duskwright_solver::cells;
use std::path::Path;

/// Its file.
pub(crate) const FILE: &str = "changes.csv";

const COLUMNS: [&str; 6] = ["number", "date", "what", "name", "was", "to"];

/// Columns for name and value of what is told of how the file was made: `what` and `to`.
const ORIGIN_COLUMNS: [usize; 2] = [2, 5];

/// Changes of earlier rebuilds, then these, numbered through, then how the file was made.
///
/// `made`: each change with what stood there before.
///
/// # Errors
/// [`Failure`] when the folder's own history cannot be read, or is none: it is never
/// dropped in silence.
pub(crate) fn history(
    job: &Path,
    made: &[(Change, String)],
    date: &str,
    origin: &Facts,
) -> Result<String, Failure> {
    let mut rows = earlier(&job.join(FILE))?;
    for (change, was) in made {
        rows.push(vec![
            (rows.len() + 1).to_string(),
            date.to_owned(),
            change.what.word().to_owned(),
            cells::text(&change.name),
            cells::text(was),
            cells::text(&change.to),
        ]);
    }
    let table = cells::table(&cells::names(COLUMNS), rows);
    Ok(cells::with_origin(&table, ORIGIN_COLUMNS, origin))
}

/// The changes of an earlier rebuild; how its file was made is told anew of the next.
fn earlier(path: &Path) -> Result<Vec<Vec<String>>, Failure> {
    if !path.exists() {
        return Ok(Vec::new());
    }
    let bytes = read_plain(path, path)?;
    let refused = |reason: &str| {
        Failure::Refused(format!(
            "{}: {reason}; accepted: the file that an earlier rebuild wrote, with the columns {}",
            path.display(),
            COLUMNS.join(", ")
        ))
    };
    let mut reader = csv::Reader::from_reader(bytes.as_slice());
    let heading = reader.headers();
    let heading = heading.map_err(|error| refused(&error.to_string()))?;
    if heading.iter().ne(COLUMNS) {
        return Err(refused("not a history of changes"));
    }
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| refused(&error.to_string()))?;
        if !cells::tells_origin(&record) {
            rows.push(record.iter().map(str::to_owned).collect());
        }
    }
    Ok(rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::as_built::change::changes;
    use crate::origin::facts;
    use std::fs;

    fn made(home: &Path, list: &str) -> Vec<(Change, String)> {
        let path = home.join("list.csv");
        fs::write(&path, format!("what,name,to\n{list}")).expect("written");
        let changes = changes(&path).expect("read");
        let was = changes
            .into_iter()
            .map(|change| (change, "before".to_owned()));
        was.collect()
    }

    #[test]
    fn a_second_rebuild_goes_on_counting_and_keeps_the_first() {
        let home = tempfile::tempdir().expect("a temporary folder");
        let first = made(home.path(), "path,a/b,4.2\ntap,C1,13\n");
        let origin = |hash| facts("0.1.0", hash, "effort quick, seed 1");
        let text = history(home.path(), &first, "2026-04-01", &origin("ab")).expect("made");
        let earlier = "number,date,what,name,was,to\n\
                       1,2026-04-01,path,a/b,before,4.2\n\
                       2,2026-04-01,tap,C1,before,13\n";
        let made_of = |hash: &str| {
            format!(
                "made,,version,,,0.1.0\nmade,,input_sha256,,,{hash}\n\
                 made,,search,,,\"effort quick, seed 1\"\n"
            )
        };
        assert_eq!(text, format!("{earlier}{}", made_of("ab")));
        let second = made(home.path(), "fixture,=F1,b\n");
        // An earlier version did not tell how the file was made.
        for before in [text.as_str(), earlier] {
            fs::write(home.path().join(FILE), before).expect("written");
            let text = history(home.path(), &second, "2026-05-02", &origin("cd")).expect("made");
            let change = "3,2026-05-02,fixture,'=F1,before,b\n";
            assert_eq!(text, format!("{earlier}{change}{}", made_of("cd")));
        }
    }

    #[test]
    fn a_history_that_is_none_is_refused_and_not_replaced() {
        let home = tempfile::tempdir().expect("a temporary folder");
        let first = made(home.path(), "tap,C1,13\n");
        fs::write(home.path().join(FILE), "mine\n1\n").expect("written");
        let origin = facts("0.1.0", "ab", "effort quick, seed 1");
        let message = history(home.path(), &first, "2026-04-01", &origin)
            .expect_err("foreign")
            .to_string();
        assert!(message.contains("not a history of changes"), "{message}");
        fs::write(home.path().join(FILE), [0xff, 0xfe]).expect("written");
        history(home.path(), &first, "2026-04-01", &origin).expect_err("not text");
    }
}
