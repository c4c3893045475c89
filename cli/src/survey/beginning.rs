//! What a job begins with before it is surveyed: job.toml, catalogue, zones and transformers
//! that stand already.

use crate::args::SurveyArguments;
use crate::failure::Failure;
use crate::folder::{self, Folder};
use crate::papers::NamedFile;
use crate::reading;
use crate::survey::DERIVED;
use duskwright_solver::job::{JobText, SETTINGS_FILE};
use std::fs;
use std::ops::Range;
use std::path::{Path, PathBuf};
use toml::de::{DeTable, DeValue};

/// Folder of a catalogue that is taken along.
const OWN_CATALOGUE: &str = "catalogue";

/// A job without a site.
pub(crate) struct Beginning {
    /// Its files as the reader will see them in the job's folder.
    pub(crate) text: JobText,
    /// Those that the folder does not have yet.
    pub(crate) new: Vec<NamedFile>,
    /// Whether the catalogue is taken along.
    pub(crate) own_catalogue: bool,
}

/// Finds what the job in the folder `out` begins with.
///
/// # Errors
/// [`Failure`] when there is no job.toml, or a file cannot be read.
pub(crate) fn find(arguments: &SurveyArguments, out: &Path) -> Result<Beginning, Failure> {
    if out.join(SETTINGS_FILE).symlink_metadata().is_ok() {
        let folder = Folder::open(out, arguments.allow_outside)?;
        return Ok(Beginning {
            text: without_site(reading::open_all(&folder)?),
            new: Vec::new(),
            own_catalogue: false,
        });
    }
    let home = home(arguments)?;
    let folder = Folder::open(&home, arguments.allow_outside)?;
    let text = without_site(reading::open_all(&folder)?);
    let away = !finds_catalogue(&text, &folder, out);
    let text = if away { with_own(&text, &home)? } else { text };
    let new = text
        .iter()
        .filter(|(name, _)| away || !name.contains('/'))
        .map(|(name, bytes)| (name.to_owned(), bytes.to_vec()))
        .collect();
    Ok(Beginning {
        text,
        new,
        own_catalogue: away,
    })
}

/// The folder of the job.toml to begin with: the one named, or that of the plan.
fn home(arguments: &SurveyArguments) -> Result<PathBuf, Failure> {
    if let Some(file) = &arguments.job_file {
        return Ok(file.clone());
    }
    let beside = match arguments.plan.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    if beside.join(SETTINGS_FILE).is_file() {
        return Ok(beside.to_path_buf());
    }
    Err(Failure::Refused(format!(
        "{}: there is no job.toml beside it, and {} has none; accepted: --job-file with a job.toml \
         whose catalogue gives rates, surfaces and fixture models (`duskwright new` makes one)",
        arguments.plan.display(),
        arguments.out.display()
    )))
}

/// The tables of the site are what the survey derives.
fn without_site(text: JobText) -> JobText {
    DERIVED.iter().fold(text, |text, &name| text.without(name))
}

/// Whether the words of job.toml lead from `out` to the same catalogue, by the rule that
/// holds for every job.
fn finds_catalogue(text: &JobText, from: &Folder, out: &Path) -> bool {
    let place = text
        .iter()
        .find_map(|(name, _)| name.rsplit_once('/').map(|(place, _)| place));
    let Some(place) = place else {
        return true;
    };
    let wanted = folder::normal(&out.join(place));
    let same = match (from.catalogue(place), fs::canonicalize(&wanted)) {
        (Ok(Some(catalogue)), Ok(there)) => catalogue.root() == there,
        _ => false,
    };
    same && wanted.starts_with(out.parent().unwrap_or(out)) && folder::beside(&wanted, out)
}

/// The same job with its catalogue in a folder of its own.
fn with_own(text: &JobText, home: &Path) -> Result<JobText, Failure> {
    let mut own = JobText::new();
    for (name, bytes) in text.iter() {
        match name.rsplit_once('/') {
            Some((_, table)) => own.insert(format!("{OWN_CATALOGUE}/{table}"), bytes),
            None if name == SETTINGS_FILE => own.insert(name, renamed(bytes, home)?),
            None => own.insert(name, bytes),
        }
    }
    Ok(own)
}

/// job.toml with the folder of the catalogue replaced and every other word as it was.
fn renamed(bytes: &[u8], home: &Path) -> Result<Vec<u8>, Failure> {
    let refused = |reason: String| {
        let shown = home.join(SETTINGS_FILE);
        Failure::Refused(format!("{}: {reason}", shown.display()))
    };
    let text = std::str::from_utf8(bytes).map_err(|error| refused(error.to_string()))?;
    let quoted = format!("\"{OWN_CATALOGUE}\"");
    match folder_span(text).map_err(|error| refused(error.to_string()))? {
        Named::At(span) => {
            Ok(format!("{}{quoted}{}", &text[..span.start], &text[span.end..]).into_bytes())
        }
        Named::Nowhere => Ok(format!("{text}\n[catalogue]\nfolder = {quoted}\n").into_bytes()),
        Named::SectionOnly => Err(refused(
            "[catalogue] names no folder; write folder = \"../catalogue\" into it".to_owned(),
        )),
    }
}

/// Where job.toml names the folder of its catalogue.
enum Named {
    At(Range<usize>),
    SectionOnly,
    Nowhere,
}

fn folder_span(text: &str) -> Result<Named, toml::de::Error> {
    let root = DeTable::parse(text)?;
    let Some(section) = root.get_ref().get("catalogue") else {
        return Ok(Named::Nowhere);
    };
    let DeValue::Table(section) = section.get_ref() else {
        return Ok(Named::SectionOnly);
    };
    Ok(section
        .get("folder")
        .map_or(Named::SectionOnly, |folder| Named::At(folder.span())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_folder_of_the_catalogue_changes() {
        let text =
            "# prices of spring\nname = \"Elm\"\n[catalogue]\nfolder = '../c' # here\n[rates]\n";
        let own = renamed(text.as_bytes(), Path::new("job")).expect("a folder is named");
        let own = String::from_utf8(own).expect("text");
        assert_eq!(own, text.replace("'../c'", "\"catalogue\""));
        let own = renamed(b"name = \"Elm\"", Path::new("job")).expect("none is named");
        let own = String::from_utf8(own).expect("text");
        assert_eq!(own, "name = \"Elm\"\n[catalogue]\nfolder = \"catalogue\"\n");
        renamed(b"[catalogue]\n", Path::new("job")).expect_err("no folder to replace");
    }
}
