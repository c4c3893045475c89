//! Papers from a plan's figures: the whole report, the bid, the crew packet and the
//! buy list as PDF, drawings as SVG. Computes no engineering: what is printed is what is given, formatted.
//!
//! One direction: `content` says what each page tells, `layout` puts it into
//! frames, `pdf` and `svg` write the frames.

mod artwork;
mod content;
mod error;
mod format;
mod layout;
mod options;
mod order;
mod pdf;
mod portfolio;
mod presentation;
mod svg;
mod workbook;

pub use artwork::{Artwork, Region, Step};
pub use error::ReportError;
pub use layout::{
    Area, Bookmark, Colour, Frame, Item, Pages, PaperSize, Path, Place, Stroke, TextRun, Tile,
    Weight,
};
pub use options::{Paper, PaperOptions, ReportDate};
pub use order::{write_cut_sheet_pdf, write_labels_pdf, write_order_pdf};
pub use portfolio::write_portfolio_pdf;
pub use presentation::{Alternative, Firm, Logo, Picture, Presentation, Running};
pub use workbook::write_order_xlsx;

use duskwright_solver::schedule::{Comparison, Dossier};
use duskwright_solver::service::readings::Sheet;
use layout::{Foot, Stock};

/// The whole report's pages as frames: items at fixed positions.
///
/// # Errors
/// As [`paper_pages`].
pub fn pages(dossier: &Dossier, options: &PaperOptions) -> Result<Pages, ReportError> {
    paper_pages(Paper::Report, dossier, options, &Presentation::default())
}

/// The pages of one paper as frames.
///
/// # Errors
/// [`ReportError::Font`] when a built-in font is broken, [`ReportError::Dangling`]
/// when the dossier's drawing refers to rows that it does not have.
pub fn paper_pages(
    paper: Paper,
    dossier: &Dossier,
    options: &PaperOptions,
    presentation: &Presentation,
) -> Result<Pages, ReportError> {
    let fonts = pdf::Fonts::built_in()?;
    lay_out(&fonts, paper, dossier, options, presentation)
}

/// The whole report as the bytes of one PDF file.
///
/// # Errors
/// As [`write_paper`].
pub fn write_pdf(dossier: &Dossier, options: &PaperOptions) -> Result<Vec<u8>, ReportError> {
    write_paper(Paper::Report, dossier, options, &Presentation::default())
}

/// One paper as the bytes of a PDF file. The same arguments give the same bytes.
///
/// # Errors
/// As [`paper_pages`], and [`ReportError::Write`] when the file cannot be serialised.
pub fn write_paper(
    paper: Paper,
    dossier: &Dossier,
    options: &PaperOptions,
    presentation: &Presentation,
) -> Result<Vec<u8>, ReportError> {
    let fonts = pdf::Fonts::built_in()?;
    let pages = lay_out(&fonts, paper, dossier, options, presentation)?;
    let about = pdf::About {
        title: format!("{} – {}", dossier.header.job, paper.title()),
        author: presentation.firm.name.clone(),
        subject: paper.subject().to_owned(),
        identifier: identifier(&format!("{} {paper:?}", dossier.header.job), options),
    };
    pdf::write(&fonts, &pages, &about, options)
}

/// The crew's test sheet as the bytes of one PDF file. The same sheet and options give the same bytes.
///
/// # Errors
/// [`ReportError::Font`] when a built-in font is broken, [`ReportError::Write`] when the
/// file cannot be serialised.
pub fn write_readings(sheet: &Sheet, options: &PaperOptions) -> Result<Vec<u8>, ReportError> {
    plain(
        &content::readings(sheet),
        &sheet.job,
        (
            "expected readings",
            "Test sheet of a low-voltage lighting job",
        ),
        options,
    )
}

/// Plans side by side as the bytes of one PDF file. The same comparison and options give the same bytes.
///
/// # Errors
/// As [`write_pdf`].
pub fn write_comparison_pdf(
    comparison: &Comparison,
    options: &PaperOptions,
) -> Result<Vec<u8>, ReportError> {
    plain(
        &[content::comparison(comparison)],
        &comparison.job,
        (
            "plans compared",
            "Ways to wire a low-voltage lighting job, side by side",
        ),
        options,
    )
}

/// Sections about one job, without letterhead. `told`: what the paper is, and its subject.
fn plain(
    sections: &[content::Section],
    job: &str,
    told: (&str, &str),
    options: &PaperOptions,
) -> Result<Vec<u8>, ReportError> {
    let fonts = pdf::Fonts::built_in()?;
    let pages = layout::lay_out(
        &fonts.typeface(),
        stock(options, &Presentation::default()),
        sections,
        &foot(job, options),
    );
    let title = format!("{job} – {}", told.0);
    let about = pdf::About {
        author: String::new(),
        subject: told.1.to_owned(),
        identifier: identifier(&title, options),
        title,
    };
    pdf::write(&fonts, &pages, &about, options)
}

/// The drawings and diagrams of the plan as SVG files: name and text of each. A
/// drawing of several sheets has a file for each. Text stays text.
///
/// # Errors
/// As [`paper_pages`].
pub fn drawings(
    dossier: &Dossier,
    options: &PaperOptions,
    presentation: &Presentation,
) -> Result<Vec<(String, String)>, ReportError> {
    content::check(dossier)?;
    let typeface = pdf::Fonts::built_in()?.typeface();
    let foot = foot(&dossier.header.job, options);
    let mut files = Vec::new();
    for (name, section) in content::drawings(dossier) {
        let title = section.title.clone();
        let pages = layout::lay_out(&typeface, stock(options, presentation), &[section], &foot);
        for (number, frame) in pages.frames.iter().enumerate() {
            let name = format!("{name}-{}.svg", number + 1);
            files.push((name, svg::write(&typeface, frame, &title, &options.made())));
        }
    }
    Ok(files)
}

/// All pages on one size, unless drawings have their own.
fn stock(options: &PaperOptions, presentation: &Presentation) -> Stock {
    Stock {
        pages: options.size,
        sheets: presentation.sheets.unwrap_or(options.size),
    }
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
    paper: Paper,
    dossier: &Dossier,
    options: &PaperOptions,
    presentation: &Presentation,
) -> Result<Pages, ReportError> {
    content::check(dossier)?;
    let (typeface, stock) = (fonts.typeface(), stock(options, presentation));
    let foot = foot(&dossier.header.job, options);
    let orders = content::of(paper, dossier, options, presentation);
    let laid = orders
        .iter()
        .map(|sections| layout::lay_out(&typeface, stock, sections, &foot));
    // Of equals the first.
    let fewest = laid.min_by_key(|pages| pages.frames.len());
    Ok(fewest.expect("every paper has an order"))
}

/// 32 hexadecimal digits for the file, from what tells two reports apart.
///
/// FNV-1a, 128 bits (constants of the published algorithm, Fowler, Noll, Vo): the
/// identifier must differ between reports and be the same everywhere; it protects nothing.
fn identifier(subject: &str, options: &PaperOptions) -> String {
    const BASIS: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;
    let told_by = format!(
        "{}\n{}\n{}\n{}\n{:?}",
        subject, options.input_hash, options.version, options.date, options.size
    );
    let hash = told_by.bytes().fold(BASIS, |hash, byte| {
        (hash ^ u128::from(byte)).wrapping_mul(PRIME)
    });
    format!("{hash:032x}")
}
