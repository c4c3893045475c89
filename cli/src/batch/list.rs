//! The jobs of a batch, by the name of their folder.

use crate::failure::Failure;
use crate::folder::{beside, read_text};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The file that makes a folder a job.
const SETTINGS_FILE: &str = "job.toml";

/// A job of a batch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Member {
    /// Name of its folder: the name of its results.
    pub(crate) name: String,
    /// Where it lies.
    pub(crate) path: PathBuf,
}

/// Finds the jobs in a folder (sorted by name) or a list (as listed).
///
/// # Errors
/// [`Failure::File`] when folder or list cannot be read; [`Failure::Refused`] when
/// it names no job, two folders of the same name (their results would collide), or one
/// that leads away from the folder or list, unless that was allowed.
pub(crate) fn find(source: &Path, allow_outside: bool) -> Result<Vec<Member>, Failure> {
    let kind = fs::metadata(source).map_err(Failure::file("read", source))?;
    let paths = if kind.is_dir() {
        folders(source)?
    } else {
        listed(source)?
    };
    if !allow_outside {
        stay(source, kind.is_dir(), &paths)?;
    }
    if paths.is_empty() {
        return Err(Failure::Refused(format!(
            "{}: names no job; accepted: a folder a line, each with a file {SETTINGS_FILE} in it; or a folder of such folders",
            source.display()
        )));
    }
    let members: Vec<Member> = paths
        .into_iter()
        .map(|path| {
            let name = name_of(&path)?;
            Ok(Member { name, path })
        })
        .collect::<Result<_, Failure>>()?;
    distinct(source, &members)?;
    Ok(members)
}

/// Refuses jobs that lie elsewhere: of a folder those outside of it (by a link), of a list
/// those neither in its folder nor beside that.
fn stay(source: &Path, is_folder: bool, paths: &[PathBuf]) -> Result<(), Failure> {
    let real = |path: &Path| fs::canonicalize(path).map_err(Failure::file("read", path));
    let source_path = real(source)?;
    let home = if is_folder {
        source_path.as_path()
    } else {
        source_path.parent().unwrap_or(&source_path)
    };
    for path in paths {
        // Of a folder that is not there nothing can be read; planning it will say so.
        let Ok(lies) = fs::canonicalize(path) else {
            continue;
        };
        let near = if is_folder {
            lies.starts_with(home)
        } else {
            beside(&lies, home)
        };
        if !near {
            return Err(Failure::Refused(format!(
                "{}: the job {} leads to {}, away from it; accepted: {}; allow others with --allow-outside",
                source.display(),
                path.display(),
                lies.display(),
                if is_folder {
                    "folders in it"
                } else {
                    "folders in the folder of the list, or beside that"
                }
            )));
        }
    }
    Ok(())
}

/// Job folders in a folder; the folder itself when it is one.
fn folders(source: &Path) -> Result<Vec<PathBuf>, Failure> {
    if source.join(SETTINGS_FILE).is_file() {
        return Ok(vec![source.to_path_buf()]);
    }
    let failed = || Failure::file("read", source);
    let mut found = Vec::new();
    for entry in fs::read_dir(source).map_err(failed())? {
        let path = entry.map_err(failed())?.path();
        // A folder that cannot be looked into may be a job: planning it will say why not.
        if path.is_dir() && path.join(SETTINGS_FILE).try_exists().unwrap_or(true) {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

fn listed(source: &Path) -> Result<Vec<PathBuf>, Failure> {
    let text = read_text(source)?;
    let home = source.parent().unwrap_or(Path::new(""));
    let lines = text.trim_start_matches('\u{feff}').lines().map(str::trim);
    let named = lines.filter(|line| !line.is_empty() && !line.starts_with('#'));
    Ok(named.map(|line| home.join(line)).collect())
}

/// Name of a job's folder; of one that is not there, as it was written.
fn name_of(path: &Path) -> Result<String, Failure> {
    let mut real = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    if real.file_name().is_some_and(|name| name == SETTINGS_FILE) {
        real.pop();
    }
    let name = real.file_name().and_then(|name| name.to_str());
    name.map(str::to_owned).ok_or_else(|| {
        Failure::Refused(format!(
            "{}: a job's folder needs a name (in UTF-8), for its results go by it",
            path.display()
        ))
    })
}

/// Refuses two folders of one name, capitals or not: some file systems tell no difference.
fn distinct(source: &Path, members: &[Member]) -> Result<(), Failure> {
    let mut seen: BTreeMap<String, &Path> = BTreeMap::new();
    for member in members {
        if let Some(other) = seen.insert(member.name.to_lowercase(), &member.path) {
            return Err(Failure::Refused(format!(
                "{}: two jobs have folders of the same name, so their results would collide: {} and {}; \
                 accepted: each name once; rename one, or plan them in two batches",
                source.display(),
                other.display(),
                member.path.display()
            )));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn home_with(jobs: &[&str]) -> tempfile::TempDir {
        let home = tempfile::tempdir().expect("a temporary folder");
        for job in jobs {
            let folder = home.path().join(job);
            fs::create_dir_all(&folder).expect("made");
            fs::write(folder.join(SETTINGS_FILE), "").expect("written");
        }
        home
    }

    fn names(source: &Path) -> Vec<String> {
        let members = find(source, false).expect("jobs");
        members.into_iter().map(|member| member.name).collect()
    }

    #[test]
    fn a_folder_gives_its_job_folders_by_name() {
        let home = home_with(&["b", "a", "c"]);
        fs::create_dir(home.path().join("catalogue")).expect("made");
        fs::write(home.path().join("notes.txt"), "").expect("written");
        assert_eq!(names(home.path()), ["a", "b", "c"]);
        assert_eq!(names(&home.path().join("b")), ["b"]);
    }

    #[test]
    fn a_list_gives_them_in_its_own_order() {
        let home = home_with(&["x/a", "y/b"]);
        let list = home.path().join("week.txt");
        fs::write(&list, "\u{feff}# this week\r\n\r\n y/b \nx/a\nx/gone\n").expect("written");
        assert_eq!(names(&list), ["b", "a", "gone"]);
    }

    #[test]
    fn a_job_further_away_is_planned_only_when_allowed() {
        let home = home_with(&["far/a", "lists/b"]);
        let list = home.path().join("lists/deep/week.txt");
        fs::create_dir_all(home.path().join("lists/deep")).expect("made");
        fs::write(&list, "../b\n").expect("written");
        assert_eq!(names(&list), ["b"]);
        let absolute = home.path().join("far/a").display().to_string();
        for away in ["../../far/a", absolute.as_str()] {
            fs::write(&list, away).expect("written");
            let message = find(&list, false).expect_err("far away").to_string();
            assert!(message.contains("--allow-outside"), "{message}");
            assert_eq!(find(&list, true).expect("allowed")[0].name, "a");
        }
    }

    #[test]
    fn two_folders_of_one_name_are_both_said() {
        let home = home_with(&["x/a", "y/A"]);
        let list = home.path().join("week.txt");
        fs::write(&list, "x/a\ny/A\n").expect("written");
        let message = find(&list, false).expect_err("a collision").to_string();
        assert!(
            message.contains("x/a") && message.contains("y/A"),
            "{message}"
        );
        fs::write(&list, "# nothing\n").expect("written");
        let message = find(&list, false).expect_err("no job").to_string();
        assert!(message.contains("names no job"), "{message}");
    }
}
