//! The written file: the same bytes every time, sound to outside readers.

use crate::made_up::{self, Recipe};
use crate::{PARK, options};
use duskwright_report::{PaperOptions, PaperSize, ReportDate, write_pdf};
use std::io::Write as _;
use std::process::Command;

fn written(recipe: Recipe, options: &PaperOptions) -> Vec<u8> {
    write_pdf(&made_up::dossier(recipe), options).unwrap()
}

#[test]
fn the_same_input_gives_the_same_bytes_and_another_date_gives_others() {
    let options = options(PaperSize::Letter);
    let first = written(Recipe::GARDEN, &options);
    let again = written(Recipe::GARDEN, &options);
    assert!(first == again);
    let later = PaperOptions {
        date: ReportDate::new(2026, 11, 26).unwrap(),
        ..options
    };
    assert!(first != written(Recipe::GARDEN, &later));
}

#[test]
fn a_report_on_400_fixtures_stays_below_two_megabytes() {
    let size = written(PARK, &options(PaperSize::A4)).len();
    assert!(size < 2_000_000, "{size} bytes");
}

/// Runs an outside reader on a report; `None`, and a word about it, when it is not installed.
fn outside(program: &str, arguments: &[&str], recipe: Recipe) -> Option<(bool, String)> {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(&written(recipe, &options(PaperSize::Letter)))
        .unwrap();
    let path = file.path().to_str().unwrap();
    let arguments = arguments
        .iter()
        .map(|&one| if one == "FILE" { path } else { one });
    match Command::new(program).args(arguments).output() {
        Ok(output) => Some((
            output.status.success(),
            String::from_utf8_lossy(&output.stdout).into_owned(),
        )),
        Err(_) => {
            eprintln!("skipped: {program} is not installed");
            None
        }
    }
}

#[test]
fn an_outside_checker_finds_no_fault() {
    if let Some((sound, said)) = outside("qpdf", &["--check", "FILE"], PARK) {
        assert!(sound, "{said}");
    }
}

#[test]
fn text_can_be_selected_and_read_back() {
    let recipe = Recipe {
        long_names: true,
        ..Recipe::GARDEN
    };
    if let Some((read, text)) = outside("pdftotext", &["-layout", "FILE", "-"], recipe) {
        assert!(read);
        for wanted in [
            "Łódź-path-by-the-old-oak-N0017",
            "José-Brücke",
            "Bill of materials",
            "12,345.6",
            "Circuit schedule",
            "conductors at 30 °C",
        ] {
            assert!(text.contains(wanted), "{wanted}");
        }
    }
}

#[test]
fn the_file_names_its_job_and_has_no_clock() {
    let bytes = written(Recipe::GARDEN, &options(PaperSize::Letter));
    let has = |wanted: &[u8]| bytes.windows(wanted.len()).any(|part| part == wanted);
    assert!(has(b"D:20261125000000+00'00'"));
    assert!(has(b"/PageMode/UseOutlines"));
    assert!(!has(b"GTS_PDFX"));
}
