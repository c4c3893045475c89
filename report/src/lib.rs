//! Papers from a plan's figures: one PDF with the bid, the schedules and the
//! drawings. Computes no engineering: what is printed is what is given, formatted.
//!
//! One direction: `content` says what each page tells, `layout` puts it into
//! frames, `pdf` writes the frames.

mod content;
mod error;
mod format;
mod layout;
mod options;
mod pdf;

pub use error::ReportError;
pub use layout::{
    Area, Bookmark, Colour, Frame, Item, Pages, PaperSize, Path, Place, Stroke, TextRun, Weight,
};
pub use options::{PaperOptions, ReportDate};

use duskwright_solver::schedule::Dossier;
use duskwright_solver::service::readings::Sheet;
use layout::Foot;

/// The report's pages as frames: items at fixed positions.
///
/// # Errors
/// [`ReportError::Font`] when a built-in font is broken, [`ReportError::Dangling`]
/// when the dossier's drawing refers to rows that it does not have.
pub fn pages(dossier: &Dossier, options: &PaperOptions) -> Result<Pages, ReportError> {
    let fonts = pdf::Fonts::built_in()?;
    lay_out(&fonts, dossier, options)
}

/// The report as the bytes of one PDF file. The same dossier and options give the same bytes.
///
/// # Errors
/// As [`pages`], and [`ReportError::Write`] when the file cannot be serialised.
pub fn write_pdf(dossier: &Dossier, options: &PaperOptions) -> Result<Vec<u8>, ReportError> {
    let fonts = pdf::Fonts::built_in()?;
    let pages = lay_out(&fonts, dossier, options)?;
    let about = pdf::About {
        title: format!("{} – lighting plan", dossier.header.job),
        subject: "Bid, schedules and drawings of a low-voltage lighting job".to_owned(),
        identifier: identifier(&dossier.header.job, options),
    };
    pdf::write(&fonts, &pages, &about, options)
}

/// The crew's test sheet as the bytes of one PDF file. The same sheet and options give the same bytes.
///
/// # Errors
/// [`ReportError::Font`] when a built-in font is broken, [`ReportError::Write`] when the
/// file cannot be serialised.
pub fn write_readings(sheet: &Sheet, options: &PaperOptions) -> Result<Vec<u8>, ReportError> {
    let fonts = pdf::Fonts::built_in()?;
    let foot = foot(&sheet.job, options);
    let sections = content::readings(sheet);
    let pages = layout::lay_out(&fonts.typeface(), options.size, &sections, &foot);
    let about = pdf::About {
        title: format!("{} – expected readings", sheet.job),
        subject: "Test sheet of a low-voltage lighting job".to_owned(),
        identifier: identifier(&format!("readings of {}", sheet.job), options),
    };
    pdf::write(&fonts, &pages, &about, options)
}

fn foot(job: &str, options: &PaperOptions) -> Foot {
    Foot {
        job: job.to_owned(),
        made: format!("Duskwright {}   {}", options.version, options.date),
        input: options.input_hash.clone(),
    }
}

fn lay_out(
    fonts: &pdf::Fonts,
    dossier: &Dossier,
    options: &PaperOptions,
) -> Result<Pages, ReportError> {
    content::check(dossier)?;
    let foot = foot(&dossier.header.job, options);
    let sections = content::report(dossier, options);
    Ok(layout::lay_out(
        &fonts.typeface(),
        options.size,
        &sections,
        &foot,
    ))
}

/// 32 hexadecimal digits for the file, from what tells two reports apart.
///
/// FNV-1a, 128 bits (constants of the published algorithm, Fowler, Noll, Vo): the
/// identifier must differ between reports and be the same everywhere; it protects nothing.
fn identifier(what: &str, options: &PaperOptions) -> String {
    const BASIS: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;
    let told_by = format!(
        "{}\n{}\n{}\n{}\n{:?}",
        what, options.input_hash, options.version, options.date, options.size
    );
    let hash = told_by.bytes().fold(BASIS, |hash, byte| {
        (hash ^ u128::from(byte)).wrapping_mul(PRIME)
    });
    format!("{hash:032x}")
}
