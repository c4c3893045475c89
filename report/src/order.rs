//! The papers of an order: purchase list, cut sheet, labels.

use crate::content::{self, Section};
use crate::error::ReportError;
use crate::options::PaperOptions;
use crate::{foot, identifier, layout, pdf};
use duskwright_solver::order::Order;

/// Names of the jobs, for the foot.
fn names(order: &Order) -> String {
    let names: Vec<&str> = order.jobs.iter().map(|job| job.name.as_str()).collect();
    names.join(", ")
}

/// The purchase list with its cutting in figures and the stock, as the bytes of a PDF file.
///
/// # Errors
/// [`ReportError::Font`] when a built-in font is broken, [`ReportError::Write`] when the file cannot be serialised.
pub fn write_order_pdf(order: &Order, options: &PaperOptions) -> Result<Vec<u8>, ReportError> {
    let sections = content::order::purchase_sections(order, options);
    poured(order, options, "Order", &sections)
}

/// The cut sheet, as the bytes of a PDF file.
///
/// # Errors
/// As [`write_order_pdf`].
pub fn write_cut_sheet_pdf(order: &Order, options: &PaperOptions) -> Result<Vec<u8>, ReportError> {
    poured(
        order,
        options,
        "Cut sheet",
        &content::order::bench_sections(order),
    )
}

/// A sheet of piece labels, as the bytes of a PDF file.
///
/// # Errors
/// As [`write_order_pdf`].
pub fn write_labels_pdf(order: &Order, options: &PaperOptions) -> Result<Vec<u8>, ReportError> {
    let fonts = pdf::Fonts::built_in()?;
    let labels = content::labels(order);
    let pages = layout::labels(&fonts.typeface(), options.size, &labels);
    pdf::write(
        &fonts,
        &pages,
        &about(order, options, "Piece labels"),
        options,
    )
}

fn poured(
    order: &Order,
    options: &PaperOptions,
    title: &str,
    sections: &[Section],
) -> Result<Vec<u8>, ReportError> {
    let fonts = pdf::Fonts::built_in()?;
    let foot = foot(&format!("{title} for {}", names(order)), options);
    let pages = layout::lay_out(
        &fonts.typeface(),
        crate::stock(options, &crate::Presentation::default()),
        sections,
        &foot,
    );
    pdf::write(&fonts, &pages, &about(order, options, title), options)
}

fn about(order: &Order, options: &PaperOptions, title: &str) -> pdf::About {
    let title = format!("{title}: {}", names(order));
    pdf::About {
        author: String::new(),
        subject: "Material for planned jobs of low-voltage lighting".to_owned(),
        identifier: identifier(&title, options),
        title,
    }
}
