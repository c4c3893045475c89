//! The small file that says who hands the papers over: name, address, logo, terms.

use crate::failure::Failure;
use crate::folder::read_plain_up_to;
use duskwright_report::{Firm, Logo};
use duskwright_solver::job::in_plain_words;
use serde::Deserialize;
use std::fs;
use std::path::{Path, PathBuf};

/// Largest file of a firm, bytes.
const MOST_TEXT: u64 = 200_000;
/// Largest logo, bytes.
const MOST_LOGO: u64 = 5_000_000;

/// The file as written.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FirmFile {
    name: String,
    #[serde(default)]
    address: Vec<String>,
    #[serde(default)]
    contact: Vec<String>,
    logo: Option<PathBuf>,
    #[serde(default)]
    terms: Vec<String>,
}

/// Reads a firm's file and the logo beside it.
///
/// # Errors
/// [`Failure::File`] when a file cannot be read, [`Failure::Refused`] when one does
/// not say what it should.
pub(crate) fn read(path: &Path, allow_outside: bool) -> Result<Firm, Failure> {
    let bytes = read_plain_up_to(MOST_TEXT, path, path)?;
    let refused = |reason: String| Failure::Refused(format!("--firm {}: {reason}", path.display()));
    let text = String::from_utf8(bytes)
        .map_err(|_| refused("it is not UTF-8 text; accepted: TOML text in UTF-8".to_owned()))?;
    let file: FirmFile = toml::from_str(&text).map_err(|error| {
        refused(format!(
            "{}\naccepted: name, address, contact, terms (lists of text), logo (a PNG or SVG file beside it)",
            in_plain_words(&error.to_string())
        ))
    })?;
    let logo = file
        .logo
        .map(|logo| self::logo(path, &logo, allow_outside))
        .transpose()?;
    Ok(Firm {
        name: file.name,
        address: file.address,
        contact: file.contact,
        logo,
        terms: file.terms,
    })
}

/// The logo, its path taken from the folder of the firm's file, which it may not leave.
fn logo(firm: &Path, logo: &Path, allow_outside: bool) -> Result<Logo, Failure> {
    let path = firm
        .parent()
        .map_or_else(|| logo.to_path_buf(), |folder| folder.join(logo));
    if !allow_outside && !lies_beside(firm, &path) {
        return Err(Failure::Refused(format!(
            "--firm {}: logo `{}` leads out of the folder of this file; accepted: a PNG or SVG file in \
             that folder; allow others with --allow-outside",
            firm.display(),
            logo.display()
        )));
    }
    let bytes = read_plain_up_to(MOST_LOGO, &path, &path)?;
    Logo::read(&bytes).map_err(|error| {
        Failure::Refused(format!(
            "--firm {}: logo `{}`: {error}; accepted: a PNG file, or an SVG file of paths in plain colours",
            firm.display(),
            logo.display()
        ))
    })
}

/// Whether a file lies in the folder of the firm's file, links followed. One that is not
/// there is let through, for its own message.
fn lies_beside(firm: &Path, logo: &Path) -> bool {
    let (Ok(firm), Ok(logo)) = (fs::canonicalize(firm), fs::canonicalize(logo)) else {
        return true;
    };
    firm.parent().is_some_and(|folder| logo.starts_with(folder))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_text(text: &str) -> Result<Firm, Failure> {
        let home = tempfile::tempdir().expect("a temporary folder");
        let path = home.path().join("firm.toml");
        fs::write(&path, text).expect("written");
        read(&path, false)
    }

    #[test]
    fn a_firm_has_a_name_and_what_else_it_wants() {
        let firm = read_text("name = \"Łódź Lights\"\naddress = [\"1 Lane\", \"Town\"]\n")
            .expect("lawful");
        assert_eq!(firm.name, "Łódź Lights");
        assert_eq!(firm.address, ["1 Lane", "Town"]);
        assert!(firm.terms.is_empty() && firm.logo.is_none());
    }

    #[test]
    fn a_wrong_key_is_named_with_its_line_and_what_is_accepted() {
        let refusal = read_text("name = \"A\"\nadress = []\n").expect_err("misspelt");
        let text = refusal.to_string();
        for words in ["adress", "line 2", "accepted: name, address"] {
            assert!(text.contains(words), "no `{words}` in {text}");
        }
    }

    #[test]
    fn a_logo_that_is_missing_or_no_picture_is_refused() {
        let missing = read_text("name = \"A\"\nlogo = \"none.png\"\n").expect_err("missing");
        assert!(missing.to_string().contains("none.png"), "{missing}");
        let text = read_text("name = \"A\"\nlogo = \"firm.toml\"\n").expect_err("no picture");
        assert!(text.to_string().contains("accepted: a PNG file"), "{text}");
    }

    /// A pipe or a device would be waited for, or read without end.
    #[cfg(unix)]
    #[test]
    fn a_logo_that_is_no_plain_file_is_not_read() {
        let home = tempfile::tempdir().expect("a temporary folder");
        let path = home.path().join("firm.toml");
        fs::write(&path, "name = \"A\"\nlogo = \"/dev/zero\"\n").expect("written");
        let device = read(&path, true).expect_err("a device").to_string();
        assert_eq!(device, "/dev/zero: not a plain file");
        fs::write(&path, vec![b'#'; 200_001]).expect("written");
        let large = read(&path, false).expect_err("too large").to_string();
        assert!(large.ends_with(": larger than 0.2 MB"), "{large}");
    }
}
